"""Jobs to draw: one with every verdict, one with thousands of holes, one with hostile names."""

from rivetkit.job.read import parse_job
from rivetkit.planning.plan import plan_job

#: A row that runs aslant from the front edge inwards, and others. Invented.
MIXED = """
name = "every verdict"
accuracy = 0.005

[[sheet]]
name = "skin"
old = { alloy = "2024-T3", thickness = 0.032 }
cutouts = [{ name = "opening", circle = { at = [5, 3.2], diameter = 2 } }]
[sheet.outline.rectangle]
corner = [0, 0]
width = 14
height = 6
edges = ["front", "tip", "back", "root"]

[[member]]
name = "edge strip"
kind = "rib"
thickness = 0.025
flange = { width = 0.625, end_distance = 0.3 }

[[member]]
name = "hidden"
kind = "rib"
thickness = 0.025
edge = "not measured"

[[row]]
name = "aslant"
rivet = "MS20470AD4-4"
path = [[0.5, 0.15], [11.9, 0.53]]
count = 20
layers = ["skin", { layer = "edge strip", row_from_edge = 0.3125 }]

[[row]]
name = "doubtful"
rivet = "MS20470AD4-4"
path = [[0.5, 5.5], [9.5, 5.5]]
count = 12
layers = ["skin", "hidden"]

[[row]]
name = "new"
fit = "MS20470AD4"
path = [[0.5, 2], [3.5, 4]]
count = 6
layers = ["skin"]
"""

#: What a name must never do: end a tag, start a script, be run by a spreadsheet, break a line.
HOSTILE = [
    "</title><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'; DROP TABLE rivets --",
    "=HYPERLINK(0)",
    "{{ 7 * 7 }} {% raw %}",
    "]]> <!-- <svg onload=alert(1)> &amp; &lt;",
    "${ink} %s {0}",
    "\u202eright to left",
]


def hostile_job():
    """A job in which everything that can be named has a name of ill will."""
    text = MIXED
    names = [
        "every verdict",
        "skin",
        "front",
        "opening",
        "edge strip",
        "aslant",
        "doubtful",
        "hidden",
    ]
    for name, bad in zip(names, HOSTILE, strict=True):
        quoted = bad.replace("\\", "\\\\").replace('"', '\\"')
        text = text.replace(f'"{name}"', f'"{quoted}"')
    return text


def many_holes(rows=50, per_row=100):
    """A skin of thousands of holes, all sound."""
    lines = [
        f"""
[[row]]
name = "stringer {number + 1}"
rivet = "MS20470AD3-3"
path = [[0.5, {0.6 + number}], [{0.5 + 0.75 * (per_row - 1)}, {0.6 + number}]]
count = {per_row}
layers = ["skin"]
"""
        for number in range(rows)
    ]
    size = f"width = {0.75 * per_row + 1}, height = {rows + 0.5}"
    return (
        'name = "large skin"\n[[sheet]]\nname = "skin"\n'
        'old = { alloy = "2024-T3", thickness = 0.025 }\n'
        'new = { alloy = "2024-T3", thickness = 0.032 }\n'
        f"outline = {{ rectangle = {{ corner = [0, 0], {size} }} }}\n" + "".join(lines)
    )


def planned(text):
    return plan_job(parse_job(text))
