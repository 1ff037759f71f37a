"""Plots of numbers. They take plain arrays and know nothing of equilibria; no other room builds on them.

``shape``: the map of pucker and the width of every row, and the quiet look that all plots share (``dress``);
``slack_curves``: draw-in and pucker against slack; ``stretch``: load against stretch; ``variation``: histograms of
pieces, and what makes them differ.
"""
