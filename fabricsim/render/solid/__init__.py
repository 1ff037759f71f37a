"""The fabric as solid bodies, for 3-D files: in metres, y up, the face towards +z.

``yarn`` makes a body a yarn, every strand a closed tube, coarser than in pictures; the colour of a vertex is its yarn's
times the open sky there. It writes the files too. A GLB holds colours in linear light as numbers of 4 bytes: one byte
leaves dark yarn five tones, and some readers know no two-byte colours. It names a material that is no metal, or viewers
show it nearly black.

``cloth`` is one closed sheet whose stitches keep their colour to 0.46 of a stitch, so that it is closed without doubled
vertices; front and back lie half a thickness off the stitches.
"""
