"""Nutplates: one, its lugs, and a ring of them round an opening."""
