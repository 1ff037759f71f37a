"""What the designer writes: the scene file, its chart and the files beside it, read and checked."""
