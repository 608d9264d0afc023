"""An order over several jobs as a report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rivetkit.reports.document import (
    Column,
    Fact,
    Facts,
    Paragraph,
    Report,
    Section,
    Table,
    collect_citations,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from rivetkit.planning.order_list import OrderList, PartOrder
    from rivetkit.reports.amounts import LengthUnit
    from rivetkit.reports.document import Block

_FIRST = (
    "Counted from the job files. Check stock, alloy and head mark when it arrives; the aircraft "
    "maker's parts list comes first."
)


def order_report(
    order: OrderList, *, inputs: Mapping[str, object], length_unit: LengthUnit
) -> Report:
    """Return the report of an order."""
    policy = order.policy
    blocks: list[Block] = [
        Facts(
            (
                Fact(
                    "spares",
                    f"{float(policy.percent):g} percent, at least {policy.minimum} of each",
                ),
                Fact("packs of", str(policy.pack_size)),
            )
        )
    ]
    if order.policy_differs:
        blocks.append(
            Paragraph("The jobs ask for different spares: the most generous of each is taken.")
        )
    citations = [c for line in order.lines if line.mass for c in line.mass.citations]
    return Report(
        command="order",
        title="Rivets to order",
        inputs=inputs,
        result={
            "spares": {
                "percent": float(policy.percent),
                "minimum": policy.minimum,
                "pack": policy.pack_size,
            },
            "policy_differs": order.policy_differs,
            "mass_lb": order.mass_lb,
            "lines": [_line_data(line) for line in order.lines],
        },
        sections=(
            Section("", tuple(blocks)),
            Section("Order", (_order_table(order),)),
            Section("Which job needs what", (_job_table(order),)),
        ),
        citations=collect_citations(others=citations),
        cautions=(_FIRST,),
        length_unit=length_unit,
    )


def _order_table(order: OrderList) -> Table:
    rows = [
        (
            line.part.designation,
            str(line.quantity.net),
            str(line.quantity.spares),
            str(line.quantity.packs),
            str(line.quantity.order),
            "" if line.mass_lb is None else f"{line.mass_lb:.3f}",
        )
        for line in order.lines
    ]
    if len(rows) > 1:
        mass = "" if order.mass_lb is None else f"{order.mass_lb:.3f}"
        quantities = [line.quantity for line in order.lines]
        rows.append(
            (
                "all",
                str(sum(one.net for one in quantities)),
                str(sum(one.spares for one in quantities)),
                str(sum(one.packs for one in quantities)),
                str(sum(one.order for one in quantities)),
                mass,
            )
        )
    columns = (
        Column("part"),
        Column("to fit", align="right"),
        Column("spares", align="right", weight=8),
        Column("packs", align="right", weight=7),
        Column("order", align="right"),
        Column("mass computed", "lb", align="right", weight=6),
    )
    return Table(columns, tuple(rows))


def _job_table(order: OrderList) -> Table:
    rows = tuple(
        (line.part.designation, job, str(count)) for line in order.lines for job, count in line.jobs
    )
    return Table((Column("part"), Column("job", wrap=True), Column("to fit", align="right")), rows)


def _line_data(line: PartOrder) -> dict[str, object]:
    return {
        "part_number": line.part.designation,
        "net": line.quantity.net,
        "spares": line.quantity.spares,
        "packs": line.quantity.packs,
        "order": line.quantity.order,
        "working": list(line.quantity.working),
        "mass_lb": line.mass_lb,
        "jobs": [{"job": job, "count": count} for job, count in line.jobs],
    }
