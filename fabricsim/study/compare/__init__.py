"""Grids of settings brought to rest, and rows that outlive whatever stops them.

``grid`` and ``setting`` say what is compared, ``chains`` brings it to rest, ``checkpoint`` keeps what came of it: rows
in the file of a ``store``, and in ``shapes`` beside it what each chain goes on from. A shape is on the disk before its
row and goes after the next one's. ``order`` says which of many fabrics lie best and which worst. Rows and shapes bear
seals, made from their bytes and from what study they are of, so nothing that was damaged, or belongs to another study,
is ever taken for an answer.

The same bytes come out whatever happened on the way, since a setting depends on its scene and on the shape that it
starts from alone, and that is always the shape of the last before it in its chain that came to rest. Where a row in the
middle of a chain is lost, that shape is long gone: the chain is then gone through again from the last shape before it
that is whole, or from plain fabric, and only what was missing becomes a row.
"""
