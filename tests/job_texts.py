"""A small sound job that tests bend in one place at a time. Invented."""

SHEET = """
[[sheet]]
name = "skin"
old = { alloy = "2024-T3", thickness = 0.025 }
new = { alloy = "2024-T3", thickness = 0.032 }
[sheet.outline]
start = [0, 0]
edges = [
  { name = "front", to = [10, 0] },
  { name = "tip", to = [10, 6] },
  { name = "back", to = [0, 6] },
  { name = "root", to = [0, 0] },
]
"""

#: The same as one that stays on.
SKIN_STAYS = """
[[member]]
name = "skin"
kind = "skin"
alloy = "2024-T3"
thickness = 0.025
outline = { rectangle = { corner = [0, 0], width = 10, height = 6 } }
"""

MEMBER = """
[[member]]
name = "rib"
kind = "rib"
thickness = 0.025
flange = { width = 0.625, end_distance = 0.3 }
"""

ROW = """
[[row]]
name = "row"
rivet = "MS20470AD3-3"
path = [[0.5, 0.5], [9.5, 0.5]]
count = 13
layers = ["skin", { layer = "rib", row_from_edge = 0.3125 }]
"""

HEAD = 'name = "test job"\n'

JOB = HEAD + SHEET + MEMBER + ROW
