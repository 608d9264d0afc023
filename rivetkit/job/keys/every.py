"""Every key of a job file, what may stand in it and what it means: told once, for editors.

The reader asks for keys one by one, so that it can say what is wrong at each; a test holds the two
against each other, both ways.
"""

from __future__ import annotations

from typing import get_args

from rivetkit.calculators.stack import Form
from rivetkit.job.keys.key import Key, TableKeys
from rivetkit.job.keys.layers import LAYER_TABLES
from rivetkit.job.model import SAME_HOLE_IN, Access
from rivetkit.rules import DEFAULT_RULE_SET

#: Name of the description of the whole file.
TOP = "job"

TABLES: dict[str, TableKeys] = {
    TOP: TableKeys(
        "A job: what is riveted, with what, and where.",
        {
            "name": Key("text", "What the job is called on every report.", required=True),
            "units": Key(
                "choice",
                "Unit of bare numbers in this file, and of lengths reported of it. Fractions in "
                "quotes are always inches.",
                default="in",
                words=("in", "mm"),
            ),
            "accuracy": Key(
                "length",
                "How far off measured distances may be; what holds by less is marginal. A sheet "
                "counts as the gauge it is told as.",
                default=0.0,
                zero=True,
            ),
            "hole_accuracy": Key(
                "length",
                "How far off the measured diameters of holes may be: pin gauges and calipers tell "
                "more than a rule. Else as accuracy, but 0.001 in at most.",
                zero=True,
            ),
            "same_hole_within": Key(
                "length",
                "Holes of two rows this near are one hole, judged where it is worse off.",
                default=SAME_HOLE_IN,
            ),
            "half_lengths": Key(
                "flag", "Whether rivets in half lengths are to be had.", default=True
            ),
            "rule_set": Key(
                "rule set",
                "Whose limits to use; 'rivetkit sources rule-sets' lists them.",
                default=DEFAULT_RULE_SET,
            ),
            "override": Key(
                "tables", "Limits replaced by the aircraft maker's own.", table="override"
            ),
            "spares": Key("table", "How many more rivets to order than go in.", table="spares"),
            "hinge": Key("table", "Hinge line of a control surface, for balance.", table="hinge"),
            "temperatures": Key(
                "table",
                "How warm the parts are, for materials that heat moves apart.",
                table="temperatures",
            ),
            "assumed": Key("texts", "What was guessed, not measured; the plan says so."),
            "sheet": Key("tables", "Sheets that come off or are added.", table="sheet"),
            "member": Key("tables", "What stays, and new members.", table="member"),
            "row": Key("tables", "Rows of rivets.", required=True, table="row", least=1),
        },
        at_least_one=(("sheet", "member"),),
    ),
    "override": TableKeys(
        "A limit replaced by the aircraft maker's own.",
        {
            "rule": Key(
                "rule", "Name of the limit; 'rivetkit sources rules' lists them.", required=True
            ),
            "value": Key("number", "The maker's figure.", required=True),
            "unit": Key(
                "text",
                "D for rivet diameters, t for sheet thicknesses, in, mm, fraction, percent, count, "
                "degF.",
                required=True,
            ),
            "source": Key("text", "The maker's document and page.", required=True),
        },
    ),
    "spares": TableKeys(
        "How many more rivets to order than go in.",
        {
            "percent": Key("number", "Spares for each part [percent].", default=0.0, least=0.0),
            "minimum": Key("count", "At least so many spares of each part.", default=0, least=0),
            "pack": Key("count", "Parts are sold in packs of so many.", default=1, least=1),
        },
    ),
    "hinge": TableKeys(
        "Hinge line of a control surface.",
        {
            "from": Key("point", "A point on it.", required=True),
            "to": Key("point", "Another point on it.", required=True),
        },
    ),
    "temperatures": TableKeys(
        "How warm the parts are when they are drilled, and when they come together again.",
        {
            "drilled": Key(
                "text", "As the holes are drilled, such as 68 F or 20 C.", required=True
            ),
            "least": Key("text", "The coldest they are joined at.", required=True),
            "greatest": Key("text", "The warmest they are joined at.", required=True),
        },
    ),
    "row": TableKeys(
        "A row of rivets.",
        {
            "name": Key("text", "What it is called; its holes are name:1, name:2.", required=True),
            "rivet": Key(
                "part number",
                "What is installed, as its part number; without length when nobody saw one.",
            ),
            "fit": Key(
                "part number",
                "What goes in, when that is another rivet; without length it is reckoned.",
            ),
            "kept": Key(
                "flag",
                "The rivets stay in; no sheet they go through can come off.",
                default=False,
                needs=("rivet",),
                without=("fit",),
            ),
            "removed": Key(
                "flag",
                "The rivets come out and none goes back; the holes stay in whatever metal stays.",
                default=False,
                needs=("rivet",),
                without=("fit", "kept", "replaces", "not_through"),
            ),
            "replaces": Key("texts", "Removed rows whose load it takes over."),
            "access": Key(
                "choice",
                "Sides the rivets can be reached from.",
                default="both",
                words=get_args(Access),
            ),
            "layers": Key(
                "layers",
                "What it goes through, from the manufactured head down.",
                required=True,
                table="row_layer",
                least=1,
            ),
            "not_through": Key(
                "texts", "Layers that are drawn there and that it does not go through, as you saw."
            ),
            "path": Key(
                "points",
                "Line from the first hole to the last.",
                least=2,
                needs_one=("count", "pitch", "max_pitch"),
            ),
            "start_offset": Key(
                "length",
                "First hole so far from the path's start.",
                default=0.0,
                zero=True,
                needs=("path",),
            ),
            "end_offset": Key(
                "length",
                "Last hole so far from the path's end.",
                default=0.0,
                zero=True,
                needs=("path",),
            ),
            "count": Key("count", "So many holes, evenly.", least=1, needs=("path",)),
            "pitch": Key("length", "Exact steps from the start.", needs=("path",)),
            "max_pitch": Key(
                "length",
                "Evenly, no wider than this.",
                needs=("path",),
                without=("count", "pitch"),
            ),
            "circle": Key("table", "A ring of holes.", table="ring"),
            "holes": Key("points", "The holes one by one.", least=1),
            "holes_csv": Key("text", "CSV file beside the job, with columns x and y."),
            "nutplate": Key(
                "text", "Part number of the nutplates the row holds.", needs=("screws",)
            ),
            "screws": Key(
                "tables",
                "Where the screws of the nutplates are.",
                table="screw",
                least=1,
                needs=("nutplate",),
            ),
            "lug": Key(
                "length",
                "Thickness of the nutplate's lugs; without it no length is sure.",
                needs=("nutplate",),
            ),
            "skip": Key("hole numbers", "Holes left out, by their number in the row."),
            "seam_rows": Key(
                "count",
                "Rows in the seam this row is one of; 1 also says that a row beside it is another.",
                default=1,
                least=1,
            ),
            "sealant": Key(
                "length",
                "Thickness of all sealant between the layers.",
                default=0.0,
                zero=True,
            ),
        },
        exactly_one=(("path", "circle", "holes", "holes_csv", "nutplate"),),
        at_least_one=(("rivet", "fit"),),
    ),
    "row_layer": TableKeys(
        "A layer of a row's stack.",
        {
            "layer": Key("text", "Name of a sheet or member.", required=True),
            "form": Key(
                "choice",
                "How the hole is formed for a flush head.",
                default="plain",
                words=get_args(Form),
            ),
            "old_form": Key(
                "choice",
                "How it was formed for the flush rivet that comes out, when that differs.",
                words=get_args(Form),
            ),
            "row_from_edge": Key(
                "length",
                "From the row's line to the free edge of the flange. A row along a path is its "
                "own line; nutplates' is the line of their screws. How far holes stand off a "
                "straight line is taken off.",
            ),
            "edge_distance": Key(
                "length", "Least distance of the row's rivet centres to the edge, as measured."
            ),
        },
    ),
    "ring": TableKeys(
        "Holes evenly round a circle.",
        {
            "at": Key("point", "Its centre.", required=True),
            "diameter": Key("length", "Its diameter, hole centre to hole centre.", required=True),
            "count": Key("count", "So many holes.", required=True, least=1),
            "start_angle": Key(
                "number", "Where the first one is, from the x axis [deg].", default=0.0
            ),
        },
    ),
    "screw": TableKeys(
        "The screw of a nutplate.",
        {
            "at": Key("point", "Its centre.", required=True),
            "angle": Key("number", "The way its rivets stand, from the x axis [deg].", default=0.0),
        },
    ),
} | LAYER_TABLES
