"""Grids of settings brought to rest, and rows that outlive whatever stops them."""
