"""Rivets, solid and blind: part numbers both ways, and what the tables know of each."""

from rivetkit.fasteners.fastener import Fastener
from rivetkit.fasteners.grammar import Standard, standards
from rivetkit.fasteners.part_number import (
    canonical_designation,
    format_part_number,
    parse_part_number,
    same_part,
    stock_lengths_in,
    with_length,
    with_length_code,
)

__all__ = [
    "Fastener",
    "Standard",
    "canonical_designation",
    "format_part_number",
    "parse_part_number",
    "same_part",
    "standards",
    "stock_lengths_in",
    "with_length",
    "with_length_code",
]
