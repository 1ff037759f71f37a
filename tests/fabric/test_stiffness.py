"""The default stiffness: the three anchors of its table exactly, its scaling rules between and beyond."""

from __future__ import annotations

from dataclasses import fields

import pytest

from fabricsim.fabric.stiffness import OWNERS, Stiffness, default_stiffness
from fabricsim.units import GRAVITY

TABLE = {
    "fingering": ((30.0, 40.0, 240.0), (1.6, 0.40, 0.50, 30.0, 60.0, 7.0, 45.0, 25.0, 32.0)),
    "DK": ((22.0, 29.0, 420.0), (2.2, 0.51, 0.63, 20.0, 40.0, 10.0, 30.0, 40.0, 52.0)),
    "worsted": ((19.0, 25.5, 500.0), (2.6, 0.53, 0.66, 15.0, 30.0, 10.0, 22.5, 50.0, 65.0)),
}
"""Stitches and rows per 10 cm, tex: thickness mm, areal mass plain and two-colour kg/m2, E_x, E_y N/m, slope
past the lock, G N/m, B_x, B_y uN.m. All chosen; published beside the defaults."""


@pytest.mark.parametrize("name", list(TABLE))
def test_anchors_come_out_exactly(name: str) -> None:
    gauge, (thickness, plain_mass, mass, e_x, e_y, lock_ratio, g, b_x, b_y) = TABLE[name]
    s = default_stiffness(*gauge)
    exact = {
        "thickness": thickness * 1e-3,
        "stretch_across": e_x,
        "stretch_up": e_y,
        "shear": g,
        "lock_ratio": lock_ratio,
        "jam_ratio": lock_ratio,
        "bend_across": b_x * 1e-6,
        "bend_up": b_y * 1e-6,
        "poisson_across": 0.66,
        "lock_across": 0.36,
        "lock_up": 0.21,
        "jam": 0.20,
        "float_ratio": 100.0,
        "twist": 1e-6 * (b_x * b_y) ** 0.5,
        "curl_across": 0.0,
        "curl_up": 0.0,
        "curl_depth": float("inf"),
    }
    for key, value in exact.items():
        assert getattr(s, key) == pytest.approx(value, rel=1e-12), key
    # The table prints two decimals of the mass: half a unit of the last, and a little for its plain worsted,
    # 0.5355, which it rounds down with the two-colour mass.
    assert s.areal_mass == pytest.approx(mass, abs=0.005)
    assert s.areal_mass / 1.24 == pytest.approx(plain_mass, abs=0.006)


@pytest.mark.parametrize(("stitches", "rows", "tex"), [(40.0, 54.0, 110.0), (10.0, 14.0, 1500.0)])
def test_beyond_the_anchors_the_rules_hold_from_the_nearest(stitches: float, rows: float, tex: float) -> None:
    """E and G with tex / w^3, B with mass x (bending length)^3, thickness with w."""
    gauge = TABLE["fingering" if stitches > 30.0 else "worsted"][0]
    near, far = default_stiffness(*gauge), default_stiffness(stitches, rows, tex)
    wider = gauge[0] / stitches
    yarn = (tex / gauge[2]) / wider**3
    for key in ("stretch_across", "stretch_up", "shear"):
        assert getattr(far, key) == pytest.approx(yarn * getattr(near, key), rel=1e-12), key

    # stitches by area times loop, which goes with the square root of the area of one, and float, with its width
    def two_colours(across: float, up: float, yarn: float) -> float:
        return yarn * (up * across) * ((23.1 / (across * up)) ** 0.5 + 1.0 / across)

    mass = two_colours(stitches, rows, tex) / two_colours(*gauge)
    assert far.areal_mass == pytest.approx(mass * near.areal_mass, rel=1e-12)
    for key in ("bend_across", "bend_up"):
        assert getattr(far, key) == pytest.approx(mass * getattr(near, key), rel=1e-12), key
    assert far.thickness == pytest.approx(wider * near.thickness, rel=1e-12)
    assert far.lock_ratio == near.lock_ratio


def test_in_between_every_figure_lies_between_where_its_scale_does() -> None:
    """At a width halfway between two anchors the scaled-out figures are the means of theirs (linear in
    width)."""
    width = 0.5 * (0.1 / 30.0 + 0.1 / 22.0)
    a, b = (default_stiffness(*TABLE[n][0]) for n in ("fingering", "DK"))
    s = default_stiffness(0.1 / width, 34.0, 330.0)

    def per_yarn(stiffness: Stiffness, stitches: float, tex: float) -> float:
        return stiffness.stretch_across * (0.1 / stitches) ** 3 / tex

    mean = 0.5 * (per_yarn(a, 30.0, 240.0) + per_yarn(b, 22.0, 420.0))
    assert per_yarn(s, 0.1 / width, 330.0) == pytest.approx(mean, rel=1e-12)

    def bending_length(stiffness: Stiffness) -> float:
        return float((stiffness.bend_across / (stiffness.areal_mass * GRAVITY)) ** (1.0 / 3.0))

    assert bending_length(s) == pytest.approx(0.5 * (bending_length(a) + bending_length(b)), rel=1e-12)
    assert s.lock_ratio == pytest.approx(8.5, rel=1e-12)


def test_bending_lengths_lie_at_1_to_2_1_cm() -> None:
    """The cantilever test's bending length: 1.2 / 1.9 / 2.9 cm at the 5th / 50th / 95th percentile of 618
    apparel fabrics (drape-tester data set, SIGGRAPH Asia 2022)."""
    for gauge, _ in TABLE.values():
        s = default_stiffness(*gauge)
        for rigidity in (s.bend_across, s.bend_up):
            assert 0.012 < (rigidity / (s.areal_mass * GRAVITY)) ** (1.0 / 3.0) < 0.029


def test_a_given_mass_replaces_only_itself() -> None:
    s, heavy = default_stiffness(19.0, 25.5, 500.0), default_stiffness(19.0, 25.5, 500.0, areal_mass=1.5)
    assert {f.name for f in fields(s) if getattr(s, f.name) != getattr(heavy, f.name)} == {"areal_mass"}
    assert heavy.areal_mass == 1.5


def test_bent_changes_bending_alone() -> None:
    s = default_stiffness(19.0, 25.5, 500.0)
    softer = s.bent(0.5)
    changed = {f.name for f in fields(s) if getattr(s, f.name) != getattr(softer, f.name)}
    assert changed == {"bend_across", "bend_up", "twist"}
    for name in changed:
        assert getattr(softer, name) == 0.5 * getattr(s, name)


def test_every_default_has_an_owner() -> None:
    assert set(OWNERS) == {f.name for f in fields(Stiffness)}
    assert all(OWNERS.values())
