"""The text of a scene as it is changed: comments stay, what isn't a scene never comes about, undo gives the bytes."""

from __future__ import annotations

import base64
import io
import tomllib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from fabricsim.design.scene.read import scene_of_text
from fabricsim.errors import InputError
from fabricsim.table.drafts import changes
from fabricsim.table.drafts.changes import changed
from fabricsim.table.drafts.keys import told_values, with_keys
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.messages.asked import ASKED
from tests.table.hat import TEXT

SMALL = """# A remark at the top.
title = "Small"  # its name
worked = "round"

[chart]
rows = [            # as printed
    "..x",          # the top
    "xx.",  # the bottom
]
across = 8

# the yarns
[[yarns]]
symbol = "."
name = "oat"
colour = "#e9dfc8"
metres_per_100_g = 200

[[yarns]]
symbol = "x"  # dark
name = "pine"
colour = "#2f5d50"
tex = 500

[gauge]
stitches = 20
rows = 26  # counted twice

[floats]
slack = -0.04   # a guess
"""


def draft(text: str = SMALL) -> SceneText:
    return SceneText(text, Path("small.toml"))


def ask(**asked: Any) -> Any:
    return ASKED.validate_python(asked)


def differing(one: str, other: str) -> list[tuple[str, str]]:
    return [pair for pair in zip(one.splitlines(), other.splitlines(), strict=True) if pair[0] != pair[1]]


def test_a_painted_stitch_changes_one_line_and_keeps_what_is_written_beside_it() -> None:
    painted = changed(draft(), ask(kind="paint", squares=[(0, 2, 1)]))
    assert differing(SMALL, painted.text) == [('    "xx.",  # the bottom', '    "xxx",  # the bottom')]
    assert painted.scene.chart_rows() == ((1, 1, 1), (0, 0, 1))


def test_a_key_set_changes_one_line() -> None:
    told = with_keys(draft(), {"floats.slack": 0.02, "yarns.1.colour": "teal"})
    assert [new for _, new in differing(SMALL, told.text)] == ['colour = "teal"', "slack = 0.02   # a guess"]


def test_a_key_taken_out_leaves_what_is_usual() -> None:
    assert with_keys(draft(), {"floats.slack": None}).table["floats"] == {}
    assert with_keys(draft(), {"sizes.rib": None}).text == SMALL


def test_a_key_in_a_table_that_is_not_there_makes_it() -> None:
    told = with_keys(draft(), {"simulation.case": "repeat", "floats.catches": "planned"})
    assert told.scene.case == "repeat"
    assert told.scene.floats.plan_catches
    assert told.text.startswith(SMALL.split("[floats]", maxsplit=1)[0])


@pytest.mark.parametrize(
    "values",
    [
        {"knitter": "/etc/passwd"},
        {"chart.file": "x.txt"},
        {"chart.image": "../x.png"},
        {"chart.rows": ["..."]},
        {"sizes.file": "x.toml"},
        {"simulation.stitch_limit": 10**9},
        {"yarns.0.symbol": "#"},
        {"yarns.7.name": "none"},
        {"yarns.0": {"name": "x"}},
        {"gauge": {"stitches": 1}},
        {"gauge.stitches": 0},
        {"gauge.stitches": "20"},
        {"gauge.stitches": float("nan")},
        {"floats.slack": 5},
        {"title": "two\nlines"},
        {"": 1},
        {"a" * 200: 1},
    ],
)
def test_what_may_not_be_set_is_refused_in_one_line(values: dict[str, Any]) -> None:
    with pytest.raises(InputError) as caught:
        with_keys(draft(), values)
    assert "\n" not in str(caught.value)


def test_values_that_are_set_are_told() -> None:
    told = told_values(draft().table)
    assert told["floats.slack"] == -0.04
    assert told["yarns.1.tex"] == 500
    assert "chart.rows" not in told
    assert with_keys(draft(), told).text == SMALL


@pytest.mark.parametrize("squares", [[(2, 0, 0)], [(0, 3, 0)], [(0, 0, 2)]])
def test_nothing_is_painted_beside_the_chart_nor_in_no_yarn(squares: list[tuple[int, int, int]]) -> None:
    with pytest.raises(InputError) as refused:
        changed(draft(), ask(kind="paint", squares=squares))
    if squares[0][2] < 2:
        row, column, _ = squares[0]
        given = f"given row {row + 1}, stitch {3 - column}; allowed: rows 1 to 2, stitches 1 to 3; paint on the chart"
        assert str(refused.value).endswith(given)


