"""Sound jobs that between them use every key of a job file. Invented."""

from job_texts import HEAD, JOB, SHEET

NEW_ROW = """
[[row]]
name = "new"
fit = "MS20470AD3"
holes = [[1, 1]]
layers = ["skin"]
"""

RICH_JOBS = (
    """
name = "every way to tell an edge"
units = "in"
accuracy = 0.005
hole_accuracy = 0.0005
same_hole_within = "1/64"
half_lengths = false
rule_set = "army"

[[override]]
rule = "pitch_max"
value = 20
unit = "D"
source = "maker's drawing 12"

[spares]
percent = 12.5
minimum = 3
pack = 100

[hinge]
from = [0, -1]
to = ["20", -1]

[temperatures]
drilled = "68 F"
least = "10 C"
greatest = "95 F"

[[sheet]]
name = "skin"
old = { alloy = "2024-T3 clad", thickness = ".025" }
new = { alloy = "2024-T3 clad", thickness = 0.032 }
no_oversize = true
holes = [{ name = "drain", at = [18, 7], diameter = "3/16" }]
[sheet.outline]
name = "lofted"
start = [0, 0]
edges = [
  { name = "front", to = [20, 0], via = [[10, -0.5]] },
  { name = "tip", to = [20, 8], through = [21, 4] },
  { name = "back", to = [0, 8] },
  { name = "root", to = [0, 0] },
]
[[sheet.cutouts]]
name = "hatch"
rectangle = { corner = [3, 3], width = 2, height = 2, edges = ["fore", "out", "aft", "in"] }
[[sheet.cutouts]]
name = "port"
circle = { at = [9, 4], diameter = 2 }
[[sheet.cutouts]]
name = "slot"
start = [12, 4]
edges = [
  { name = "a", to = [14, 4] },
  { name = "b", to = [13, 5] },
  { name = "c", to = [12, 4] },
]

[[member]]
name = "doubler"
kind = "doubler"
alloy = "2024-T3"
thickness = 0.032
added = true
no_oversize = true
outline = { rectangle = { corner = [1, 1], width = 18, height = 6 } }
cutouts = [{ name = "hatch", rectangle = { corner = [3, 3], width = 2, height = 2 } }]
holes = [{ name = "drain", at = [18, 6.5], diameter = 0.25 }]

[[row]]
name = "ring"
rivet = "MS20470AD4-4"
circle = { at = [9, 4], diameter = 3, count = 8, start_angle = 22.5 }
layers = ["skin", "doubler"]

[[row]]
name = "nutplates"
rivet = "MS20426AD3-3"
nutplate = "MS21047-06"
lug = 0.025
screws = [{ at = [4, 2.5], angle = 0 }, { at = [4, 5.5] }]
skip = [4]
layers = [{ layer = "skin", form = "dimpled" }, { layer = "doubler", form = "dimpled" }]
""",
    """
name = "every way to tell a row"
units = "mm"
assumed = ["the spar's flange"]

[[sheet]]
name = "skin"
old = { alloy = "2024-T3", thickness = 0.8 }
outline = { rectangle = { corner = [0, 0], width = 400, height = "200 mm" } }

[[sheet]]
name = "patch"
old = { alloy = "2024-T3", thickness = 0.8 }
left_off = true
outline = { rectangle = { corner = [10, 90], width = 60, height = 20 } }

[[member]]
name = "spar"
kind = "spar"
thickness = 1.0
flange = { width = 20, end_distance = 8, heel_free = true }

[[member]]
name = "rib"
kind = "rib"
thickness = 0.8
edge_distance = 8

[[member]]
name = "frame"
kind = "frame"
alloy = ""
thickness = 0.8
edge = "not measured"

[[row]]
name = "even"
rivet = "MS20470AD3-4"
fit = "MS20470AD4"
path = [[10, 10], [390, 10]]
start_offset = 5
end_offset = "3/16"
count = 19
seam_rows = 2
sealant = 0.1
layers = ["skin", { layer = "spar", form = "plain", row_from_edge = 10 }]

[[row]]
name = "stepped"
rivet = "MS20470AD3"
path = [[10, 30], [390, 30]]
count = 3
pitch = 20
skip = 2
layers = ["skin", { layer = "rib", edge_distance = 7.5 }]

[[row]]
name = "no wider"
rivet = "MS20470AD3-4"
kept = true
path = [[10, 60], [390, 60]]
max_pitch = 20
layers = ["rib", "frame"]

[[row]]
name = "listed"
fit = "TMOPEN-4"
not_through = ["patch"]
replaces = ["gone"]
access = "blind"
holes = [[20, 100], [40, "100 mm"]]
layers = ["skin", "frame"]

[[row]]
name = "gone"
rivet = "MS20470AD3-4"
removed = true
holes = [[20, 130], [40, 130]]
layers = ["skin", "frame"]

[[row]]
name = "another head"
rivet = "MS20426AD3-4"
fit = "MS20470AD3"
holes = [[20, 120], [40, 120]]
layers = [{ layer = "skin", old_form = "countersunk" }, "frame"]

[[row]]
name = "from a file"
rivet = "MS20470AD3"
holes_csv = "holes.csv"
layers = ["skin", "frame"]
""",
    HEAD + SHEET.replace('old = { alloy = "2024-T3", thickness = 0.025 }\n', "") + NEW_ROW,
    JOB,
)

HOLES_CSV = "x,y\n20,150\n40,150\n"
