"""From a scene on the table to what is seen and said of it.

``counting`` needs no solve and answers within the message that changed something. ``shape`` is what the page draws,
``drawing`` makes it of a fabric, settling or at rest. ``order`` is the work that one change asks for, ``worker`` the
process that does it: the newest change wins, and an older solve ends within milliseconds. There are two: ``settling``
brings the piece to rest, ``pondering`` finds, once the hand is still, what might be done (``suggesting``) and how far
the forecast may be off. ``trades`` names both without loading what they need.
"""
