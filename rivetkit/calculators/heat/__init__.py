"""Growth with heat, and holes that are off with it."""
