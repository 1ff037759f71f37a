"""Where to catch floats that would be too long, planned and proven."""
