"""A drawing read: circles, lines and outlines of a DXF file."""
