"""Does a known slack come back from noisy measurements, inside its interval as often as the interval says?

``python -m tests.recovery`` makes up swatches, measures them with noise and calibrates; a small fixed part is in the
suite.
"""
