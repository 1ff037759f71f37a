"""Counting along the rows: which yarn is carried from where to where, behind which squares."""
