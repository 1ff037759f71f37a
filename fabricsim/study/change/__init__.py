"""What to change so that a chart lies wider and flatter: found from how it rests, then tried.

All of it reckons with the chart as an endless fabric whose floats are carried alike: so a stitch that changes does so
in every repeat, and no float's own luck decides. ``charted.py`` brings such a chart to rest and estimates what comes of
other floats in its rows, ``fabric/retied.py`` being the reckoning.
"""
