"""Shared by the tests of mechanics and fabric: differences, small meshes, strips, an independent solver."""
