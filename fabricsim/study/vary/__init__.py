"""Hands that vary: Monte Carlo, and which input matters most."""
