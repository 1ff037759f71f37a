"""What a measured swatch tells of its knitter's hands."""
