"""The keys of a job file that describe its sheets and members."""

from __future__ import annotations

from typing import get_args

from rivetkit.job.keys.key import Key, TableKeys
from rivetkit.job.model import LayerKind

_NO_OVERSIZE = "Holes in it may not go up a size."
_CUTOUTS = "Openings in it."
_HOLES = "Round holes in it, screw holes for example."
_OUTLINE = "Its edges."

LAYER_TABLES: dict[str, TableKeys] = {
    "sheet": TableKeys(
        "A sheet: 'new' alone is added; 'old' alone comes off and goes back as it was. One that "
        "stays on is a member of kind skin.",
        {
            "name": Key("text", "What the rows call it.", required=True),
            "old": Key("table", "The sheet that comes off.", table="state"),
            "new": Key("table", "The sheet that goes on.", table="state"),
            "outline": Key("table", _OUTLINE, required=True, table="outline"),
            "cutouts": Key("tables", _CUTOUTS, table="cutout"),
            "holes": Key("tables", _HOLES, table="hole"),
            "no_oversize": Key("flag", _NO_OVERSIZE, default=False),
            "left_off": Key(
                "flag",
                "It comes off, and nothing takes its place.",
                default=False,
                needs=("old",),
                without=("new",),
            ),
        },
        at_least_one=(("old", "new"),),
    ),
    "state": TableKeys(
        "What a sheet is made of.",
        {
            "alloy": Key("text", "Alloy and temper, such as 2024-T3 clad.", required=True),
            "thickness": Key("length", "Thickness.", required=True),
        },
    ),
    "member": TableKeys(
        "A member that the sheets are riveted to.",
        {
            "name": Key("text", "What the rows call it.", required=True),
            "kind": Key(
                "choice",
                "What it is.",
                required=True,
                words=tuple(kind for kind in get_args(LayerKind) if kind != "sheet"),
            ),
            "alloy": Key("text", "Alloy and temper; empty when nobody knows.", default=""),
            "thickness": Key("length", "Thickness where the rivets go through.", required=True),
            "added": Key("flag", "It is new: its holes are not there yet.", default=False),
            "outline": Key("table", _OUTLINE, table="outline"),
            "flange": Key("table", "Its flange, told by its width.", table="flange"),
            "edge_distance": Key(
                "length", "Least distance of any rivet centre to its edge, as measured."
            ),
            "edge": Key(
                "choice",
                "Nobody measured its edge: edge distances in it are not checked.",
                words=("not measured",),
            ),
            "cutouts": Key("tables", _CUTOUTS, table="cutout", needs=("outline",)),
            "holes": Key("tables", _HOLES, table="hole", needs=("outline",)),
            "no_oversize": Key("flag", f"{_NO_OVERSIZE} True for spar and stringer unless told."),
        },
        exactly_one=(("outline", "flange", "edge_distance", "edge"),),
    ),
    "flange": TableKeys(
        "A flange told by its width.",
        {
            "width": Key("length", "From its free edge to the heel of the bend.", required=True),
            "end_distance": Key(
                "length",
                "Least distance of the outermost rivets to its ends; of a flange in tabs tell "
                "edge_distance in the row.",
            ),
            "heel_free": Key("flag", "A flat strip: no bend at the heel.", default=False),
        },
    ),
    "outline": TableKeys(
        "Edges, in order round the metal: a rectangle, or a start and what follows.",
        {
            "rectangle": Key("table", "Four straight edges.", table="rectangle"),
            "start": Key("point", "Where the first edge starts.", needs=("edges",)),
            "edges": Key(
                "tables",
                "The edges; the last one ends at the start.",
                table="edge",
                least=1,
                needs=("start",),
            ),
            "name": Key("text", "A note of your own.", default=""),
        },
        exactly_one=(("rectangle", "start"),),
    ),
    "cutout": TableKeys(
        "An opening: a rectangle, a circle, or a start and what follows.",
        {
            "name": Key("text", "What it is called; its edges bear the name.", required=True),
            "circle": Key("table", "A round opening.", table="circle"),
            "rectangle": Key("table", "Four straight edges.", table="rectangle"),
            "start": Key("point", "Where the first edge starts.", needs=("edges",)),
            "edges": Key(
                "tables",
                "The edges; the last one ends at the start.",
                table="edge",
                least=1,
                needs=("start",),
            ),
        },
        exactly_one=(("rectangle", "start", "circle"),),
    ),
    "rectangle": TableKeys(
        "A rectangle along the axes.",
        {
            "corner": Key("point", "Its lower left corner.", required=True),
            "width": Key("length", "Its size along x.", required=True),
            "height": Key("length", "Its size along y.", required=True),
            "edges": Key(
                "edge names",
                "What its edges are called: bottom, right, top and left in turn.",
            ),
        },
    ),
    "edge": TableKeys(
        "An edge from where the last one ended.",
        {
            "name": Key("text", "What it is called.", required=True),
            "to": Key("point", "Where it ends.", required=True),
            "through": Key(
                "point", "A point on the way of an edge that is an arc.", without=("via",)
            ),
            "via": Key("points", "Corners on the way, joined by straight lines.", least=1),
        },
    ),
    "circle": TableKeys(
        "A circle.",
        {
            "at": Key("point", "Its centre.", required=True),
            "diameter": Key("length", "Its diameter.", required=True),
        },
    ),
    "hole": TableKeys(
        "A round hole.",
        {
            "name": Key("text", "What it is called.", required=True),
            "at": Key("point", "Its centre.", required=True),
            "diameter": Key("length", "Its diameter.", required=True),
        },
    ),
}
