"""The fabric as a browser draws it: yarn as numbers, and the scripts that draw it, by raw WebGL2 and no library.

``yarn`` makes the arrays of a fabric, ``carried`` has yarn go along with its stitches (a first look in a tenth of the
time), ``frame`` lays arrays out as bytes. ``gl/`` draws them: the worktable serves these scripts file by file, the
lesson's page in 3-D holds them (``script`` puts modules together to one). ``alone/`` is what that page does besides: it
turns a fabric that stays as it is.

Where the processor draws, a fine picture is drawn part by part beside the canvas (``gl/slowly``): a change that comes
meanwhile waits for one part, not for the picture. Measured with 24 x 24 stitches in Chromium without a graphics
processor, from a slider to the first look as painted: 81 ms in a row and 99 after a pause, where yarn laid anew and
pictures drawn at once took 103 and 137.
"""
