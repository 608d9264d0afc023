"""Rivets a splice needs, by the printed tables, their formula and the allowables."""
