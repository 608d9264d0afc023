"""A row layout as a report."""
