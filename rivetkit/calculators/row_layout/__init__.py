"""Laying out a row of rivets: even, on what must be hit, clear of what must be kept clear."""
