"""How the minimum of an energy is found: ``direction``, ``line_search`` and ``stopping``, put together in ``minimise``;
and ``response``, what a minimum does under small forces.
"""
