"""Plots of numbers."""
