"""The fabric as a browser draws it: yarn as numbers, and the scripts that draw it, by raw WebGL2 and no library.

``yarn`` makes the arrays of a fabric, ``frame`` lays arrays out as bytes. ``gl/`` draws them: the worktable serves
these scripts file by file, the lesson's page in 3-D holds them (``script`` puts modules together to one). ``alone/`` is
what that page does besides: it turns a fabric that stays as it is.
"""
