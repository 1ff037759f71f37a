"""Every kind of energy, one short file each; importing this folder registers them all."""

from fabricsim.mechanics.energies import bar, bend, coupling, height, tie, touch, twist, wrap
from fabricsim.mechanics.energies.registry import KINDS, Kind, Sample

__all__ = ["KINDS", "Kind", "Sample", "bar", "bend", "coupling", "height", "tie", "touch", "twist", "wrap"]
