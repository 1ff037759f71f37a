"""The commands, a folder each, all built alike: who knows one can read all.

- ``command.py``: the function that the command line calls, and the way from the scene to the answer. It opens the
  scene, gathers what was asked for, works it out in ``answer_of`` and hands the answer over (``shell/answer.py``).
- ``options.py``: what was asked for as one frozen dataclass, where that is more than a word or two; it checks itself,
  so everything that can be wrong is said before anything heavy loads.
- ``words.py`` speaks to people, ``data.py`` to programs and spreadsheets, ``pictures.py`` draws.

No command imports from another one: what two of them need lies in ``shell/`` or ``words/``. Only ``report`` does, which
gathers what the others answer.
"""
