"""From a scene on the table to what is seen and said of it.

``counting`` needs no solve and answers within the message that changed something. ``shapes`` turns a fabric, settling
or at rest, into the frame that the page draws. ``order`` is the work that one change asks for, ``solver`` the one
thread that does it: the newest change wins, and an older solve ends at its next step.
"""
