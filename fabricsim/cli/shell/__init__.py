"""What every command does in the same way: options, answers, pages, files written, progress.

A command that answers in tables makes one ``Answer`` (``answer.py``): what it tells a page, what it says to programs,
its lines for a spreadsheet; ``give`` does the rest. ``by_size.py`` is where the others learn of sizes. The report
(``cli/commands/report/gathering.py``) runs the same answers against a page that records instead of printing
(``recorded.py``), so that not one sentence is written twice; ``render/handouts/report.py`` lays the blocks out.
Cautions come first, by what the piece is for (``cli/words/cautions.py``), and never promise anything.
"""
