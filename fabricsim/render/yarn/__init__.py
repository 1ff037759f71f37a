"""From stitches to yarn: the paths of loops and floats, and tubes about them."""
