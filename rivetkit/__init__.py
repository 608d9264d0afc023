"""Rivet removal and replacement in light-aircraft sheet metal, every number with its source."""

__version__ = "0.1.0"
