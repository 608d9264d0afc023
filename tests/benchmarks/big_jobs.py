"""Jobs of any size for the benchmarks. Invented: no skin looks quite like this.

Two shapes, because they stress different things:

- ``long rows``: twenty rows whatever the size, each from a CSV file, in a skin and a doubler that
  both have an outline. Arrays are long and lists short.
- ``many ribs``: a pair of rows of 100 holes on each rib. Rows, layers and checks grow
  with the holes.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from rivetkit.job.read import parse_job

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from rivetkit.job.model import Job

#: Along a row, and between the two rows of a pair: near enough that the pairs are looked at [in].
PITCH_IN = 1.0
PAIR_IN = 0.5
#: From one pair of rows to the next [in].
STATION_IN = 5.0
EDGE_IN = 0.5

LONG_ROWS = 20
RIB_ROW_HOLES = 100

HEAD = """
name = "benchmark"
[[sheet]]
name = "skin"
old = {{ alloy = "2024-T3 clad", thickness = 0.025 }}
new = {{ alloy = "2024-T3 clad", thickness = 0.032 }}
outline = {{ rectangle = {{ corner = [0, 0], width = {width}, height = {height} }} }}
"""
DOUBLER = """
[[member]]
name = "doubler"
kind = "doubler"
thickness = 0.032
outline = {{ rectangle = {{ corner = [0, 0], width = {width}, height = {height} }} }}
"""
LONG_ROW = """
[[row]]
name = "row {number}"
rivet = "MS20470AD4-4"
holes_csv = "row{number}.csv"
layers = ["skin", "doubler"]
"""
RIB = """
[[member]]
name = "rib {number}"
kind = "rib"
thickness = 0.032
flange = {{ width = 1.25, end_distance = 0.5 }}
"""
RIB_ROW = """
[[row]]
name = "rib {number}, row {row}"
rivet = "MS20470AD4-4"
path = [[{left}, {y}], [{right}, {y}]]
count = {count}
layers = ["skin", {{ layer = "rib {number}", row_from_edge = {from_edge} }}]
"""


def heights() -> Iterator[float]:
    """Yield where the rows run [in]: in pairs, a station apart."""
    station = 0
    while True:
        yield EDGE_IN + station * STATION_IN
        yield EDGE_IN + station * STATION_IN + PAIR_IN
        station += 1


def long_rows(holes: int, folder: Path) -> Job:
    """Return a job of twenty rows that hold so many holes together, and write their CSV files."""
    each = math.ceil(holes / LONG_ROWS)
    parts = []
    for number, y in zip(range(LONG_ROWS), heights(), strict=False):
        # Long rows fold back under themselves: no skin reaches further than a large aircraft.
        lines = [
            f"{EDGE_IN + PITCH_IN * (place % 2500):.4f},{y + 55.0 * (place // 2500):.4f}"
            for place in range(each)
        ]
        (folder / f"row{number}.csv").write_text("x,y\n" + "\n".join(lines) + "\n", "utf-8")
        parts.append(LONG_ROW.format(number=number))
    width = 2 * EDGE_IN + PITCH_IN * (min(each, 2500) - 1)
    height = 55.0 * math.ceil(each / 2500)
    size = {"width": width, "height": height}
    return parse_job("".join([HEAD.format(**size), DOUBLER.format(**size), *parts]), folder=folder)


def many_ribs(holes: int, folder: Path) -> Job:
    """Return a job with a pair of rows on every rib, as many ribs as so many holes take."""
    ribs = math.ceil(holes / (2 * RIB_ROW_HOLES))
    right = EDGE_IN + PITCH_IN * (RIB_ROW_HOLES - 1)
    parts = [HEAD.format(width=right + EDGE_IN, height=STATION_IN * ribs)]
    places = heights()
    for number in range(ribs):
        parts.append(RIB.format(number=number))
        for row, from_edge in ((1, 0.375), (2, 0.875)):
            parts.append(
                RIB_ROW.format(
                    number=number,
                    row=row,
                    left=EDGE_IN,
                    right=right,
                    y=next(places),
                    count=RIB_ROW_HOLES,
                    from_edge=from_edge,
                )
            )
    return parse_job("".join(parts), folder=folder)


SHAPES: dict[str, Callable[[int, Path], Job]] = {"long rows": long_rows, "many ribs": many_ribs}
