"""The chart on paper: squares, marks, sheets, the map of its back, its colours to other eyes."""
