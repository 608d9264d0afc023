"""How strong a riveted joint is, and what gives way first."""
