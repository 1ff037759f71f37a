"""Progress of long work, on standard error so that it never mixes with results."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from threading import Event
from time import monotonic
from types import TracebackType

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    SpinnerColumn,
    TaskID,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)

REST = 9.0
"""Decades from the force scale to the solver's tolerance: the length of a bar."""
SECONDS_BETWEEN = 10.0
"""Between two lines that count, where there is no terminal (chosen)."""


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
        _note(f"{text} ...")
        return Solving(self._stopped)

    def again_and_again(self, what: str) -> Repeating:
        """Announce solves whose number nobody knows; return what their steps are told to, one solve after the other."""
        text = f"bringing to rest: {what}"
        if self._live:
            return Repeating(text, self._stopped, self._bars, self._begin(text, REST))
        _note(f"{text} ...")
        return Repeating(text, self._stopped)

    def searching(self, what: str) -> None:
        """Announce a search of which nobody knows how far it is, on a terminal: nothing else would move there."""
        if self._live:
            self._begin(what, None)

    def drawing(self, what: str) -> None:
        """Announce a picture."""
        if self._live:
            self._begin(f"drawing: {what}", None)
        else:
            _note(f"drawing: {what} ...")

    def counting(self, what: str, most: int) -> Callable[[int], None]:
        """Announce ``most`` pieces of work, alike; return what to tell how many are done."""
        if not self._live:
            _note(f"{what}: up to {most:,} ...")
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


class Repeating(Solving):
    """The same for many solves in turn: the bar begins anew with each, and each is counted; elsewhere in a line now and
    then."""

    def __init__(self, text: str, stopped: Event, bars: Progress | None = None, task: TaskID | None = None) -> None:
        super().__init__(stopped, bars, task)
        self._text, self._solve, self._step, self._said = text, 0, math.inf, monotonic()

    def __call__(self, step: int, force: float) -> None:
        if step <= self._step:
            self._solve += 1
            self._best = 0.0
            self._tell()
        self._step = step
        super().__call__(step, force)

    def _tell(self) -> None:
        said = f"{self._text}, solve {self._solve}"
        if self._bars is not None and self._task in self._bars.task_ids:
            self._bars.update(self._task, description=said)
        elif monotonic() - self._said >= SECONDS_BETWEEN:
            _note(f"{said} ...")
            self._said = monotonic()


class Tally:
    """Counts ``of`` like things as they get done, and says how long the others will take: on a terminal as a bar,
    elsewhere in a line now and then. ``done``: how many were done before."""

    def __init__(self, what: str, of: int, done: int = 0) -> None:
        self._what, self._of, self._done, self._before = what, of, done, done
        self._screen = Console(stderr=True)
        self._bars = Progress(
            SpinnerColumn(),  # turns while a single one takes long
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            TextColumn("time left"),
            TimeRemainingColumn(),
            console=self._screen,
            transient=True,
        )
        self._begun = self._said = monotonic()

    def __enter__(self) -> Tally:
        if self._screen.is_terminal:
            self._bars.start()
            self._task = self._bars.add_task(self._what, total=self._of, completed=self._done)
        else:
            before = f", {self._done} of them already done" if self._done else ""
            _note(f"{self._what}: {self._of}{before} ...")
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._screen.is_terminal:
            self._bars.stop()

    def one_more(self) -> None:
        """Count one."""
        self._done += 1
        if self._screen.is_terminal:
            self._bars.advance(self._task)
            return
        now = monotonic()
        if now - self._said >= SECONDS_BETWEEN and self._done < self._of:
            left = (now - self._begun) / (self._done - self._before) * (self._of - self._done)
            _note(f"{self._what}: {self._done} of {self._of}, {_time(left)} left ...")
            self._said = now


def _note(line: str) -> None:
    """Print a line on standard error in one piece, whatever other threads print."""
    sys.stderr.write(f"{line}\n")
    sys.stderr.flush()


def _time(seconds: float) -> str:
    """Return a time in words that are as exact as a guess can be."""
    if seconds < 90.0:
        return f"about {max(1, round(seconds))} s"
    minutes = round(seconds / 60.0)
    return f"about {minutes} min" if minutes < 90 else f"about {seconds / 3600.0:.1f} hours"
