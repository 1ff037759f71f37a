"""Whole pieces, knitted through by a reader who has only the words, from cast-on to the last stitch."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise

import pytest

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.shell.options import with_across
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.model import WholePiece
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.read import demo_scene, read_scene
from fabricsim.design.sizes.every_size import without_forecast
from tests.design.piece.needle import Needle, _steps, knit
from tests.design.piece.random_pieces import random_piece
from tests.test_scenes import SCENES

PIECES = 120
"""Of each kind twenty at least are among them."""


def knitted(piece: WholePiece) -> Needle:
    """Return what comes of the printed words of a piece."""
    told = recorded(lambda page: words.tell(page, piece))
    text = "\n".join(one.text for one in told if isinstance(one, Sentence))
    return knit(text, flat=piece.scene.worked == "flat")


def check(piece: WholePiece) -> Needle:
    """Hold what was knitted against the model, the chart and the trade."""
    needle, scene = knitted(piece), piece.scene
    flat = scene.worked == "flat"
    rows = list(piece.rows)
    # counts: what was cast on, what every row leaves, what is left at the end
    assert needle.cast_on == piece.cast_on[1]
    assert [len(one.made) for one in needle.rows] == [row.after for row in rows]
    assert [one.used for one in needle.rows] == [row.before for row in rows]
    assert needle.last == rows[-1].after
    assert needle.ended == ("Draw together" if piece.end == "draw together" else "Bind off")
    # the rows of the scene, stitch by stitch, with the seam stitches in the colour beside them
    called = words.letters(piece)
    right, left = piece.edges
    first = next(at for at, row in enumerate(rows) if row in piece.section("chart").rows)
    shaped = scene.shaped_lines()
    for at, yarn_j in enumerate(scene.piece_rows() if shaped is None else scene.knitted_rows()):
        charted = [yarn_j[0]] * left + list(yarn_j) + [yarn_j[-1]] * right
        wrong_side = flat and at % 2 == 1
        expected = charted if wrong_side else charted[::-1]
        assert [yarn for _, yarn in needle.rows[first + at].made] == [called[yarn] for yarn in expected]
        if shaped is None:
            assert {make for make, _ in needle.rows[first + at].made} == {"p" if wrong_side else "k"}
        else:
            assert tuple(make for make, _ in needle.rows[first + at].made) == shaped[at].made
    # one numbering from the scene's first row to the last
    counted = [number for number, name in zip(needle.numbers, needle.sections, strict=True) if name in ("Rnd", "Row")]
    assert counted == list(range(1, len(counted) + 1))
    if flat:
        assert all(one != two for one, two in pairwise(needle.sides)) or not rows[1:]
        assert needle.sides[first] == "RS"
        shaped = [side for row, side in zip(needle.rows, needle.sides, strict=True) if {"m1", "k2tog"} & makes(row)]
        assert set(shaped) <= {"RS"}
    check_rib(needle)
    # yarn: the stitches that she made, and nothing else, make the loops
    made = yarn_amounts(scene, around=around_of(piece))
    assert {called[one.yarn]: one.stitches for one in made.yarns} == dict(needle.yarns)
    for one in made.yarns:
        assert one.loops == pytest.approx(needle.yarns[called[one.yarn]] * scene.gauge.loop_length)
    return needle


def makes(row: object) -> set[str]:
    return {make for make, _ in row.made}  # type: ignore[attr-defined]


def check_rib(needle: Needle) -> None:
    """Every column of a rib shows the same stitch on the face in all its rows; flat it begins and ends alike."""
    for name in ("Rib", "Upper rib"):
        faces = []
        for row, section, side in zip(needle.rows, needle.sections, needle.sides, strict=True):
            if not section.startswith(name):
                continue
            seen = [make for make, _ in row.made]
            faces.append(seen if side == "RS" else [{"k": "p", "p": "k"}[make] for make in reversed(seen)])
        assert all(face == faces[0] for face in faces)


def test_random_pieces_are_knitted_to_the_last_stitch() -> None:
    kinds: Counter[str] = Counter()
    for seed in range(PIECES):
        piece = random_piece(seed)
        needle = check(piece)
        kinds.update([*{section.kind for section in piece.sections}, needle.ended, piece.scene.worked])
        kinds["seam"] += sum(piece.edges) > 0
        kinds["sized"] += piece.size != ""
    assert min(kinds.values()) >= 20, kinds  # nothing is left out


SPOKEN = (
    (r"\bknit 2 together\b", "k2tog"),
    (r"\bmake 1\b", "m1"),
    (r"\bknit (\d+)", r"k\1"),
    (r"\bpurl (\d+)", r"p\1"),
)


def heard(todo: str) -> str:
    """Return a row told in full words as a knitter would note it down."""
    body = re.sub(r" All with [^.]*\. [\d,]+ stitch(es)? in all\.$", "", todo).removesuffix(".")
    noted = []
    for sentence in body.split(". "):
        text = sentence[0].lower() + sentence[1:]
        for spoken, short in SPOKEN:
            text = re.sub(spoken, short, text)
        often, _, unit = text.removeprefix("then ").rpartition(": ")
        if often.startswith("work over and over to the "):
            how = often.removeprefix("work over and over to the ").replace("stitches", "sts").replace("stitch", "st")
            noted.append(f"*{unit}; rep from * to {how}")
        elif often:
            times = 2 if often == "work twice" else int(often.split()[1])
            noted.append(f"*{unit}; rep from * {'once more' if times == 2 else f'{times - 1} more times'}")
        else:
            noted.append(unit)
    return ", ".join(noted)


def test_in_full_words_the_rows_around_the_chart_come_to_the_same_counts() -> None:
    seen = 0
    for seed in range(150):
        piece = random_piece(seed)
        rows = [(section, row) for section in piece.sections for row in section.rows]
        told = words.in_full(piece)[1 : 1 + len(rows)]
        for (section, row), one in zip(rows, told, strict=True):
            if section.kind == "chart" or row.work is None:
                continue
            steps = list(_steps(heard(one.todo), row.before))
            assert sum({"k2tog": 2, "m1": 0}.get(make, 1) for make, _ in steps) == row.before, one.todo
            assert len(steps) == row.after, one.todo
            assert f"{row.after:,} stitch" in one.todo
            seen += 1
    assert seen > 1000


@pytest.mark.parametrize("name", SCENES)
def test_every_scene_in_every_size(name: str) -> None:
    scene = read_scene(name)
    check(piece_of(scene))
    if scene.item == "hat":
        hats(scene)


def test_the_built_in_hat_in_every_size() -> None:
    hats(demo_scene())


def hats(scene: object) -> None:
    """A hat of every size: closed at the top, a multiple of its wedges all the way."""
    for one in without_forecast(scene).sizes:  # type: ignore[arg-type]
        assert one.counted is not None
        piece = piece_of(with_across(scene, one.counted.repeats), one)  # type: ignore[arg-type]
        needle = check(piece)
        assert piece.crown is not None
        assert needle.ended == "Draw together"
        assert needle.last == piece.crown.wedges <= 12
        assert makes(needle.rows[-1]) == {"k2tog"}
        # by hand: rib 4 cm, the scene's rows, the crown
        height = (round(4 / (10 / scene.gauge.rows)) + len(scene.piece_rows())) / scene.gauge.rows * 10  # type: ignore[attr-defined]
        assert piece.height("rib", "chart") == pytest.approx(0.01 * height)
