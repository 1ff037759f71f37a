"""A knitter's file, and scenes that name it."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

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
from fabricsim.design.scene.read import read_scene, scene_hash
from fabricsim.errors import InputError
from fabricsim.fabric.setup import set_up
from tests.support.little import little

NOTHING = LearntFactor(value=1.0, low=0.2, high=5.0, known="not told")


def knitter(**more: object) -> Knitter:
    return Knitter.model_validate(
        {
            "swatch": "first",
            "slack": LearntSlack(value=-0.06, low=-0.08, high=-0.05, known="measured"),
            "slack_by_yarn": {"ink": LearntSlack(value=-0.02, low=-0.03, high=-0.01, known="measured")},
            "stretch": LearntFactor(value=1.3, low=1.0, high=1.7, known="measured"),
            "bending": NOTHING,
            "bending_against_stretch": 1.5,
            "weight": LearntFactor(value=1.1, low=1.0, high=1.2, known="measured"),
            **more,
        }
    )


def scene_in(tmp_path: Path, hands: Knitter, floats: str = "longest_gap = 5", more: str = "") -> Path:
    (tmp_path / "my_hands.toml").write_text(knitter_text(hands), encoding="utf-8")
    path = tmp_path / "scene.toml"
    path.write_text('knitter = "my_hands.toml"\n' + little(floats=floats) + more, encoding="utf-8")
    return path


SHARES = st.floats(-0.9, 1.0)


SEEN = st.text(st.characters(exclude_categories=["C", "Zl", "Zp"]), min_size=1, max_size=100).filter(str.strip)


UNEVENNESS = LearntShare(value=0.04, low=0.02, high=0.07, known="measured")
SHORT = LearntLength(value=0.3, low=0.1, high=0.6, known="measured")
GOES = SlackGoes(with_unevenness=0.25, with_short_mm=-0.5)


@given(
    st.just("") | SEEN,
    st.dictionaries(SEEN, SHARES, max_size=3),
    SHARES,
    st.floats(1e-3, 1e3),
    st.none() | st.just(UNEVENNESS),
    st.none() | st.just(SHORT),
    st.none() | st.just(GOES),
)
def test_a_file_is_read_back_the_same(
    tmp_path_factory: pytest.TempPathFactory,
    swatch: str,
    yarns: dict[str, float],
    slack: float,
    factor: float,
    unevenness: LearntShare | None,
    short_mm: LearntLength | None,
    slack_goes: SlackGoes | None,
) -> None:
    def learnt(value: float) -> LearntSlack:
        return LearntSlack(value=value, low=-0.95, high=1.0, known="measured")

    written = knitter(
        swatch=swatch,
        slack=learnt(slack),
        slack_by_yarn={name: learnt(value) for name, value in yarns.items()},
        stretch=LearntFactor(value=factor, low=1e-3, high=1e3, known="measured"),
        unevenness=unevenness,
        short_mm=short_mm,
        slack_goes=slack_goes,
    )
    path = tmp_path_factory.mktemp("hands") / "hands.toml"
    path.write_bytes(knitter_text(written).encode("utf-8", "replace"))
    assert read_knitter(path, "x") == written


def test_a_scene_takes_slack_stiffness_and_weight_from_it(tmp_path: Path) -> None:
    scene = read_scene(scene_in(tmp_path, knitter()))
    assert scene.slack_of_yarns == (-0.06, -0.02)  # milk as all, ink its own
    assert scene.slack_is_learnt
    with_hands, without = set_up(scene).stiffness, set_up(scene.without_knitter()).stiffness
    assert with_hands.stretch_across == pytest.approx(1.3 * without.stretch_across)
    assert with_hands.stretch_up == pytest.approx(1.3 * without.stretch_up)
    assert with_hands.shear == pytest.approx(1.3 * without.shear)
    assert with_hands.bend_up == without.bend_up
    as_tight = scene.without_knitter().model_copy(update={"floats": scene.floats.model_copy(update={"slack": -0.06})})
    own = {"slack_by_yarn": {"b": -0.02}}
    as_tight = as_tight.model_copy(update={"floats": as_tight.floats.model_copy(update=own)})
    assert as_tight.slack_of_yarns == scene.slack_of_yarns  # as floats weigh too
    assert with_hands.areal_mass == pytest.approx(1.1 * set_up(as_tight).stiffness.areal_mass)
    assert set_up(scene).mesh.floats.slack_f.min() == -0.06
    assert scene.without_knitter().slack_of_yarns == (0.0, 0.0)
    assert scene.hands is not None  # whose own is not taken away


def test_what_is_written_wins(tmp_path: Path) -> None:
    scene = read_scene(scene_in(tmp_path, knitter(), "slack = 0.05"))  # the usual slack, but written
    assert scene.slack_of_yarns == (0.05, 0.05)
    assert not scene.slack_is_learnt
    one = read_scene(scene_in(tmp_path, knitter(), "slack_by_yarn = { b = 0.1 }"))
    assert one.slack_of_yarns == (-0.06, 0.1)
    stiff = read_scene(scene_in(tmp_path, knitter(), more="[fabric]\nstretch_across_N_per_m = 20\n"))
    assert set_up(stiff).stiffness.stretch_across == 20.0


def test_what_was_not_told_is_not_used(tmp_path: Path) -> None:
    dark = knitter(slack=LearntSlack(value=0.2, low=-0.1, high=0.4, known="not told"), slack_by_yarn={})
    scene = read_scene(scene_in(tmp_path, dark))
    assert scene.slack_of_yarns == (0.0, 0.0)


def test_what_it_holds_counts_not_where_it_lies(tmp_path: Path) -> None:
    path = scene_in(tmp_path, knitter())
    first = read_scene(path)
    (tmp_path / "my_hands.toml").rename(tmp_path / "other.toml")
    path.write_text(path.read_text(encoding="utf-8").replace("my_hands", "other"), encoding="utf-8")
    assert scene_hash(read_scene(path)) == scene_hash(first)
    (tmp_path / "other.toml").write_text(knitter_text(knitter(bending_against_stretch=1.6)), encoding="utf-8")
    again = read_scene(path)
    assert scene_hash(again) != scene_hash(first)
    assert again != read_scene(scene_in(tmp_path, knitter()))
    assert scene_hash(again.without_knitter()) not in (scene_hash(first), scene_hash(again))


@pytest.mark.parametrize(
    ("change", "line"),
    [
        (("value = 1.3", "value = 0.5"), "hands.toml: stretch: given low = 1, value = 0.5, high = 1.7; allowed: low,"),
        (('known = "measured"', 'known = "sure"'), "hands.toml: slack.known: given 'sure'; allowed: 'measured', "),
        (("low = -0.08", "lowest = -0.08"), "hands.toml: slack: given the unknown key 'lowest'; allowed: value, low, "),
        (("[slack]", "[slack"), "hands.toml: given a file that isn't TOML"),
    ],
)
def test_a_bad_file_gets_one_line(tmp_path: Path, change: tuple[str, str], line: str) -> None:
    path = scene_in(tmp_path, knitter())
    hands = tmp_path / "my_hands.toml"
    hands.write_text(hands.read_text(encoding="utf-8").replace(*change, 1), encoding="utf-8")
    with pytest.raises(InputError, match=r"^[^\n]*$") as problem:
        read_scene(path)
    assert line in str(problem.value)


def test_no_such_file(tmp_path: Path) -> None:
    path = scene_in(tmp_path, knitter())
    (tmp_path / "my_hands.toml").unlink()
    with pytest.raises(InputError, match=r"scene.toml: knitter: given '.*my_hands.toml', which isn't there"):
        read_scene(path)
