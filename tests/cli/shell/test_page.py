"""What is printed for people: the same with rich as without."""

from __future__ import annotations

import io
from contextlib import redirect_stdout

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.cli.shell.page import PIPED_WIDTH, Page, Side, Table, laid_out

texts = st.text(st.sampled_from("ab -é星́ \u200b\t\n"), max_size=12)
sides: list[Side] = ["left", "right"]


@st.composite
def tables(draw: st.DrawFn) -> Table:
    headings = draw(st.lists(st.text("abcd", min_size=1, max_size=30), min_size=1, max_size=5, unique=True))
    side_of = {heading: draw(st.sampled_from(sides)) for heading in headings}
    line = st.lists(texts, min_size=len(headings), max_size=len(headings))
    title = draw(st.text("abc ", max_size=20).map(lambda text: f"a{text}"))
    return Table(title, side_of, draw(st.lists(line, max_size=4)), bold={1})


def printed(table: Table, *, by_rich: bool, encoding: str = "utf-8") -> bytes:
    """Return what goes into a pipe; rich prints if the environment speaks of colours, even to want none."""
    out = io.TextIOWrapper(io.BytesIO(), encoding=encoding, errors="replace")
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out):
        for name in ("FORCE_COLOR", "TTY_COMPATIBLE"):
            patch.delenv(name, raising=False)
        if by_rich:
            patch.setenv("FORCE_COLOR", "")
        page = Page()
        page.say(table.title, bold=True, wrap=True)
        page.table(table)
        for line in table.lines:
            page.say(line[0])
            page.say("".join(line) * 4, wrap=True)
    out.flush()
    return out.buffer.getvalue()  # type: ignore[attr-defined, no-any-return]


@given(table=tables())
def test_a_pipe_gets_the_same_with_and_without_rich(table: Table) -> None:
    assert printed(table, by_rich=False) == printed(table, by_rich=True)


def test_what_fits_is_laid_out_and_all_else_is_left_to_rich() -> None:
    table = Table("Yarns", {"yarn": "left", "gap": "right"}, [["oat", "5"], ["星", "12"]])
    assert laid_out(table) == [
        "Yarns       ",
        "            ",
        " yarn   gap ",
        " ────────── ",
        " oat      5 ",
        " 星      12 ",
        "            ",
    ]
    for name in ("too wide " * 14, "a\tb", "end "):
        assert laid_out(Table("Yarns", {"yarn": "left"}, [[name]])) is None
    widest = Table("Yarns", {"yarn": "left"}, [["x" * (PIPED_WIDTH - 2)]])
    assert laid_out(widest) is not None
    assert printed(widest, by_rich=False) == printed(widest, by_rich=True)


def test_a_pipe_without_the_letters_gets_lines_that_it_can_show() -> None:
    table = Table("Yarns", {"yarn": "left"}, [["oat"]])
    assert b"?" not in printed(table, by_rich=False, encoding="ascii")
