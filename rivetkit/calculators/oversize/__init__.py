"""Holes that have grown: what cleans them up, and what may go in."""
