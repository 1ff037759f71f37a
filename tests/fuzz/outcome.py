"""What came of one scene: every command that was asked about it, held to what all commands promise."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import signal
import tempfile
import warnings
from collections.abc import Callable, Iterator
from contextlib import chdir, contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

from fabricsim.cli import main
from tests.fuzz.case import Case, case_of
from tests.fuzz.questions import OUT, Words

ANSWERED, REFUSED, NO_REST = 0, 2, 3
MOST_SECONDS = 60.0
"""Of processor, for one question (chosen: a thousand times what it takes)."""
MEMORY = Path("/dev/shm")
"""Files in memory, where the system has them: every answer is otherwise waited for until it is on a disk."""
REFUSAL = re.compile(
    r"fabricsim: ((?P<where>--[a-z-]+|SCENE|the settings to compare|[\w.]+\.(toml|txt|png)(: .+?)?)"
    r": given .*; allowed: .+; .+"
    r"|.+; see 'fabricsim( [a-z]+)? --help')\n"
)
"""One line: an option or a file, and the key in it; what was given, what is allowed, what to do."""
NO_LETTERS = re.compile(r"fabricsim: no font on this machine has .+, which pictures show as \? or a box; .+\n")
"""What is said beside an answer that holds a picture, where its letters can't be drawn."""
NO_NUMBER = re.compile(r"(?<![\w])[-+]?(nan|inf|infinity)(?![\w])", re.IGNORECASE)

Ask = Callable[[Words], int]


@dataclass
class Outcome:
    """How many questions were ``answered`` and ``refused``, at which places of the files (``where``), and what was
    wrong with any of it: ``faults``, a line each."""

    seed: int
    answered: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    where: set[str] = field(default_factory=set)
    faults: list[str] = field(default_factory=list)


class TooLongError(BaseException):
    """A question has taken more of the processor than any may; no net for mistakes catches it."""


def outcome(seed: int, ask: Ask = main, keep: Path | None = None) -> Outcome:
    """Return what becomes of the case of a ``seed``; its files are left in ``keep`` if something is wrong."""
    found = Outcome(seed)
    case = case_of(seed)
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as folder:
        for name, data in case.files.items():
            (Path(folder) / name).write_bytes(data)
        with chdir(folder):
            for words in case.questions:
                found.faults += [f"{one}: fabricsim {' '.join(words)!r}" for one in _asked(words, ask, case, found)]
        if found.faults and keep is not None:
            shutil.copytree(folder, keep / str(seed), dirs_exist_ok=True)
    return found


