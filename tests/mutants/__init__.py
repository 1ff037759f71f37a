"""Do the tests see it when the code is wrong? Small faults are put in, one at a time, and tests are run on each.

``python -m tests.mutants PACKAGE`` does it for ``fabricsim/PACKAGE`` and the tests of ``tests/PACKAGE``: of all faults
that ``faults.py`` knows how to make, a seeded few are made in a copy of the project, never in the project itself. A
first run of the unspoilt tests notes which lines of the package each test comes by and what it takes (``record.py``;
it takes several times what the tests take, and ``--record`` keeps it). A fault is then shown to those tests only that
come by its lines, cheap ones and those of the same name first (``choice.py``), until one fails; where no test comes by
so much as its file, to those that start programs. What programs run in functions is noted too (``started.py``).

All tests are loaded once (``host.py``). For each fault a process parts from that one and gives the functions that are
wrong their new code (``patched.py``), which takes a hundredth of a second; where the fault is in what was read
while modules were loaded, they are loaded anew. Such a process changes no file outside of the copy (``guard.py``).

Tests are shown a fault as long as together they take the seconds of ``--most``, by the clock of the processor and with
the noting going on; what is left over is said, and counts as not noticed. A test that takes five times its time, and
five seconds, has noticed. With ``--outcomes`` the same words go on where a run was ended, and with more seconds show
what survived to the tests that were left over.

A fault that no test notices is a hole in the tests, or makes no difference, or one that nobody would mind: the list at
the end, each with its place and its lines, is there to be read.
"""
