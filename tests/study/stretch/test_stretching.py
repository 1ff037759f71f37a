"""Curves of pull against stretch: exact where asked for, and where floats go taut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.stretching import PRETENSION, Along, load_of, pulled, strain_of, stretched, without_floats
from fabricsim.study.hands.prior import SLACK_DOUBT, UNKNOWN_SLACK
from fabricsim.study.stretch import stretching as pulled_apart
from fabricsim.study.stretch.pulling import FINE, Curve, Point, curve_of
from fabricsim.study.stretch.stretching import LOADS, Range, Way, stretching
from tests.support.scenes import scene_of

CHECKS = ["##..", "..##"]
RINGS = ["..#...", ".#.#..", "#...#.", ".#.#..", "..#..."]


def checks(slack: float, short_mm: float = 0.0) -> Scene:
    return scene_of(CHECKS, slack, floats={"short_mm": short_mm})


def curve(scene: Scene, along: Along, loads: Iterable[float] = LOADS) -> Curve:
    """The repeat of a scene, pulled."""
    return curve_of(set_up(scene, "repeat"), along, loads)


def stretch_under(fabric: Fabric, load: float, along: Along = "across") -> float:
    """The stretch at a load, found for itself alone."""
    return strain_of(pulled(fabric, along, load), along)


@pytest.mark.parametrize("slack", [0.03, 0.08])
def test_floats_of_one_slack_go_taut_at_that_stretch(slack: float) -> None:
    """Flat fabric that nothing pulls in is stretched as its stitches are (derived, exact)."""
    found = curve(checks(slack), "across")
    assert found.first_taut == pytest.approx(slack, abs=1e-7)
    assert found.half_taut == pytest.approx(slack, abs=1e-7)
    assert found.floats == 4
    below, above = found.strains < slack - 1e-7, found.strains > slack + 1e-7
    assert (found.taut[below] == 0.0).all()
    assert (found.taut[above] == 1.0).all()
    assert found.strains[0] == found.loads[0] == 0.0


def test_of_floats_of_different_slack_the_shortest_go_first() -> None:
    """Three yarns, each float as wide as the repeat, so that none changes how the others lie (exact)."""
    rules = {"slack_by_yarn": {"#": 0.02, ".": 0.04, "o": 0.06}}
    found = curve(scene_of(["#.o"], floats=rules), "across", [40.0])
    assert found.first_taut == pytest.approx(0.02, abs=1e-7)
    assert found.half_taut == pytest.approx(0.04, abs=1e-7)
    assert sorted(set(found.taut.round(3))) == pytest.approx([0.0, 0.333, 0.667])


@pytest.mark.parametrize("along", ["across", "up"])
@pytest.mark.parametrize("slack", [-0.04, 0.05])
def test_the_stretch_at_a_load_asked_for_is_exact(slack: float, along: Along) -> None:
    fabric = set_up(scene_of(RINGS, slack), "repeat")
    found = curve_of(fabric, along, [3.0, 12.0])
    for load in (PRETENSION, 3.0, 12.0):
        assert found.at(load) == pytest.approx(stretch_under(fabric, load, along), abs=1e-7)
        held = stretched(fabric, along, found.at(load))
        # taut floats, 100 times as stiff, make 5e-3 N/m of the 3e-6 of strain that the solver leaves
        assert load_of(held, along) == pytest.approx(load, rel=1e-4, abs=5e-3)
    assert (np.diff(found.loads) > 0.0).all()
    assert (np.diff(found.strains) > 0.0).all()
    assert np.diff(found.strains).max() <= FINE
    between = 0.5 * (found.loads[-2] + found.loads[-1])
    assert found.at(between) == pytest.approx(stretch_under(fabric, between, along), abs=2e-3)


def test_short_floats_are_taut_at_once_and_go_slack_when_it_is_pulled_up() -> None:
    across, up = (curve(checks(-0.03), along) for along in ("across", "up"))  # type: ignore[arg-type]
    assert across.first_taut == across.half_taut == up.first_taut == 0.0
    assert (across.taut == 1.0).all()
    assert up.taut[0] == 1.0
    assert up.taut[-1] == 0.0
    assert across.relaxed == up.relaxed
    assert across.relaxed[0] == pytest.approx(4 * 0.1 / 19 * 0.97, rel=5e-3)


def test_floats_that_the_pull_never_reaches() -> None:
    found = curve(checks(0.05), "up")
    assert found.first_taut is None
    assert found.half_taut is None
    assert (found.taut == 0.0).all()


@pytest.mark.parametrize("along", ["across", "up"])
def test_without_floats_it_is_plain_fabric(along: Along) -> None:
    fabric = set_up(scene_of(["...."] * 3), "repeat")
    found, alone = curve_of(fabric, along, [8.0]), curve_of(without_floats(fabric), along, [8.0])
    assert found.floats == 0
    assert found.first_taut is None
    np.testing.assert_allclose(found.strains, alone.strains, atol=1e-8)


def test_stretch_counted_from_the_pretension() -> None:
    found = curve(checks(0.08), "across")
    want = (1.0 + found.at(10.0)) / (1.0 + found.at(PRETENSION)) - 1.0
    assert found.from_pretension(10.0) == pytest.approx(want)
    assert 0.0 < found.from_pretension(10.0) < found.at(10.0)
    assert found.from_pretension(PRETENSION) == 0.0


def test_the_band_is_that_of_other_slack_and_stiffness() -> None:
    """Its ends are what fabrics of those inputs do."""
    found = stretching(checks(0.05), [6.0])
    fabric, way = set_up(checks(0.05), "repeat"), found.across
    assert way.curve.first_taut is not None
    ends = (way.first_taut.low, way.first_taut.nominal, way.first_taut.high)
    assert ends == pytest.approx((0.05 - SLACK_DOUBT, 0.05, 0.05 + SLACK_DOUBT), abs=1e-6)
    stiffness = fabric.stiffness
    corners = []
    for shift in (-SLACK_DOUBT, 0.0, SLACK_DOUBT):
        for by in (0.5, 1.0, 2.0):
            scaled = {name: by * getattr(stiffness, name) for name in ("stretch_across", "stretch_up", "shear")}
            other = fabric.with_slack_shifted(shift).with_stiffness(replace(stiffness, **scaled).bent(by))
            corners.append(stretch_under(other, 6.0))
    at = way.at(6.0)
    assert (at.low, at.high) == pytest.approx((min(corners), max(corners)), abs=1e-6)
    assert at.nominal == pytest.approx(corners[4], abs=1e-7)
    lone = stretching(checks(0.05), [6.0], band=False)
    assert lone.across.others == ()
    assert lone.across.at(6.0).low == lone.across.at(6.0).high == pytest.approx(at.nominal)


def test_floats_that_fall_short_are_taut_the_sooner() -> None:
    """1 mm off the three stitches that each spans (exact), however uneven hands are: they are carried alike."""
    span_mm = 3 * 100 / 19
    scene = checks(0.08, 1.0)
    scene = scene.model_copy(update={"floats": scene.floats.model_copy(update={"unevenness": 0.2})})
    found = stretching(scene, [6.0], band=False).across
    assert found.first_taut.nominal == pytest.approx(0.08 - 1.0 / span_mm, abs=1e-6)
    assert found.curve.half_taut == pytest.approx(found.curve.first_taut)


def test_loads_that_there_are_none_of() -> None:
    found: Curve = curve(checks(0.05), "across", [2.0])
    for load in (2.1, -0.1, float("nan")):
        with pytest.raises(InputError, match="allowed: 0 to 2 N/m"):
            found.at(load)
    for load in (-1.0, float("inf")):
        with pytest.raises(InputError, match="loads of 0 and more"):
            curve(checks(0.05), "across", [load])


# ---- bands, from made-up curves -------------------------------------------------------------------


def made_up(by: float, most: float = 40.0, first_taut: float | None = None) -> Curve:
    """A straight curve of ``by`` a N/m up to ``most``."""
    points = tuple(Point(load, by * load, 0.0, 0.0) for load in (0.0, 0.5, most))
    return Curve("across", (0.2, 0.1), points, 3, first_taut, None)


def test_the_band_is_the_least_and_the_greatest_over_slacks_and_half_and_twice_as_stiff() -> None:
    way = Way(made_up(0.01), made_up(0.02), (made_up(0.008), made_up(0.012)))
    assert way.at(10.0) == Range(pytest.approx(0.04), pytest.approx(0.1), pytest.approx(0.24))
    alone = Way(made_up(0.01), made_up(0.02), ())
    assert alone.at(10.0) == Range(pytest.approx(0.1), pytest.approx(0.1), pytest.approx(0.1))
    nothing_floats = Way(made_up(0.01), made_up(0.01), (made_up(0.01),))
    assert nothing_floats.at(10.0) == Range(pytest.approx(0.05), pytest.approx(0.1), pytest.approx(0.2))


def test_where_a_curve_ends_so_does_the_band() -> None:
    """A fabric of the band that found no rest at twice the load has no greatest stretch; one that found none at half
    tells no least."""
    short = Way(made_up(0.01), made_up(0.02), (made_up(0.008), made_up(0.012, most=19.0)))
    assert short.at(10.0) == Range(pytest.approx(0.04), pytest.approx(0.1), None)
    assert short.at(9.5).high == pytest.approx(0.012 * 19.0)
    shorter = Way(made_up(0.01), made_up(0.02), (made_up(0.012), made_up(0.004, most=4.0)))
    assert shorter.at(10.0) == Range(pytest.approx(0.05), pytest.approx(0.1), None)
    nominal_ends = Way(made_up(0.01, most=15.0), made_up(0.02), (made_up(0.012),))
    assert nominal_ends.at(10.0).high is None


@pytest.mark.parametrize(
    ("nominal", "others", "low", "high"),
    [
        (0.05, (0.02, 0.08), 0.02, 0.08),
        (0.05, (0.06, None), 0.05, None),
        (None, (0.06, None), 0.06, None),
        (None, (None, None), None, None),
        (0.05, (), 0.05, 0.05),
    ],
)
def test_where_the_first_goes_taut_has_no_upper_end_if_in_some_fabric_none_does(
    nominal: float | None, others: tuple[float | None, ...], low: float | None, high: float | None
) -> None:
    way = Way(made_up(0.01, first_taut=nominal), made_up(0.02), tuple(made_up(0.01, first_taut=one) for one in others))
    assert way.first_taut == Range(low, nominal, high)


@dataclass
class Asked:
    """Stands for what makes curves: notes what is asked, and finds no rest at loads from ``ends`` on."""

    ends: dict[float, float] = field(default_factory=dict)
    curves: list[tuple[str, float, tuple[float, ...], bool]] = field(default_factory=list)

    def curve_of(
        self,
        fabric: Fabric,
        along: Along,
        loads: list[float],
        *,
        rest: Any = None,
        rough: bool = False,
        progress: Any = None,
    ) -> Curve:
        slack_f = fabric.mesh.floats.slack_f
        slack = round(float(slack_f[0]), 6) if len(slack_f) else -1.0
        self.curves.append((along, slack, tuple(loads), rough))
        if loads[-1] >= self.ends.get(slack, np.inf):
            raise NoEquilibriumError(f"no rest at {slack}")
        return made_up(0.01, most=loads[-1])


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Asked:
    made = Asked()
    monkeypatch.setattr(pulled_apart, "curve_of", made.curve_of)
    monkeypatch.setattr(pulled_apart, "usable_cores", lambda: 1)
    return made


LOOKED_AT = (0.25, 0.5, 1.0, 3.0, 6.0, 12.0)
"""Loads that are read for a stretch at 6 N/m and at the pretension: half, once and twice."""


def test_both_ways_are_pulled_at_the_slack_and_at_less_and_more(asked: Asked) -> None:
    told: list[tuple[str, int, int]] = []
    found = stretching(checks(0.05), [6.0, 6.0], stage=lambda *one: told.append(one))
    slacks = (0.05, 0.05 - SLACK_DOUBT, 0.05 + SLACK_DOUBT)
    fabrics = [(along, round(slack, 6), LOOKED_AT, slack != 0.05) for slack in slacks for along in ("across", "up")]
    assert sorted(asked.curves[:6]) == sorted(fabrics)
    assert asked.curves[6:] == [("across", -1.0, LOOKED_AT, False), ("up", -1.0, LOOKED_AT, False)]  # plain fabric
    assert found.loads == (6.0,)
    assert {along: len(way.others) for along, way in found.ways.items()} == {"across": 2, "up": 2}
    assert [one for one in told if one[1] > 0] == [
        ("pulled across", 1, 7),
        ("pulled up", 2, 7),
        ("pulled across, floats tighter", 3, 7),
        ("pulled up, floats tighter", 4, 7),
        ("pulled across, floats looser", 5, 7),
        ("pulled up, floats looser", 6, 7),
    ]


@pytest.mark.parametrize(
    ("slack", "slacks"),
    [
        (None, (-UNKNOWN_SLACK, 0.0, UNKNOWN_SLACK)),
        (0.05, (0.05 - SLACK_DOUBT, 0.05, 0.05 + SLACK_DOUBT)),
        (-0.98, (-0.99, -0.98, -0.98 + SLACK_DOUBT)),
    ],
)
def test_a_slack_that_nobody_wrote_is_less_sure(
    asked: Asked, monkeypatch: pytest.MonkeyPatch, slack: float | None, slacks: tuple[float, ...]
) -> None:
    """And never so much tighter that no yarn is left."""
    monkeypatch.setattr(pulled_apart, "lowest_rest", lambda *_, **__: SimpleNamespace(rest=None))
    monkeypatch.setattr(pulled_apart, "come_to_rest", lambda *_, **__: None)
    unwritten = checks(0.0)
    unwritten = unwritten.model_copy(update={"floats": unwritten.floats.model_validate({"short_mm": 0.0})})
    stretching(unwritten, [6.0], slack=slack)
    assert sorted({pulled[1] for pulled in asked.curves} - {-1.0}) == pytest.approx(slacks)  # -1 is plain fabric


def test_without_a_band_or_floats_there_is_one_curve_each_way(asked: Asked) -> None:
    alone = stretching(checks(0.05), [6.0], band=False)
    assert [one[:2] for one in asked.curves[:2]] == [("across", 0.05), ("up", 0.05)]
    assert len(asked.curves) == 4
    assert alone.across.others == alone.up.others == ()
    asked.curves.clear()
    plain = stretching(scene_of(["...."] * 2), [6.0])
    assert len(asked.curves) == 4
    assert plain.across.others == (plain.across.curve,)  # its stiffness is not known all the same
    assert stretching(scene_of(["...."] * 2), [6.0], band=False).up.others == ()


def test_slack_and_loads_take_the_place_of_the_usual(asked: Asked) -> None:
    stretching(checks(0.05), slack=0.1, band=False)
    assert asked.curves[0][1] == 0.1
    assert asked.curves[0][2] == (0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 20.0, 40.0)


def test_a_fabric_of_the_band_without_rest_ends_its_curve_and_the_nominal_one_ends_it_all(asked: Asked) -> None:
    asked.ends = {0.02: 5.0}
    found = stretching(checks(0.05), [6.0])
    assert [one.most for one in found.across.others] == [3.0, 12.0]
    assert found.across.curve.most == 12.0
    asked.ends = {0.02: 0.4}  # not even the pretension
    with pytest.raises(NoEquilibriumError, match=r"no rest at 0\.02"):
        stretching(checks(0.05), [6.0])
    asked.ends = {0.05: 10.0}
    assert stretching(checks(0.05), [6.0]).across.curve.most == 6.0  # all that was asked for
    asked.ends = {0.05: 6.0}
    with pytest.raises(NoEquilibriumError, match=r"no rest at 0\.05"):
        stretching(checks(0.05), [6.0])
