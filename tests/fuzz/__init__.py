"""Thousands of scenes, good and spoilt: does every command answer them, or say in one line what is wrong?

``python -m tests.fuzz [SCENES [SEED]]`` makes scenes of the demo scenes, each from its own seed, and asks the commands
that count about them; ``--deep`` brings small ones of extreme fabrics to rest instead. Whatever it finds is printed
with its seed, so that ``python -m tests.fuzz 1 SEED`` does the same again. A small fixed part is in the suite.
"""