def _asked(words: Words, ask: Ask, case: Case, found: Outcome) -> Iterator[str]:
    """Ask in a folder that holds the case's files; yield what is wrong, and leave no answers."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="") for _ in range(2))
    try:
        with redirect_stdout(out), redirect_stderr(err), warnings.catch_warnings(), _limited():
            warnings.simplefilter("error")
            status = ask(words)
    except BaseException as raised:
        if isinstance(raised, KeyboardInterrupt):
            raise
        yield f"raised {type(raised).__name__} ({raised})"
        return
    said, complained = (_text(stream) for stream in (out, err))
    if status == ANSWERED:
        found.answered.append(words[0])
        yield from _wrong_with_answer(words, said, complained, case)
    elif status in (REFUSED, NO_REST):
        found.refused.append(words[0])
        match = REFUSAL.fullmatch(complained)
        if match is not None and match["where"] is not None:
            found.where.add(re.sub(r"[^a-z_.:\- ]|\d", "", match["where"])[:60])
        yield from _wrong_with_refusal(status, said, complained)
    else:
        yield f"ended with {status} and said {complained!r}"
    yield from _wrong_with_files(case)


def _text(stream: io.TextIOWrapper) -> str:
    stream.flush()
    buffer: Any = stream.buffer
    return str(buffer.getvalue().decode())


# ---- what is promised ----------------------------------------------------------------------------


def _wrong_with_refusal(status: int, said: str, complained: str) -> Iterator[str]:
    if said:
        yield f"prints {said[:80]!r} though it ends with {status}"
    if complained.count("\n") != 1 or not REFUSAL.fullmatch(complained):
        yield f"is not one line that says where, what and why: {complained!r}"
    if not _can_be_printed(complained):
        yield f"would upset a terminal: {complained!r}"
    if Path(OUT).exists():
        yield "leaves a folder for an answer that it doesn't give"


def _wrong_with_answer(words: Words, said: str, complained: str, case: Case) -> Iterator[str]:
    if complained and not NO_LETTERS.fullmatch(complained):
        yield f"answers, and complains: {complained!r}"
    texts = {"what is printed": said}
    printed = "--out" not in words
    if not printed:
        place = Path(words[words.index("--out") + 1])
        files = sorted(place.parent.glob(f"{place.stem}*{place.suffix}"))  # a chart may have several sheets
        if not files or not all(one.stat().st_size for one in files):
            yield f"says it is written, but {place} is not there or empty"
        texts |= {str(one): one.read_bytes().decode() for one in files if one.suffix in (".txt", ".json", ".csv", "")}
    for name, text in texts.items():
        on_paper = printed or name != "what is printed"
        as_json = "--json" in words if on_paper and "chart" not in words else "--json" in words and not on_paper
        as_csv = on_paper and "--csv" in words
        if as_json or name.endswith(".json") or (words == ("schema",)):
            yield from _wrong_with_json(name, text)
        elif as_csv or name.endswith(".csv"):
            yield from _wrong_with_csv(name, text)
        if not _can_be_printed(text):
            yield f"would upset a terminal, {name}: {_unseen(text)!r}"
        number = NO_NUMBER.search(text)
        given = any(NO_NUMBER.search(data.decode("utf-8", "replace")) for data in case.files.values())
        if number is not None and not given:
            yield f"holds no number, {name}: {text[max(0, number.start() - 60) : number.end() + 20]!r}"


def _wrong_with_json(name: str, text: str) -> Iterator[str]:
    def not_a_number(constant: str) -> None:
        raise ValueError(f"{constant} is no JSON")

    try:
        json.loads(text, parse_constant=not_a_number)
    except ValueError as problem:
        yield f"is no JSON, {name}: {problem}"


def _wrong_with_csv(name: str, text: str) -> Iterator[str]:
    try:
        widths = {len(line) for line in csv.reader(io.StringIO(text, newline=""), strict=True)}
    except csv.Error as problem:
        yield f"is no CSV, {name}: {problem}"
    else:
        if len(widths) != 1:
            yield f"has lines of {sorted(widths)} cells, {name}"


def _wrong_with_files(case: Case) -> Iterator[str]:
    """Yield what became of the files that were there, and which were left that nobody asked for; take answers away."""
    shutil.rmtree(OUT, ignore_errors=True)
    left = {one.relative_to(".").as_posix() for one in Path().rglob("*")}
    for name in sorted(left - set(case.files)):
        yield f"leaves {name!r}"
        shutil.rmtree(name) if Path(name).is_dir() else Path(name).unlink(missing_ok=True)
    for name, data in case.files.items():
        if not Path(name).is_file() or Path(name).read_bytes() != data:
            yield f"changed {name}"
            Path(name).write_bytes(data)


def _can_be_printed(text: str) -> bool:
    return _unseen(text) is None


def _unseen(text: str) -> str | None:
    """Return a sign that moves a cursor or hides, if one is in ``text``: what is in quoted cells may break lines."""
    plain = text.replace("\n", "").replace("\u200c", "").replace("\u200d", "")  # joiners are part of some scripts
    return None if plain.isprintable() else next(sign for sign in plain if not sign.isprintable())


# ---- the net for what never ends -----------------------------------------------------------------


@contextmanager
def _limited() -> Iterator[None]:
    """Raise ``TooLongError`` inside once the process has used ``MOST_SECONDS`` of its processor."""

    def stop(number: int, frame: FrameType | None) -> None:
        raise TooLongError(f"more than {MOST_SECONDS:g} s of processor")

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, MOST_SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)
