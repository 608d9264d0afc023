"""Hole maps and drawings."""
