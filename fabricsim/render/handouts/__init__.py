"""Pages and sheets for people, put together from the other rooms. ``pages/`` holds templates, styles and scripts.

``lesson`` is one page in which every step is there from the start and the script only chooses which one shows, so that
it can be read without the script and printed; it may load nothing, and its content policy says so. ``lesson_pictures``
and ``lesson_curves`` draw what is on it, ``lesson_solid`` makes the page in 3-D beside it. ``report`` lays out all that
the commands tell of a piece; each picture is encoded once. ``large_print`` has letters of 24 points.

``handout`` is one sheet of A4: it measures its words first and gives the pictures what room they leave, all at one
scale. ``multiples`` shows many fabrics at one scale.

``motion`` shows equilibria alone, never shapes in between. Every frame has its own camera, all at one scale, about the
middle of its stitches, so that the fabric stands still to a part of a pixel; a repeat is cut off at its window by how
much of a pixel lies inside. A GIF has one table of colours and no dithering, so that nothing flickers.
"""
