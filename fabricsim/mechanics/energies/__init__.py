"""Every kind of energy, one short file each; importing this folder registers them all."""

from fabricsim.mechanics.energies import bar, bend, clearance, coupling, height, tie, touch, twist, wrap

__all__ = ["bar", "bend", "clearance", "coupling", "height", "tie", "touch", "twist", "wrap"]