@pytest.mark.parametrize("rows", [[[0, 1], [0]], [[]], [[0, 2]]])
def test_a_chart_that_is_none_is_refused(rows: list[list[int]]) -> None:
    with pytest.raises(InputError):
        changed(draft(), ask(kind="chart", rows=rows))


def test_a_chart_beyond_all_bounds_is_refused_before_it_is_made() -> None:
    with pytest.raises(InputError, match="memory"):
        changed(draft(), ask(kind="size", rows=100_000, stitches=100_000))


def test_a_chart_of_other_size_is_drawn_anew() -> None:
    other = changed(draft(), ask(kind="chart", rows=[[0, 1, 0, 1], [1, 0, 1, 0], [0, 0, 0, 1]]))
    assert other.table["chart"]["rows"] == ["...x", "x.x.", ".x.x"]
    assert other.text.startswith("# A remark at the top.\n")
    assert "# counted twice" in other.text


def test_larger_stays_at_the_corner_where_charts_begin() -> None:
    other = changed(draft(), ask(kind="size", rows=3, stitches=4, yarn=1))
    assert other.table["chart"]["rows"] == ["xxxx", "x..x", "xxx."]
    back = changed(other, ask(kind="size", rows=2, stitches=3))
    assert back.scene.chart_rows() == draft().scene.chart_rows()


@pytest.mark.parametrize(("stitches", "across"), [(1000, 2), (1, 20_000), (1, 1), (1000, 4)])
def test_as_many_repeats_as_are_asked_for_come_with_the_size(stitches: int, across: int) -> None:
    """Never by way of a piece that is larger than both: half the way and its rest may be refused by themselves."""
    within = changed(draft(), ask(kind="set", values={"chart.across": 1000 if across < 3 else 2}))
    other = changed(within, ask(kind="size", rows=2, stitches=stitches, across=across))
    assert (len(other.scene.chart_rows()[0]), other.scene.chart.across) == (stitches, across)


BOX = {"row": 0, "column": 0, "rows": 2, "columns": 3}


@pytest.mark.parametrize(
    ("how", "printed"),
    [
        ({"do": "mirror across"}, ["x..", ".xx"]),
        ({"do": "mirror up"}, ["xx.", "..x"]),
        ({"do": "turn"}, [".xx", "x.."]),
        ({"do": "shift", "by": (0, 1)}, ["x..", ".xx"]),
        ({"do": "shift", "by": (1, 0)}, ["xx.", "..x"]),
        ({"do": "shift", "by": (-1, -4)}, ["x.x", ".x."]),
    ],
)
def test_parts_are_moved(how: dict[str, Any], printed: list[str]) -> None:
    moved = changed(draft(), ask(kind="motif", box=BOX, **how))
    assert moved.table["chart"]["rows"] == printed


def test_a_part_is_shifted_up_and_to_the_right() -> None:
    tall = changed(draft(), ask(kind="chart", rows=[[1, 0, 0], [0, 0, 0], [0, 0, 0]]))
    box = {"row": 0, "column": 0, "rows": 3, "columns": 3}
    moved = changed(tall, ask(kind="motif", do="shift", box=box, by=(1, 1)))
    assert moved.scene.chart_rows() == ((0, 0, 0), (0, 1, 0), (0, 0, 0))


def test_a_symbol_is_not_for_the_table_to_change() -> None:
    with pytest.raises(InputError, match="a key that the table does not set"):
        with_keys(draft(), {"yarns.0.symbol": "."})


def test_a_quarter_turn_to_the_left_brings_the_right_side_to_the_top() -> None:
    box = {"row": 0, "column": 0, "rows": 2, "columns": 2}
    turned = changed(draft(), ask(kind="motif", do="turn", box=box, quarters=1))
    assert turned.table["chart"]["rows"] == [".xx", ".x."]
    for _ in range(3):
        turned = changed(turned, ask(kind="motif", do="turn", box=box, quarters=1))
    assert turned.text == SMALL
    with pytest.raises(InputError, match="quarter turn"):
        changed(draft(), ask(kind="motif", do="turn", box=BOX, quarters=1))


