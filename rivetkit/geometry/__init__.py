"""Plane geometry of outlines, paths and many holes, on arrays in inches."""
