"""What is printed for people: into a pipe, on a terminal."""

from __future__ import annotations

import io
import sys
from contextlib import redirect_stdout

import pytest

from fabricsim.cli.shell.page import PIPED_WIDTH, Page
from fabricsim.cli.shell.tables import Table

TABLE = Table(
    "Yarns", {"yarn": "left", "where it goes": "left"}, [["oat", "stitches and floats"], ["pine", "ends"]], {1}
)
EVIL = "oat \x1b[2J\x07"


class Terminal(io.StringIO):
    """A terminal's output."""

    def isatty(self) -> bool:
        return True


def printed(out: io.StringIO, monkeypatch: pytest.MonkeyPatch, columns: int = 80, forced: bool = False) -> str:
    for name in ("FORCE_COLOR", "TTY_COMPATIBLE", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    if forced:
        monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setenv("TERM", "xterm")
    with redirect_stdout(out):
        page = Page()
        page.say(EVIL, bold=True)
        page.say("word " * 40, wrap=True)
        page.table(TABLE)
    return out.getvalue()


def test_a_pipe_gets_plain_lines_without_rich(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "rich.console", None)  # no import of it succeeds
    lines = printed(io.StringIO(), monkeypatch, columns=30).splitlines()
    assert lines[0] == r"oat \x1b[2J\x07"
    assert lines[1] == " ".join(["word"] * 24)  # of 5 columns each in PIPED_WIDTH, less a space
    assert len(lines[1]) <= PIPED_WIDTH
    assert lines[3:] == [
        "",
        "Yarns",
        "yarn  where it goes",
        "----  -------------------",
        "oat   stitches and floats",
        "pine  ends",
        "",
    ]


@pytest.mark.parametrize("columns", [20, 24, 30, 80])
def test_a_terminal_gets_all_of_it_in_its_own_width(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    text = printed(Terminal(), monkeypatch, columns)
    for word in ("oat", "stitches", "floats", "pine", "ends", "where", "goes"):
        assert word in text
    without_colours = text.replace("\x1b[1m", "").replace("\x1b[0m", "")
    assert "\x1b" not in without_colours
    assert "\x07" not in text
    assert all(len(line) <= columns for line in without_colours.splitlines())


def test_the_name_of_a_file_stays_in_one_piece(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "20")
    out = Terminal()
    with redirect_stdout(out):
        Page().say("Written to some/folder/of/mine.csv.")
    assert out.getvalue() == "Written to\nsome/folder/of/mine.csv.\n"


def test_what_stands_out_is_bold_on_a_terminal_and_where_colours_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    for text in (printed(Terminal(), monkeypatch), printed(io.StringIO(), monkeypatch, forced=True)):
        assert "\x1b[1mYarns\x1b[0m" in text
        assert "\x1b[1mpine  ends\x1b[0m" in text
        assert "\x1b[1moat   stitches" not in text


def test_a_pipe_without_the_letters_gets_lines_that_it_can_show() -> None:
    out = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    with redirect_stdout(out):
        Page().table(TABLE)
    out.flush()
    assert b"oat   stitches and floats\n" in out.buffer.getvalue()  # type: ignore[attr-defined]