def test_a_part_runs_on_over_the_edge_of_the_repeat() -> None:
    box = {"row": 1, "column": 2, "rows": 2, "columns": 2}
    copied = changed(draft(), ask(kind="motif", do="copy", box=box, to=(0, 0)))
    # of the top row its last and first stitch, of the bottom row the same: x., .x
    assert copied.scene.chart_rows() == ((1, 0, 0), (0, 1, 1))
    with pytest.raises(InputError, match="at most the whole chart"):
        changed(draft(), ask(kind="motif", do="mirror up", box=box | {"rows": 3}))


def test_a_yarn_more_has_a_symbol_of_its_own_and_the_weight_of_the_last() -> None:
    more = changed(draft(), ask(kind="add yarn", name="rust", colour="#a04020"))
    assert [yarn.symbol for yarn in more.scene.yarns] == [".", "x", "#"]
    assert more.scene.yarns[2].tex == 500
    assert more.text.startswith(SMALL.split("[gauge]", maxsplit=1)[0])
    less = changed(more, ask(kind="take yarn away", yarn=2, instead=0))
    assert tomllib.loads(less.text) == tomllib.loads(SMALL)


def test_there_are_only_so_many_yarns_and_one_must_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(changes, "SYMBOLS", ".x#")
    full = changed(draft(), ask(kind="add yarn", name="rust", colour="#a04020"))
    with pytest.raises(InputError, match=r"given one yarn more; allowed: at most 3 yarns; take one away first"):
        changed(full, ask(kind="add yarn", name="rust", colour="#a04020"))
    for gone, instead in ((2, 0), (1, 1), (0, 5)):
        with pytest.raises(InputError, match=rf"given yarn no. {gone + 1}; allowed: a yarn, and another in its place"):
            changed(draft(), ask(kind="take yarn away", yarn=gone, instead=instead))


def test_a_yarn_taken_away_leaves_no_stitch_and_no_rule_behind() -> None:
    text = SMALL + 'slack_by_yarn = { x = 0.1 }\nbelow = "x"\n'
    text = text.replace("across = 8", 'across = 8\nplain_yarn = "x"')
    less = changed(draft(text), ask(kind="take yarn away", yarn=1, instead=0))
    assert less.scene.chart_rows() == ((0, 0, 0), (0, 0, 0))
    assert less.scene.chart.plain_yarn == "."
    assert less.scene.floats.below == ()


def dropped(name: str, data: bytes) -> SceneText:
    file = {"name": name, "data": base64.b64encode(data).decode()}
    return changed(draft(), ask(kind="drop", file=file))


def test_a_text_dropped_is_read_as_commands_read_it() -> None:
    assert dropped("motif.txt", b"x..x\n.xx.\n").table["chart"]["rows"] == ["x..x", ".xx."]


def test_a_picture_dropped_is_read_as_commands_read_it() -> None:
    picture, data = Image.new("RGB", (3, 2), "#e9dfc8"), io.BytesIO()
    picture.putpixel((2, 1), (0x2F, 0x5D, 0x50))
    picture.save(data, "PNG")
    assert dropped("motif.png", data.getvalue()).table["chart"]["rows"] == ["...", "..x"]


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("motif.txt", b"x.q\n"),
        ("motif.txt", b""),
        ("motif.txt", b"\xff\xfe"),
        ("motif.png", b"\x89PNG\r\n\x1a\nnot one"),
        ("photo.jpg", b"\xff\xd8\xff"),
        ("../../motif.txt", b"..\n."),
    ],
)
def test_a_wrong_file_is_refused_under_its_own_name(name: str, data: bytes) -> None:
    with pytest.raises(InputError) as caught:
        dropped(name, data)
    assert str(caught.value).startswith(name)
    assert "/tmp" not in str(caught.value)
    assert "fabricsim-" not in str(caught.value)


def test_bytes_that_are_no_base64_are_refused() -> None:
    with pytest.raises(InputError, match="base64"):
        changed(draft(), ask(kind="drop", file={"name": "motif.txt", "data": "*"}))


def test_the_built_in_hat_goes_through_all_of_it_unharmed() -> None:
    hat = SceneText(TEXT, Path("hat_band.toml"))
    chart = [list(row) for row in hat.scene.chart_rows()]
    assert changed(hat, ask(kind="chart", rows=chart)).text == TEXT
    assert with_keys(hat, told_values(hat.table)).text == TEXT
    assert scene_of_text(TEXT, Path("hat_band.toml")) == hat.scene
