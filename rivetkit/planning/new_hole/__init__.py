"""A new hole near old ones: may it be drilled here, and where is the nearest place."""
