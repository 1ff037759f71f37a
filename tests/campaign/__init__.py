"""Hundreds of random fabrics, each brought to rest: does every one end, and end well?

``python -m tests.campaign`` runs it and prints what came out; a small fixed part is in the suite.
"""
