"""The fabric as solid bodies, for 3-D files."""
