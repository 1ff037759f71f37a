"""What to change so that a chart lies wider and flatter: found from how it rests, then tried.

All of it reckons with the chart as an endless fabric whose floats are carried alike: so a stitch that changes does so
in every repeat, and no float's own luck decides. ``charted.py`` brings such a chart to rest and estimates what comes of
other floats in its rows, ``fabric/retied.py`` being the reckoning; over 200 random charts so changed and solved the
order of what was told and of what came agreed with a rank correlation of 0.93 to 0.99 (``python -m tests.changed``).
``costs.py`` tells what pulls, ``catching.py`` what a catch more or fewer would do, ``moves.py`` lists single changes,
``search.py`` asks an integer program for the fewest and tries each, ``by_rows.py`` works rows otherwise,
``changing.py`` puts ways of several kinds side by side, each as forecast in its own case (``aims.py``); ``placing.py``
lays the same motif otherwise. ``agreeing.py`` is of the one piece as it is: bands in it (``banding.py``) that are to
lie equally wide, and the ways to it (``band_ways.py``).

One stitch of a chart changes its width by a few hundredths of a per cent, for every row with two yarns has floats all
the way round: stitches break long floats, slack wins back width.
"""
