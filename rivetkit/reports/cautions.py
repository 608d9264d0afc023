"""The cautions that close every report someone could drill by."""

from __future__ import annotations

DATA_FIRST = (
    "Handbook minima: the aircraft maker's data and data your authority has approved come first."
)
INSPECTION = "Have the work inspected by someone entitled to sign for it."
EYES = "Wear eye protection; clear the chips out of the structure."

#: For a report someone could drill or rivet by.
BENCH_CAUTIONS: tuple[str, ...] = (DATA_FIRST, INSPECTION, EYES)

#: For a chart or a look-up that only names sizes.
LOOKUP_CAUTIONS: tuple[str, ...] = (DATA_FIRST,)

#: For a control surface.
REBALANCE = (
    "A control surface whose mass changed must be weighed and balanced again, to the maker's "
    "limits, before flight: flutter destroys aircraft."
)

#: For a job that tells no hinge line: whether it is of a control surface nobody said.
MAYBE_REBALANCE = (
    "If the part is of a control surface or a tab, its mass has changed: tell its hinge line under "
    "[hinge], and weigh and balance it again, to the maker's limits, before flight: flutter "
    "destroys aircraft."
)

#: For a job with nutplates: how wide their bodies are is not on file.
NUTPLATE_BODIES = (
    "Rivets beside a nutplate are held to its rivets and its screw hole, not to its body and lugs, "
    "whose width is not on file: see that heads stay clear of them."
)


def proud_head(rivet: str) -> str:
    """Return the caution that the heads of a nutplate's rivets stand in the cover's way."""
    return (
        f"The heads of {rivet} stand out where the cover lies: it bears on them unless it is "
        "relieved or packed there. Flush rivets hold nutplates under a flat cover."
    )
