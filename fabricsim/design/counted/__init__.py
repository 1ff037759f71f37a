"""What follows from the chart by counting: rounds, yarn, difficulty, needles, small changes.

``yarn``, ``rounds`` and ``difficulty`` follow from the chart by counting alone, in ``design/``, with their words in
``cli/``; other widths of the same chart come in by ``--across`` (``cli.shell.options.with_across``), which any command
can take.

- Yarn (``yarn_amounts.py``). A loop is ``Gauge.loop_length``, by the density of plain knitting, which
  ``design/scene/yarn.py`` owns and the fabric's mass and the drawn loop are held to. Half a stitch of a float's way
  lies in the loop at each of its ends already, so what it adds behind n stitches is n widths and its slack, not n + 1;
  two colours then weigh exactly 1 + (1 + s) w/l of one, whatever the chart (a test says so). Ends are counted: two a
  yarn, two a break, two a ball joined.
- Rows (``rounds.py``). A row is its runs over the whole piece, so that they merge where repeats meet and the first
  repeat may differ (a yarn not yet there can't be caught). What repeats is found in the runs, not taken from the chart:
  of all ways to tell a row once, the one with fewest runs, if the repeats make half of it.
  ``tests/support/pattern_reader.py`` reads both wordings back without knowing any of this, and must get the chart, the
  sides and the catches again.
- Difficulty (``difficulty.py``). Six counts, each with two limits; the limits are chosen, none is measured.
- Needles (``needles.py``). Sizes as they are sold, and how many larger make good what is drawn in.
- Mending (``edits.py``, ``mending.py``, ``chart_in_text.py``). One float over the limits after the other is broken by
  the smallest change that makes no new one; only what a change can touch is counted again, the rows with it and those
  next to them. Tests try every stitch of 300 charts.
"""
