"""Tables and sentences as lines: nothing cut, nothing lost, columns aligned, nothing that could upset a terminal."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from fabricsim.cli.shell.tables import BETWEEN, Alignment, Table, laid_out, printable, wrapped

words = st.text(st.sampled_from("abé星0%+"), min_size=1, max_size=30)
cells = st.lists(words, max_size=6).map(" ".join)
sides: list[Alignment] = ["left", "right"]


@st.composite
def tables(draw: st.DrawFn) -> Table:
    headings = draw(st.lists(cells, min_size=1, max_size=10, unique=True))
    side_of = {heading: draw(st.sampled_from(sides)) for heading in headings}
    line = st.lists(cells, min_size=len(headings), max_size=len(headings))
    return Table(draw(cells), side_of, draw(st.lists(line, max_size=4)), bold={1})


def letters(texts: list[str]) -> list[str]:
    """Return every letter, in no order."""
    return sorted("".join(texts).replace(" ", "").replace("-", ""))


@given(table=tables(), width=st.integers(20, 200))
def test_nothing_is_cut_nor_lost_at_any_width(table: Table, width: int) -> None:
    lines = [line.text for line in laid_out(table, width)]
    assert all(cell_len(line) <= width for line in lines)
    assert all(line == line.rstrip() for line in lines)
    said = [table.title, *(cell for line in table.lines for cell in line)]
    shown = letters(lines)
    for letter in set(letters(said)):
        assert shown.count(letter) >= letters(said).count(letter)


@given(table=tables())
def test_without_a_width_every_cell_stands_whole_under_its_heading(table: Table) -> None:
    title, heads, rule, *lines, last = [line.text for line in laid_out(table)]
    assert (title, last) == (table.title, "")
    assert len(lines) == len(table.lines)
    columns = list(zip(table.side_of, *table.lines, strict=True))
    starts, end = [], 0
    for column in columns:
        starts.append(end)
        end += max(map(cell_len, column)) + len(BETWEEN)
    for line, whole in ((heads, list(table.side_of)), *zip(lines, table.lines, strict=True)):
        for start, cell, side, column in zip(starts, whole, table.side_of.values(), columns, strict=True):
            begin = start if side == "left" else start + max(map(cell_len, column)) - cell_len(cell)
            assert by_cells(line, begin, cell_len(cell)) == cell
    assert set(rule) <= {"-", " "}


def by_cells(line: str, begin: int, size: int) -> str:
    """Return what stands in ``size`` columns of a line from ``begin`` on."""
    at, found = 0, ""
    for letter in line:
        if begin <= at < begin + size:
            found += letter
        at += cell_len(letter)
    return found


def test_a_table_in_columns() -> None:
    table = Table("Yarns", {"yarn": "left", "longest gap": "right"}, [["oat", "5"], ["星", "12"]], bold={1})
    assert [line.text for line in laid_out(table)] == [
        "Yarns",
        "yarn  longest gap",
        "----  -----------",
        "oat             5",
        "星             12",
        "",
    ]
    assert [line.bold for line in laid_out(table)] == [True, False, False, False, True, False]


def test_where_it_is_narrow_cells_are_broken_between_words_and_then_lines_are_blocks() -> None:
    table = Table("Floats", {"yarn": "left", "longest gap": "right"}, [["oat and pine", "5"], ["rust", "12"]])
    assert [line.text for line in laid_out(table, 14)] == [
        "Floats",
        "yarn   longest",
        "           gap",
        "-----  -------",
        "oat          5",
        "and",
        "pine",
        "rust        12",
        "",
    ]
    narrow = Table("Floats", {"yarn": "left", "longest": "right"}, [["handspun-merino", "5"], ["rust", "12"]])
    assert [line.text for line in laid_out(narrow, 20)] == [
        "Floats",
        "yarn:",
        "  handspun-merino",
        "longest: 5",
        "",
        "yarn: rust",
        "longest: 12",
        "",
    ]


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("a float can snag", 9, ["a float", "can snag"]),
        ("    Crown: 4 wedges of 12", 16, ["    Crown: 4", "    wedges of 12"]),
        ("  - loosen the floats", 14, ["  - loosen the", "    floats"]),
        ("Pucker     3.1 mm from peak", 24, ["Pucker     3.1 mm from", "           peak"]),
        ("Pucker     3.1 mm from peak", 20, ["Pucker 3.1 mm from", "peak"]),
        ("x" * 25, 10, ["x" * 10, "x" * 10, "x" * 5]),
        ("星星星星", 5, ["星星", "星星"]),
        ("", 20, [""]),
    ],
)
def test_sentences_are_broken_between_words(text: str, width: int, lines: list[str]) -> None:
    assert wrapped(text, width) == lines


def test_a_word_that_is_not_to_be_chopped_stays_whole() -> None:
    path = "a/folder/of/some/length.png"
    assert wrapped(f"Written to {path}.", 20, chop=False) == ["Written to", f"{path}."]


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("oat \x1b[2J", "oat \\x1b[2J"),
        ("oat\x9b2J", "oat\\x9b2J"),
        ("oat\u202ekrad", "oat\\u202ekrad"),
        ("two\nlines\tand\rmore", "two lines and more"),
        ("oat and 星", "oat and 星"),
    ],
)
def test_what_does_not_print_is_spelt_out(text: str, shown: str) -> None:
    assert printable(text) == shown
    assert [line.text for line in laid_out(Table(text, {text: "left"}, [[text]]))] == [
        shown,
        shown,
        "-" * cell_len(shown),
        shown,
        "",
    ]
