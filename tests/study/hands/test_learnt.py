"""What a knitter's file tells of unevenness and of what floats fall short narrows the hands of forecasts."""

from __future__ import annotations

from dataclasses import replace
from math import log
from pathlib import Path

import numpy as np
import pytest

from fabricsim.design.scene.knitter import (
    Knitter,
    LearntFactor,
    LearntLength,
    LearntShare,
    LearntSlack,
    SlackGoes,
    knitter_text,
    read_knitter,
)
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.errors import InputError
from fabricsim.fabric.setup import set_up
from fabricsim.study.hands.hand import steady
from fabricsim.study.hands.knitting import all_slack, slack_in_hand
from fabricsim.study.hands.prior import APART, EVEN, SHORT, UNEVENNESS, Hands, hands_of
from tests.support.little import little

ONCE = LearntFactor(value=1.0, low=0.5, high=2.0, known="measured")
KNITTER = Knitter(
    slack=LearntSlack(value=-0.02, low=-0.06, high=0.02, known="measured"),
    unevenness=LearntShare(value=0.06, low=0.04, high=0.09, known="measured"),
    short_mm=LearntLength(value=0.7, low=0.5, high=0.9, known="measured"),
    slack_goes=SlackGoes(with_unevenness=0.02, with_short_mm=0.05),
    stretch=ONCE,
    bending=ONCE,
    weight=ONCE,
    bending_against_stretch=2.0,
)


def scene(folder: Path, hands: Knitter = KNITTER, floats: str = "") -> Scene:
    (folder / "hands.toml").write_text(knitter_text(hands), encoding="utf-8")
    path = folder / "scene.toml"
    path.write_text('knitter = "hands.toml"\n' + little(floats=floats), encoding="utf-8")
    return read_scene(path)


def test_a_file_with_all_of_it_is_read_back_the_same(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text(knitter_text(KNITTER), encoding="utf-8")
    assert read_knitter(tmp_path / "x.toml", "x") == KNITTER


def test_what_was_learnt_counts_where_nothing_is_written(tmp_path: Path) -> None:
    known = hands_of(scene(tmp_path))
    assert (known.floats, known.rows) == (0.06, 0.03)
    assert known.unevenness_log == pytest.approx(log(0.09 / 0.04) / 2.0 / 1.96)
    assert (known.short, known.short_spread) == pytest.approx((0.7e-3, 0.2e-3 / 1.96))
    assert known.goes_with == (0.02, pytest.approx(50.0))
    assert known.all_slack == pytest.approx(0.04 / 1.96)  # as the file says, all in all
    assert known.slack < known.all_slack


def test_what_is_written_counts_before_it(tmp_path: Path) -> None:
    written = hands_of(scene(tmp_path, floats="unevenness = 0.02\nshort_mm = 0.1"))
    assert (written.floats, written.unevenness_log) == (0.02, 0.0)
    assert (written.short, written.short_spread) == (pytest.approx(1e-4), 0.0)
    assert written.all_slack == written.slack  # nothing is left for it to go with
    of_its_own = hands_of(scene(tmp_path, floats="slack = 0.0"))
    assert of_its_own.goes_with == APART
    assert of_its_own.floats == 0.06


def test_what_is_not_told_is_as_is_usual(tmp_path: Path) -> None:
    untold = KNITTER.model_copy(
        update={
            "unevenness": KNITTER.unevenness.model_copy(update={"known": "not told"}),  # type: ignore[union-attr]
            "short_mm": KNITTER.short_mm.model_copy(update={"known": "not told"}),  # type: ignore[union-attr]
        }
    )
    known = hands_of(scene(tmp_path, untold))
    assert (known.floats, known.short) == (UNEVENNESS, SHORT)


def test_slack_goes_with_what_it_was_learnt_with(tmp_path: Path) -> None:
    """Of a deviation each, by hand; and floats all alike have none of what goes with unevenness."""
    known = Hands(0.01, 0.0, 0.05, 0.0, 2.0, 0.2, 5e-4, 1e-4, goes_with=(0.03, 40.0))
    hand = replace(steady(set_up(scene(tmp_path))), slack=1.0, unevenness=-1.0, short=1.5)
    assert all_slack(known, hand) == pytest.approx(0.01 - 0.03 * 0.2 + 40.0 * 1.5e-4)
    assert known.all_slack == pytest.approx((0.01**2 + 0.006**2 + 0.004**2) ** 0.5)
    assert all_slack(known.even(), hand) == pytest.approx(0.01 + 40.0 * 1.5e-4)


def test_hands_that_fit_one_swatch_differ_less_in_it_than_each_number_would_make_them(tmp_path: Path) -> None:
    """A float of 20 mm, of which 1 mm short is 5 % of slack: where slack goes with it by that, nothing is left."""
    fabric = set_up(scene(tmp_path))
    span = float(fabric.mesh.floats.span_f[0])
    ends = 0.5 * (2 - fabric.floats[0].caught_start - fabric.floats[0].caught_end)
    together = Hands(0.0, 0.0, 0.0, 0.0, 2.0, 0.0, 5e-4, 1e-4, goes_with=(0.0, ends / span))
    short_by = [replace(steady(fabric), short=deviate) for deviate in (-1.0, 0.0, 1.0)]
    alike = [slack_in_hand(fabric, hand, together)[0] for hand in short_by]
    apart = [slack_in_hand(fabric, hand, replace(together, goes_with=APART))[0] for hand in short_by]
    assert np.ptp(alike) == pytest.approx(0.0, abs=1e-12)
    assert np.ptp(apart) == pytest.approx(2e-4 * ends / span)


def test_what_floats_fall_short_is_less_than_a_stitch_of_the_scene(tmp_path: Path) -> None:
    long = KNITTER.model_copy(update={"short_mm": LearntLength(value=9.0, low=8.0, high=10.0, known="measured")})
    with pytest.raises(InputError, match=r"hands.toml: short_mm.value: given 9 mm, with stitches 5.3 mm wide"):
        scene(tmp_path, long)


def test_usual_hands_stay_as_they_were(tmp_path: Path) -> None:
    before = KNITTER.model_copy(update={"unevenness": None, "short_mm": None, "slack_goes": None})
    known = hands_of(scene(tmp_path, before))
    assert (known.floats, known.short, known.goes_with) == (UNEVENNESS, SHORT, APART)
    assert known.slack / EVEN == pytest.approx(0.04 / 1.96 / EVEN)
