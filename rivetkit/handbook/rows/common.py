"""Words that more than one subject's tables use in their columns."""

from typing import Literal

Family = Literal["solid", "blind_open", "blind_closed", "blind_locked"]
LengthUnit = Literal["in", "mm"]

#: The metals that sheets and rivets are of.
Metal = Literal[
    "aluminium", "magnesium", "steel", "stainless", "nickel-copper", "titanium", "copper"
]
