"""Does "likely" hold? Random scenes, each with its forecast, and fresh pieces that the forecast has not seen.

``python -m tests.likely [SCENES [DRAWS]]`` counts how many of the fresh pieces lie within the likely range of draw-in
and of pucker: nine in ten should. Fresh hands are drawn from the same that is known of hands, by numbers of their own,
so what is tested is how well sixteen pieces stand for all, not what is known of hands.
"""
