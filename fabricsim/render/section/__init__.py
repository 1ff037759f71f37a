"""One row seen edge on."""
