"""Taking a rivet out without opening its hole."""
