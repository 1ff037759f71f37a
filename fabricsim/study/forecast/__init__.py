"""One fabric's forecast with its band, its starts, how slack it must be, and its sizes."""
