"""Handbook tables as typed rows, each with the document it was read in."""

from rivetkit.handbook.load import Row, load_table
from rivetkit.handbook.sources import BASIS_ORDER, Basis, Citation, Source, load_sources

__all__ = ["BASIS_ORDER", "Basis", "Citation", "Row", "Source", "load_sources", "load_table"]
