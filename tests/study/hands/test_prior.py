"""What is known of the hands that knit a scene: from what is written, from a knitter's file, and from neither."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log
from pathlib import Path
from typing import Any

import pytest

from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack, knitter_text
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.study.hands.hand import INPUTS
from fabricsim.study.hands.prior import (
    EVEN,
    ROWS_SHARE,
    SHORT,
    SHORT_DOUBT,
    SLACK_DOUBT,
    STIFFNESS_DOUBT,
    STIFFNESSES,
    UNEVENNESS,
    UNEVENNESS_FACTOR,
    UNKNOWN_SLACK,
    Hands,
    hands_of,
)
from tests.support.little import little

ONCE = LearntFactor(value=1.0, low=0.5, high=2.0, known="measured")


def knitter(low: float = -0.08, high: float = -0.03, known: Any = "measured", bending: float = 1.5) -> Knitter:
    slack = LearntSlack(value=-0.06, low=low, high=high, known=known)
    return Knitter(slack=slack, stretch=ONCE, bending=ONCE, weight=ONCE, bending_against_stretch=bending)


def scene(folder: Path, floats: str = "", hands: Knitter | None = None, more: str = "") -> Scene:
    text = little(floats=floats) + more
    if hands is not None:
        (folder / "hands.toml").write_text(knitter_text(hands), encoding="utf-8")
        text = f'knitter = "hands.toml"\n{text}'
    path = folder / "scene.toml"
    path.write_text(text, encoding="utf-8")
    return read_scene(path)


def within(hands: Hands) -> float:
    """Within what the slack of all floats lies either way."""
    return hands.slack / EVEN


@pytest.mark.parametrize(
    ("floats", "hands", "other", "known"),
    [
        ("", None, False, UNKNOWN_SLACK),  # anybody's
        ("", None, True, SLACK_DOUBT),  # but for a slack that is asked about
        ("slack = 0.0", None, False, SLACK_DOUBT),  # the usual slack, but written
        ("slack_by_yarn = { b = 0.1 }", None, False, SLACK_DOUBT),
        # 95 in 100 between -8 and -3 %: 1.96 standard deviations to either side
        ("", knitter(), False, 0.025 / 1.96 / EVEN),
        ("", knitter(low=-0.3, high=0.1), False, 0.2 / 1.96 / EVEN),  # as unsure as the file is
        ("", knitter(known="at least"), False, 0.025 / 1.96 / EVEN),
        ("", knitter(known="not told"), False, UNKNOWN_SLACK),
        ("", knitter(), True, SLACK_DOUBT),
        ("slack = -0.06", knitter(), False, SLACK_DOUBT),
    ],
)
def test_how_sure_the_slack_is(tmp_path: Path, floats: str, hands: Knitter | None, other: bool, known: float) -> None:
    assert within(hands_of(scene(tmp_path, floats, hands), other_slack=other)) == pytest.approx(known, rel=1e-12)


def test_of_hands_that_nobody_measured_all_is_as_is_usual(tmp_path: Path) -> None:
    usual = hands_of(scene(tmp_path))
    assert (usual.floats, usual.rows) == (UNEVENNESS, ROWS_SHARE * UNEVENNESS)
    assert exp(usual.unevenness_log / EVEN) == pytest.approx(UNEVENNESS_FACTOR)
    assert (usual.short, usual.short_spread) == (SHORT, SHORT_DOUBT * EVEN)
    assert (usual.gauge, usual.factor, usual.bending_factor) == (0.0, STIFFNESS_DOUBT, None)
    assert usual.stretch == usual.bending == pytest.approx(log(2.0) / 3.0**0.5)


@pytest.mark.parametrize("given", [0.0, 0.05, 0.3])
def test_unevenness_that_is_written_is_sure(tmp_path: Path, given: float) -> None:
    usual, written = hands_of(scene(tmp_path)), hands_of(scene(tmp_path, f"unevenness = {given}"))
    assert (written.floats, written.rows, written.unevenness_log) == (given, 0.5 * given, 0.0)
    assert written.short == usual.short
    assert written.slack == usual.slack  # it says nothing of how slack they are


@pytest.mark.parametrize("given", [0.0, 1.2])
def test_how_much_floats_fall_short_is_sure_where_it_is_written(tmp_path: Path, given: float) -> None:
    usual, written = hands_of(scene(tmp_path)), hands_of(scene(tmp_path, f"short_mm = {given}"))
    assert (written.short, written.short_spread) == (pytest.approx(given * 1e-3), 0.0)
    assert replace(written, short=usual.short, short_spread=usual.short_spread) == usual


def test_bending_is_as_sure_as_the_file_says_but_never_less_than_without_it(tmp_path: Path) -> None:
    known = hands_of(scene(tmp_path, "", knitter()))
    assert (known.factor, known.bending_factor) == (2.0, 1.5)
    assert known.stretch == pytest.approx(log(2.0) * EVEN)
    assert known.bending == pytest.approx(log(1.5) * EVEN)
    assert hands_of(scene(tmp_path, "", knitter()), other_slack=True).bending_factor == 1.5
    unsure = hands_of(scene(tmp_path, "", knitter(bending=6.0)))
    assert unsure.bending_factor is None
    assert unsure.bending == unsure.stretch


@pytest.mark.parametrize("key", STIFFNESSES)
def test_of_a_stiffness_that_is_written_the_file_knows_nothing(tmp_path: Path, key: str) -> None:
    assert hands_of(scene(tmp_path, "", knitter(), f"[fabric]\n{key} = 20\n")).bending_factor is None


def test_a_thickness_that_is_written_is_no_stiffness(tmp_path: Path) -> None:
    assert hands_of(scene(tmp_path, "", knitter(), "[fabric]\nthickness_mm = 2.0\n")).bending_factor == 1.5


def test_without_its_file_a_scene_is_anybodys(tmp_path: Path) -> None:
    assert hands_of(scene(tmp_path, "", knitter()).without_knitter()) == hands_of(scene(tmp_path))


def test_even_hands_differ_as_much_in_all_else(tmp_path: Path) -> None:
    usual = hands_of(scene(tmp_path))
    even = usual.even()
    assert (even.floats, even.rows, even.unevenness_log) == (0.0, 0.0, 0.0)
    kept = ("slack", "gauge", "factor", "short", "short_spread", "bending_factor")
    assert [getattr(even, name) for name in kept] == [getattr(usual, name) for name in kept]


def test_every_input_has_its_spread() -> None:
    hands = Hands(0.01, 0.02, 0.03, 0.04, 1.5, 0.05, 0.06, 0.07, 1.2)
    told = {name: hands.of(name) for name in INPUTS}
    assert told == {
        "slack": 0.01, "rows": 0.02, "floats": 0.03, "unevenness": 0.05, "short": 0.07, "gauge": 0.04,
        "stretch": pytest.approx(log(1.5) / 3.0**0.5), "bending": pytest.approx(log(1.2) / 3.0**0.5),
    }  # fmt: skip
