"""``rivetkit order`` puts the rivets of several jobs on one order."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rivetkit.cli.options import Shared, rule_options
from rivetkit.cli.output import emit
from rivetkit.cli.param_types import FILE
from rivetkit.errors import InputError

if TYPE_CHECKING:
    from rivetkit.calculators.order import SparesPolicy

_EXAMPLES = """\b
Examples:
  $ rivetkit order examples/elevator.toml examples/inspection_cover.toml
  $ rivetkit order examples/elevator.toml --percent 5 --minimum 20 --pack 100
  $ rivetkit order examples/elevator.toml --format csv   (to a file: add -o order.csv)
"""


@click.command("order", epilog=_EXAMPLES)
@click.argument("job_files", metavar="JOB.toml...", nargs=-1, required=True, type=FILE)
@click.option("--percent", type=float, metavar="P", help="Spares on top of what is fitted.")
@click.option("--minimum", type=int, metavar="N", help="At least so many spares of each part.")
@click.option("--pack", type=int, metavar="N", help="Sold in packs of so many.")
@rule_options
def order(
    *,
    job_files: tuple[str, ...],
    percent: float | None,
    minimum: int | None,
    pack: int | None,
    shared: Shared,
) -> int:
    """Order the rivets of one or several jobs: pieces, spares, packs, mass.

    Parts are put together over all jobs and the spares are taken on the sum. Without --percent,
    --minimum or --pack the jobs' own spares hold; where they differ, the most generous.
    """
    from rivetkit.cli.planned import planned_job
    from rivetkit.planning.order_list import order_list
    from rivetkit.reports.order_report import order_report

    twice = next((name for name in job_files if job_files.count(name) > 1), None)
    if twice is not None:
        raise InputError(f"'{twice}' is given twice", where="order", mend="name each job once")
    plans = {name: planned_job(name, shared) for name in job_files}
    policy = _policy(percent, minimum, pack)
    inputs = {
        "job_files": list(job_files),
        "percent": percent,
        "minimum": minimum,
        "pack": pack,
        **shared.described(),
    }
    report = order_report(order_list(plans, policy), inputs=inputs, length_unit=shared.units)
    return emit(report, shared)


def _policy(percent: float | None, minimum: int | None, pack: int | None) -> SparesPolicy | None:
    from rivetkit.calculators.order import SparesPolicy

    if percent is None and minimum is None and pack is None:
        return None
    return SparesPolicy(
        percent=percent or 0,
        minimum=minimum or 0,
        pack_size=1 if pack is None else pack,
    )
