"""Drawings as they were looked at and found right: small, from made-up numbers and fabrics, one picture each.

Whoever changes a drawing on purpose writes them anew with ``python -m tests.render.kept``, looks at those that it
names, and keeps them: where a letter is too large, a line in another place or a yarn before another, a picture says it
at once, and a test of single numbers only where somebody thought of it. A pixel aside is taken as the same.
"""
