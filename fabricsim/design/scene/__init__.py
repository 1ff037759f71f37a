"""What the designer writes: the scene file, its chart and the files beside it, read and checked.

``opened`` alone opens a file of the user's; ``part_file`` alone reads TOML and says what is wrong with it, by
``complaint``. Every number of a file has a least and a most, by an alias beside its model with the owner of its ends,
and every text is a kind of ``wording``, so that nothing further in need doubt either:
``tests/design/scene/test_ranges.py`` looks at all of them.
"""
