"""The chart on paper.

A chart is laid out (``layout``) before it is drawn: upright or on its side, whichever makes the squares larger; below 3
mm it takes several sheets, cut at heavier lines so that every square lies on exactly one. ``sheet`` puts a page
together, ``squares`` draws the squares with the marks on and round them, ``marks`` has the symbols: outlines about the
middle of a square, in ink or white, whichever has the higher contrast. The scene's own symbols give way to plain marks
where small print can't keep them apart. Sizes are lines across the squares (``SizeLine``), for whoever knows the sizes
of a scene. All words stand beside the squares; a test measures it. What a chart shows is counted in the design, its
words are the command's.

``back_map`` shows the back with its floats and catches, ``catch_marks`` says where these lie. ``swatches`` shows the
chart in grey and to the colour-blind, ``telling_apart`` holds the yarns that meet against each other in numbers.
"""
