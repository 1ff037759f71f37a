"""Do the tests see it when the code is wrong? Small faults are put in, one at a time, and tests are run on each.

``python -m tests.mutants PACKAGE`` does it for ``fabricsim/PACKAGE`` and the tests of ``tests/PACKAGE``: of all faults
that ``faults.py`` knows how to make, a seeded few are made in a copy of the project, never in the project itself. A
first run of the unspoilt tests notes which functions each test comes by and what it takes (``record.py``); a fault is
then shown to those tests only that come by it, cheap ones and those of the same name first (``choice.py``), until one
fails.

A fault that no test notices is a hole in the tests, or makes no difference, or one that nobody would mind: the list at
the end, each with its place and its lines, is there to be read.
"""
