"""A knitted swatch: its form, what was measured on it, and whether that can be."""
