"""Many fabrics: a forecast with its band, and what works on several fabrics at once."""
