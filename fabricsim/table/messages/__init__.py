"""What page and server say to each other: every message typed, both ways, under one schema.

Text messages are JSON objects whose ``kind`` tells which they are: ``asked`` holds what the page may send, ``told``
what the server sends, ``fabrics`` what it says of the fabric. Shapes of fabric go as binary frames, made and read back
in ``frames``, the head of each typed in ``heads``. ``schema`` gives all of it as one JSON Schema, which the page's
types are made from and tested against.

Rows count from the bottom and columns from the left of the face, both from 0, yarns by their place in the scene, as in
all arrays of the package; the page says it as people count. Keys carry their units.
"""
