"""Energies of arrays and their minimum; knows nothing of knitting."""
