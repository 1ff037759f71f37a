"""What the commands that count are asked: in every form, on the screen and into files, with options at their ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from random import Random

Words = tuple[str, ...]
SCENE, MEASURED, STUDY = "scene.toml", "measured.toml", "study.toml"
OUT = "answers"
"""The folder that answers are written to."""

COMMANDS = {
    "floats": (("--all",), ("--repeat",), ("--all", "--repeat")),
    "catches": (("--write", f"{OUT}/copy.toml"), ("--write", SCENE)),
    "yarn": (
        ("--across", "7"),
        ("--pieces", "10000"),
        ("--margin", "500"),
        ("--slack", "-0.999999"),
        ("--slack", "1"),
        ("--no-edges",),
        ("--sizes", "--no-forecast"),
        ("--size", "woman", "--no-forecast"),
    ),
    "rounds": (("--across", "3"), ("--large-print",), ("--size", "man", "--no-forecast")),
    "colours": (),
    "difficulty": (),
    "mend": (),
    "sizes": (),
}
"""Every command that answers by counting, and what else it may be asked."""
ODD_OPTIONS = ("--across", "--margin", "--pieces", "--slack", "--size", "--seconds")
ODD_VALUES = (
    "0",
    "-1",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "1000000",
    "1000001",
    "9" * 30,
    "",
    " ",
    "x",
    "\x1b[31m",
    "\n",
    "0x10",
    "1_0",
    "日本",
)
FORMS: tuple[Words, ...] = (
    (),
    (),
    ("--json",),
    ("--json",),
    ("--csv",),
    ("--csv",),
    ("--json", "--csv"),
    ("--out", f"{OUT}/answer.txt"),
    ("--out", f"{OUT}/deeper/answer.json"),
    ("--out", f"{OUT}/answer.csv"),
    ("--csv", "--out", f"{OUT}/answer"),
)
PICTURES: tuple[Words, ...] = (
    ("chart", SCENE, "--json", "--out", f"{OUT}/chart.svg"),
    ("chart", SCENE, "--symbols", "marks", "--grey", "--out", f"{OUT}/chart.pdf"),
    ("colours", SCENE, "--out", f"{OUT}/colours.png"),
    ("rounds", SCENE, "--large-print", "--out", f"{OUT}/rounds.html"),
    ("rounds", SCENE, "--large-print", "--out", f"{OUT}/rounds.pdf"),
    ("catches", SCENE, "--seconds", "0.2", "--map", f"{OUT}/map.svg", "--write", f"{OUT}/copy.toml"),
)
"""Asked seldom: a drawing takes as long as many answers."""


def questions(rng: Random, files: Sequence[str]) -> Iterator[Words]:
    """Yield what is asked about a scene with these ``files`` beside it."""
    for command in rng.sample(list(COMMANDS), 3):
        words: list[str] = [command, SCENE]
        if command == "sizes":
            words.append("--no-forecast")
        if command == "catches":
            words += ("--seconds", "0.2")
        if COMMANDS[command] and rng.random() < 0.3:
            words += rng.choice(COMMANDS[command])
        if rng.random() < 0.02:
            words += (rng.choice(ODD_OPTIONS), rng.choice(ODD_VALUES))
        form = rng.choice(FORMS) if rng.random() < 0.97 else ("--out", rng.choice((*files, ".", f"{OUT}/a\0b")))
        yield (*words, *form)
    if rng.random() < 0.03:
        yield rng.choice(PICTURES)
    if rng.random() < 0.01:
        yield rng.choice((("schema",), ("schema", "--out", f"{OUT}/schema.json"), ("schema", "--out", SCENE)))
    if MEASURED in files or rng.random() < 0.02:
        yield ("calibrate", SCENE, "--form", f"{OUT}/form.toml")
    # What is written over a file that is read is refused once everything is read and before anything is solved.
    if MEASURED in files:
        yield ("calibrate", SCENE, "--measured", MEASURED, "--out", SCENE)
    if STUDY in files:
        yield ("compare", "--study", STUDY, "--out", STUDY)
