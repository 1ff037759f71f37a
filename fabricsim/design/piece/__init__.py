"""The whole piece, from cast-on to the last stitch: one model that words, yarn, chart and report all take from.

- ``model.py``: a piece is a cast-on, sections of rows, and an end. Rows of the scene keep the numbers that they have
  everywhere else (1 is the first above the rib), what follows counts on, and the rib counts for itself, so that a round
  of the chart is called the same in every size and by every command.
- ``making.py`` puts it together from the scene and the counts of a size (``design/sizes``).
- ``depth.py``: how deep a hat comes out against what is usual for the head, and by what it could be mended.
- Stitches of a steek (``design/scene/steek.py``) are in ``Scene.knitted_rows``, as the piece is worked, and not in
  ``piece_rows``, as it is once cut open: words, yarn, carry-ups and floats are of the first, forecast and difficulty
  of the second.
- ``thumb.py``: of a mitten.
- ``lining.py``, ``join.py``, ``swatch.py``: what lines it, where its rounds begin, what is knitted first.
- ``leads.py``: floats from the round below into the chart and out of it into the round above.
- ``used.py``: what its stitches around the chart take of each yarn.

``tests/design/piece/needle.py`` knits what the words say, stitch by stitch, and knows nothing of this.
"""
