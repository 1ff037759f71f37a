"""``fabricsim rounds``: a reader who has only the words knits the chart again, stitch for stitch."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.cli import main
from fabricsim.cli.commands.rounds import words
from fabricsim.cli.commands.rounds.rows import passage_text, row_in_words
from fabricsim.cli.words.counts import row_word
from fabricsim.design.counted.rounds import passages, worked_rows
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from tests.design import walker
from tests.design.scenes import scene
from tests.support.little import assert_refused, little
from tests.support.pattern_reader import catches_of, chart_of, read_in_full, read_short

SYMBOLS = ".ABC"
YARNS = [
    {"symbol": symbol, "name": name, "colour": "#102030", "tex": 500}
    for symbol, name in zip(SYMBOLS, ("oat", "pine", "rust", "sky"), strict=True)
]


@st.composite
def scenes(draw: st.DrawFn) -> Scene:
    """Any chart of one to four yarns, with repeats, plain rows and catches, worked either way."""
    rows, stitches, yarns = draw(st.integers(1, 5)), draw(st.integers(1, 9)), draw(st.integers(1, 4))
    row = st.text(SYMBOLS[:yarns], min_size=stitches, max_size=stitches)
    chart = draw(st.lists(row, min_size=rows, max_size=rows))
    mixed = [number for number, one in enumerate(reversed(chart), start=1) if len(set(one)) > 1]
    squares = (
        st.fixed_dictionaries({"row": st.sampled_from(mixed), "stitch": st.integers(1, stitches)}) if mixed else None
    )
    return scene(
        chart,
        worked=draw(st.sampled_from(["round", "flat"])),
        yarns=YARNS,
        floats={"catches": draw(st.lists(squares, max_size=6)) if squares is not None else []},
        across=draw(st.integers(1, 5)),
        up=draw(st.integers(1, 3)),
        plain_below=draw(st.integers(0, 3)),
        plain_above=draw(st.integers(0, 3)),
        plain_yarn=draw(st.sampled_from(SYMBOLS[:yarns])),
    )


def held(made: Scene) -> set[tuple[int, int, int]]:
    """Return (row, column, yarn) wherever a yarn passes behind a caught square, as an independent knitter walks."""
    grid, chart = made.piece_rows(), made.chart
    rows, stitches = len(made.chart_rows()), made.stitches_per_repeat
    caught = {(one.row - 1, stitches - one.stitch) for one in made.floats.catches}
    walk = walker.in_the_round if made.worked == "round" else walker.back_and_forth
    found = set()
    for yarn, row, column, direction, gap in walk(grid):
        for step in range(1, gap + 1):
            past, at = divmod(column + direction * step, len(grid[0]))
            up = row + (past != 0) - chart.plain_below
            if 0 <= up < rows * chart.up and (up % rows, at % stitches) in caught:
                found.add((row + (past != 0), at, yarn))
    return found


def short(made: Scene) -> list[str]:
    called = words.letters(piece_of(made))
    return [passage_text(one, called, row_word(made)) for one in passages(made, worked_rows(made))]


def in_full(made: Scene) -> list[str]:
    named = words.names(piece_of(made))
    return [": ".join(row_in_words(one, named, row_word(made))) for one in worked_rows(made)]


@given(made=scenes())
def test_who_reads_the_short_rows_knits_the_chart_again(made: Scene) -> None:
    flat, yarn_of = made.worked == "flat", {short: yarn for yarn, short in words.letters(piece_of(made)).items()}
    worked = read_short(short(made))
    assert chart_of(worked, yarn_of, flat=flat) == [list(row) for row in made.piece_rows()]
    assert catches_of(worked, yarn_of, flat=flat) == held(made)
    assert [set(one.made) for one in worked] == [{"p"} if flat and row % 2 else {"k"} for row in range(len(worked))]


@given(made=scenes())
def test_who_reads_the_full_words_knits_the_chart_again(made: Scene) -> None:
    flat, yarn_of = made.worked == "flat", {yarn.name: at for at, yarn in enumerate(made.yarns)}
    worked = read_in_full(in_full(made))
    assert chart_of(worked, yarn_of, flat=flat) == [list(row) for row in made.piece_rows()]
    assert catches_of(worked, yarn_of, flat=flat) == held(made)


@given(made=scenes())
def test_no_run_is_followed_by_one_of_its_own_yarn(made: Scene) -> None:
    for line in short(made):
        for part in re.split(r"\*", line):  # repeats of the chart end where their markers are
            runs = re.findall(r"[kp]\d+ (\w+)", part.partition("; rep from ")[0])
            assert all(one != two for one, two in pairwise(runs))


def test_as_patterns_write_it() -> None:
    made = scene(["A...", ".A..", "...."], across=24, plain_below=4, floats={"catches": [{"row": 3, "stitch": 2}]})
    assert short(made) == [
        "Rnds 1-5: k all MC. [96] sts each.",
        "Rnd 6: *k2 MC, k1 CC, k1 MC; rep from * to end. [96] sts.",
        "Rnd 7: *k3 MC (catch CC behind the 2nd of these), k1 CC; rep from * to end. [96] sts.",
    ]
    assert in_full(made)[-1] == (
        "Round 7: Work 24 times: knit 3 with oat (catch pine behind the 2nd of these), knit 1 with pine. "
        "96 stitches in all."
    )


def test_flat_as_patterns_write_it() -> None:
    assert short(scene([".A..", ".A.."], across=2, plain_below=2, plain_above=1, worked="flat")) == [
        "Rows 1-2: all MC, k RS rows, p WS rows. [8] sts each.",
        "Row 3 (RS): *k2 MC, k1 CC, k1 MC; rep from * to end. [8] sts.",
        "Row 4 (WS): *p1 MC, p1 CC, p2 MC; rep from * to end. [8] sts.",
        "Row 5 (RS): k all MC. [8] sts.",
    ]


def test_one_stitch_and_several_yarns_caught() -> None:
    made = scene(
        ["CB.A.BC"], across=3, yarns=YARNS, floats={"catches": [{"row": 1, "stitch": 4}, {"row": 1, "stitch": 5}]}
    )
    (line,) = short(made)
    assert "k1 CC1 (catch MC, CC2 and CC3 behind it)" in line
    assert "k1 MC (catch CC1, CC2 and CC3 behind it)" in line


def test_letters_go_to_the_yarns_in_use() -> None:
    assert words.letters(piece_of(scene(["BB.A"], yarns=YARNS))) == {0: "MC", 1: "CC1", 2: "CC2"}
    assert words.letters(piece_of(scene(["BBA"], yarns=YARNS))) == {1: "MC", 2: "CC"}
    assert words.letters(piece_of(scene(["B"], yarns=YARNS))) == {2: "MC"}


def test_yarns_of_one_name_are_told_apart() -> None:
    twins = [{**YARNS[0]}, {**YARNS[1], "name": "oat"}]
    assert words.names(piece_of(scene([".A"], yarns=twins))) == {0: "oat (.)", 1: "oat (A)"}


def test_where_yarns_come_and_go() -> None:
    made = scene(["A...", *["...."] * 6, "A...", "...."], plain_above=2)
    piece = piece_of(made)
    assert words.comings_and_goings(piece, words.letters(piece), "rnd") == [
        "CC: join in rnd 2, break after rnd 2, join again in rnd 9, break after rnd 9."
    ]


# ---- as its users meet it ------------------------------------------------------------------------

ROWS = ("bb....", "..b...", "b...b.")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "check.toml"
    path.write_text(
        little(ROWS, title="Little <check> & [more]", across=2, floats="catches = 'planned'\nlongest_gap = 2")
    )
    return path


def said(capsys: pytest.CaptureFixture[str], *given: object) -> str:
    assert main(["rounds", *map(str, given)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def unfolded(text: str, word: str) -> list[str]:
    """Return the rows of a text whose long lines go on, set in."""
    lines = text.replace("\n    ", " ").splitlines()
    return [line for line in lines if line.startswith(word)]


@pytest.mark.parametrize("across", [1, 7, 40])
@pytest.mark.parametrize("worked", ["round", "flat"])
def test_the_printed_rows_are_read_back(
    worked: str, across: int, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path.write_text(path.read_text().replace('"round"', f'"{worked}"'))
    out = said(capsys, path, "--across", across)
    assert max(map(len, out.splitlines())) <= 120
    read = read_scene(path)
    wide = [row * across for row in read.chart_rows()]
    flat = worked == "flat"
    knitted = read_short(unfolded(out, "Row" if flat else "Rnd"))
    assert chart_of(knitted, {"MC": 0, "CC": 1}, flat=flat) == list(map(list, wide))
    in_words = said(capsys, path, "--across", across, "--large-print")
    knitted = read_in_full(unfolded(in_words, "Row" if flat else "Round"))
    assert chart_of(knitted, {"milk": 0, "ink": 1}, flat=flat) == list(map(list, wide))


def test_the_key_comes_first(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = said(capsys, path).replace("\n    ", " ").splitlines()
    key = lines.index("MC = milk (. in the chart), CC = ink (b in the chart).")
    assert lines[0] == "Little <check> & [more]"
    assert lines[1] == "12 stitches x 3 rounds; the chart's 6 stitches 2 times across."
    assert lines[2].startswith("Gauge: 19 stitches and 25.5 rounds to 10 cm")
    assert lines[3].startswith("Yarn: 1 ball of milk, 50 g each (")
    assert lines[key + 1] == "k = knit, rnd = round, rep from * = repeat what stands after the star, sts = stitches."
    assert lines[key + 2].startswith("The rounds begin at the right edge of the chart. They are a spiral")
    strands = next(at for at, line in enumerate(lines) if line.startswith("MC lies below"))
    assert lines[strands : strands + 5] == [
        "MC lies below: carry its strand under that of CC, and never swap them.",
        "Catch: twist the yarn named once round the yarn that you work with, so that the stitch holds it.",
        "",
        "Cast on: 12 sts with MC, loosely. Join in the round without a twist, and mark where the round begins. "
        "[12] sts.",
        "Rnd 1: *k1 MC, k1 CC, k3 MC (catch CC behind the 2nd of these), k1 CC; rep from * to end. [12] sts.",
    ]


def test_for_programs_and_spreadsheets(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told: dict[str, Any] = json.loads(said(capsys, path, "--json"))
    assert (told["schema_version"], told["command"], told["stitches"]) == (2, "rounds", 12)
    assert told["yarns"] == {"MC": ".", "CC": "b"}
    for one in told["rows"]:
        runs = [*one["before"], *one["repeat"] * one["times"], *one["after"]]
        assert sum(run["stitches"] for run in runs) == one["stitches"] == 12
    lines = list(csv.DictReader(io.StringIO(said(capsys, path, "--csv"))))
    assert [line["short"] for line in lines] == [one["short"] for one in told["rows"]]
    assert list(lines[0]) == ["section", "row", "chart_row", "side", "stitches", "short", "in_words"]


def test_large_print_as_a_page(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "rounds.html"
    assert said(capsys, path, "--large-print", "--out", out) == f"Written to {out}, in letters of 24 points.\n"
    page = out.read_text()
    assert "font: 24pt" in page
    assert "Little &lt;check&gt; &amp; [more]" in page
    assert "default-src 'none'" in html.unescape(page)
    assert "<h2>Round 3</h2>" in page
    plain = page.replace("\N{NO-BREAK SPACE}", " ")
    assert all(line.partition(": ")[2] in plain for line in in_full(read_scene(path)))


def test_large_print_as_pages_to_print(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("one.pdf", "two.pdf"):
        said(capsys, path, "--large-print", "--out", tmp_path / name)
    data = (tmp_path / "one.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    assert data == (tmp_path / "two.pdf").read_bytes()
    from fabricsim.render.handouts.large_print import EDGE, LEADING, SIZE, TALL, LargePrint, _pages

    rows = tuple((f"Round {row}", "knit 3 with milk, " * (row % 90)) for row in range(1, 120))
    pages = list(_pages(LargePrint("title", ("lead",), rows)))
    assert len(pages) > 10
    assert all(EDGE + down + SIZE * LEADING <= TALL - EDGE - SIZE for page in pages for down, _, _ in page)
    assert all(page for page in pages)
    heads = [words for page in pages for _, words, bold in page if bold]
    assert heads == ["title", *(head for head, _ in rows)]


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (("--across", 0), "--across: given '0'; allowed: a whole number, at least 1, at most 1,000,000"),
        (("--across", "many"), "--across: given 'many'; allowed: a whole number, at least 1, at most 1,000,000"),
        (("--json", "--csv"), "--csv: given together with --json; allowed: one of the two; leave one out"),
        (("--out", "a.pdf"), "--out: given 'a.pdf'; allowed: .pdf or .html with --large-print only; add --large-print"),
        (("--out", "a.doc", "--large-print"), "--out: given 'a.doc'; allowed: a file that ends in .pdf or .html or"),
    ],
)
def test_what_cannot_be_done_is_refused(
    options: tuple[object, ...],
    line: str,
    path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(path.parent)
    assert_refused(["rounds", path, *options], line, path, capsys)


def test_too_many_repeats_are_refused(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert_refused(["rounds", path, "--across", 100_000], f"{path}: chart.rows: given a piece of", path, capsys)
