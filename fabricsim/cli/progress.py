"""Progress of long work, on standard error so that it never mixes with results."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from threading import Event
from types import TracebackType

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskID, TextColumn, TimeElapsedColumn

REST = 9.0
"""Decades from the force scale to the solver's tolerance: the length of a bar."""


class Watch:
    """A bar a stage on a terminal; elsewhere a line as each stage begins.

    ``in_turn``: of many stages one after the other, the terminal shows the last alone.
    """

    def __init__(self, in_turn: bool = False) -> None:
        self._in_turn = in_turn
        self._screen = Console(stderr=True)
        self._bars = Progress(
            TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn(), console=self._screen, transient=True
        )
        self._live = self._screen.is_terminal
        self._stopped = Event()

    def __enter__(self) -> Watch:
        if self._live:
            self._bars.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._stopped.set()  # solves that still run in other threads end at their next step
        if self._live:
            self._bars.stop()

    def stage(self, name: str, number: int, of: int) -> Solving:
        """Announce the solve ``number`` of ``of``; return what its steps are told to."""
        text = f"bringing to rest: {name}" if of == 1 else f"bringing to rest: {name} ({number + 1} of {of})"
        if self._live:
            return Solving(self._stopped, self._bars, self._begin(text, REST))
        print(f"{text} ...", file=sys.stderr, flush=True)
        return Solving(self._stopped)

    def drawing(self, what: str) -> None:
        """Announce a picture."""
        if self._live:
            self._begin(f"drawing: {what}", None)
        else:
            print(f"drawing: {what} ...", file=sys.stderr, flush=True)

    def counting(self, what: str, most: int) -> Callable[[int], None]:
        """Announce ``most`` pieces of work, alike; return what to tell how many are done."""
        if not self._live:
            print(f"{what}: up to {most:,} ...", file=sys.stderr, flush=True)
            return lambda done: None
        task = self._begin(what, most)
        return lambda done: self._bars.update(task, completed=done, description=f"{what}: {done:,} of up to {most:,}")

    def _begin(self, text: str, total: float | None) -> TaskID:
        """Add a bar, in place of all before it where one stage follows the other."""
        for task in self._bars.task_ids if self._in_turn else ():
            self._bars.remove_task(task)
        return self._bars.add_task(text, total=total)


class Solving:
    """Moves a bar as the largest force falls, decade by decade, never back; and stops a solve that nobody waits for."""

    def __init__(self, stopped: Event, bars: Progress | None = None, task: TaskID | None = None) -> None:
        self._stopped, self._bars, self._task, self._best = stopped, bars, task, 0.0

    def __call__(self, step: int, force: float) -> None:
        if self._stopped.is_set():
            raise KeyboardInterrupt
        self._best = max(self._best, min(REST, -math.log10(max(force, 1e-300))))
        if self._bars is not None and self._task in self._bars.task_ids:
            self._bars.update(self._task, completed=self._best)
