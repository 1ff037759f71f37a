"""Fabric that is pulled, against the bars' own law, energy balances and dead loads."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from fabricsim.errors import InputError
from fabricsim.fabric.bars import bars_of
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import pucker, taut
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric
from fabricsim.fabric.stiffness import Stiffness, default_stiffness
from fabricsim.fabric.stretching import Along, load_of, pulled, relaxed_of, strain_of, stretched, without_floats
from tests.support.meshes import HEIGHT, TIGHT_ROWS, WIDTH, WORSTED, mesh_of
from tests.support.scenes import fabric_of

PLAIN = ("....",) * 3
WIDE_ROWS = ("####........", *("............",) * 3)
"""A motif wide enough to pucker."""
FINGERING = default_stiffness(30.0, 40.0, 240.0)
FABRICS = {"worsted": (WORSTED, WIDTH, HEIGHT), "fingering": (FINGERING, 0.1 / 30.0, 0.1 / 40.0)}
BOTH = pytest.mark.parametrize("along", ["across", "up"])


def plain(stiffness: Stiffness = WORSTED, width: float = WIDTH, height: float = HEIGHT) -> Fabric:
    return fabric_of(mesh_of(PLAIN, "repeat", width=width, height=height, thickness=stiffness.thickness), stiffness)


def one_float(slack: float) -> Fabric:
    """One row, a float as wide as the cell: its pull stretches all stitches alike. The other yarn's hangs loose."""
    return fabric_of(mesh_of(("#.....",), "repeat", [0.9, slack]))


def puckered() -> Fabric:
    return fabric_of(mesh_of(WIDE_ROWS, "repeat", -0.15))


def tight() -> Fabric:
    return fabric_of(mesh_of(TIGHT_ROWS, "repeat", -0.06))


class Cell:
    """The closed form: a uniform cell of the bar lattice, from the energies of the design's table.

    U = k_x w^2 phi(e_x) + k_y c^2 phi(e_y) + k_d (d - d_0)^2 + (C12 - G) e_x e_y w c, with two diagonals of length d;
    what phi adds past e^2/2 is of the modulus of the fabric pulled that way, E_x w c or E_y w c.
    """

    def __init__(self, stiffness: Stiffness, w: float, c: float) -> None:
        self.s, self.w, self.c = stiffness, w, c
        self.bars = bars_of(stiffness, w, c, "test")

    def slopes(self, e_x: float, e_y: float) -> tuple[float, float]:
        """Return dU/de_x and dU/de_y over the area of the cell, N/m."""
        w, c, k = self.w, self.c, self.bars
        d_0 = np.hypot(w, c)
        d = np.hypot(w * (1.0 + e_x), c * (1.0 + e_y))
        turned = 2.0 * k.diagonal * (d - d_0) / d
        across = k.course * w * w * e_x + turned * w * w * (1.0 + e_x)
        up = k.wale * c * c * e_y + turned * c * c * (1.0 + e_y)
        locked_across = self.s.stretch_across * self._beyond(e_x, self.s.lock_across)
        locked_up = self.s.stretch_up * self._beyond(e_y, self.s.lock_up)
        return (
            across / (w * c) + k.coupling * e_y + locked_across,
            up / (w * c) + k.coupling * e_x + locked_up,
        )

    def _beyond(self, e: float, lock: float) -> float:
        """The integral of (R - 1) (e/lock)^2 up to the lock and R - 1 from there, and of J - 1 past the jam."""
        stiffer, squeezed = self.s.lock_ratio - 1.0, self.s.jam_ratio - 1.0
        pulled = max(min(e, lock), 0.0) ** 3 / (3.0 * lock**2) + max(e - lock, 0.0)
        return stiffer * pulled - squeezed * max(-e - self.s.jam, 0.0)

    def pull(self, along: Along, strain: float) -> tuple[float, float]:
        """Return the load (N/m) at a strain along one direction, and the strain the other way, which is free."""
        if along == "across":
            other = float(brentq(lambda e: self.slopes(strain, e)[1], -0.9, 0.9, xtol=1e-15))
            return self.slopes(strain, other)[0], other
        other = float(brentq(lambda e: self.slopes(e, strain)[0], -0.9, 0.9, xtol=1e-15))
        return self.slopes(other, strain)[1], other


def other_way(rest: Equilibrium, along: Along) -> float:
    return strain_of(rest, "up" if along == "across" else "across")


@BOTH
@pytest.mark.parametrize(("stiffness", "w", "c"), FABRICS.values(), ids=list(FABRICS))
def test_plain_fabric_follows_its_bars_law(stiffness: Stiffness, w: float, c: float, along: Along) -> None:
    """The whole curve, past lock and jam, and the narrowing the other way; and every stitch stretches alike."""
    fabric, cell = plain(stiffness, w, c), Cell(stiffness, w, c)
    lock = stiffness.lock_across if along == "across" else stiffness.lock_up
    rest = None
    for strain in (0.01, 0.1, 0.25, lock - 0.01, lock + 0.01, lock + 0.2):
        rest = stretched(fabric, along, strain, rest)
        load, other = cell.pull(along, strain)
        assert load_of(rest, along) == pytest.approx(load, rel=1e-7)  # the force that the solver leaves
        assert other_way(rest, along) == pytest.approx(other, abs=1e-8)
        assert load_of(rest, "up" if along == "across" else "across") == pytest.approx(0.0, abs=1e-7 * load)
        evenly_nc = fabric.mesh.rest_nc * [*(1.0 + strain_of(rest, way) for way in ("across", "up")), 0.0]  # type: ignore[arg-type]
        np.testing.assert_allclose(rest.x_nc, evenly_nc, rtol=0, atol=1e-8 * w)


@BOTH
def test_the_slope_at_rest_is_the_modulus_and_the_narrowing_poisson(along: Along) -> None:
    fabric, h = plain(), 1e-4
    modulus = WORSTED.stretch_across if along == "across" else WORSTED.stretch_up
    narrowing = WORSTED.poisson_across * modulus / WORSTED.stretch_across
    there, back = (stretched(fabric, along, by) for by in (h, -h))
    # odd in h: what is left is of its square, as fabric stiffens, and of the solver's force over one stitch's
    lock = WORSTED.lock_across if along == "across" else WORSTED.lock_up
    exact = 1e-6 + (WORSTED.lock_ratio - 1.0) * (h / lock) ** 2
    assert (load_of(there, along) - load_of(back, along)) / (2 * h) == pytest.approx(modulus, rel=exact)
    assert (other_way(back, along) - other_way(there, along)) / (2 * h) == pytest.approx(narrowing, rel=2.0 * exact)


@BOTH
def test_the_slope_rises_to_the_lock_ratio(along: Along) -> None:
    """At the lock it is ``lock_ratio`` times that at rest; at 17 % across and 10 % up, three times (several times by
    17 %: Wang, O'Brien, Ramamoorthi 2011). The rest is geometry: diagonals turn, and the cell narrows."""
    modulus, lock = (
        (WORSTED.stretch_across, WORSTED.lock_across) if along == "across" else (WORSTED.stretch_up, WORSTED.lock_up)
    )
    h = 1e-5

    def slope(at: float) -> float:
        free = plain(replace(WORSTED, jam=0.9))  # what narrows on the way would jam
        below, above = (load_of(stretched(free, along, at + by), along) for by in (-h, h))
        return (above - below) / (2.0 * h)

    assert slope(lock + 2.0 * h) / modulus == pytest.approx(WORSTED.lock_ratio, rel=0.2)
    assert slope(0.17 if along == "across" else 0.10) / modulus == pytest.approx(3.0, rel=0.1)


@pytest.mark.parametrize("slack", [0.0, 0.04, 0.12, -0.03])
def test_a_float_adds_its_own_stiffness_from_where_it_is_taut(slack: float) -> None:
    """Beside the sheet a float of 100 E_x per width, from its length on: T = T_plain(e) + 100 E_x <e - s>.

    A short float draws the sheet in to where both balance; the pull is then counted from there, per relaxed height.
    """
    fabric, cell = one_float(slack), Cell(WORSTED, WIDTH, HEIGHT)

    def together(e: float) -> float:
        return cell.pull("across", e)[0] + 100.0 * WORSTED.stretch_across * max(e - slack, 0.0)

    start = float(brentq(together, -0.1, 0.1, xtol=1e-15))
    relaxed = come_to_rest(fabric)
    assert relaxed_of(relaxed)[0] == pytest.approx(6 * WIDTH * (1.0 + start), rel=1e-9)
    if slack < 0.0:  # two springs in parallel, to the first order: C = (E + E_f)/(E/C0 + E_f/C_f)
        lengths = (1.0 + 100.0) / (1.0 + 100.0 / (1.0 + slack))
        assert 1.0 + start == pytest.approx(lengths, abs=abs(slack) ** 2)
    else:
        assert start == pytest.approx(0.0, abs=1e-12)
    height = 1.0 + cell.pull("across", start)[1]
    for beyond in (1e-6, 0.01, 0.03):
        rest = stretched(fabric, "across", (1.0 + max(slack, start) + beyond) / (1.0 + start) - 1.0, relaxed)
        assert taut(rest).tolist() == [False, True]
        assert load_of(rest, "across") * height == pytest.approx(together(max(slack, start) + beyond), rel=1e-7)
    if slack > 0.0:
        just_slack = stretched(fabric, "across", slack - 1e-6, relaxed)
        assert not taut(just_slack).any()
        assert load_of(just_slack, "across") == pytest.approx(cell.pull("across", slack - 1e-6)[0], rel=1e-8)


@BOTH
def test_what_holds_it_pulls_with_the_derivative_of_the_energy(along: Along) -> None:
    """Of puckered fabric; the derivative from four energies, whose error is of the fourth order in the step."""
    fabric, h = puckered(), 2e-4
    rest = come_to_rest(fabric)
    assert pucker(rest).peak_to_valley > 1e-3
    middle = stretched(fabric, along, 0.01, rest)
    energy = {n: stretched(fabric, along, 0.01 + n * h, middle).effort.energy for n in (-2, -1, 1, 2)}
    slope = (8.0 * (energy[1] - energy[-1]) - (energy[2] - energy[-2])) / (12.0 * h)
    width, height = relaxed_of(rest)
    assert load_of(middle, along) * width * height == pytest.approx(slope, rel=1e-6)


@BOTH
def test_the_work_done_is_the_energy_gained(along: Along) -> None:
    """Gauss's rule along the curve, back from the far end so that all contacts are known, short of where stitches jam.

    Puckered fabric, its floats going slack when it is pulled up.
    """
    fabric, far = puckered(), 0.024
    node_k, weight_k = np.polynomial.legendre.leggauss(8)
    work, parts = 0.0, 4
    one = end = stretched(fabric, along, far, stretched(fabric, along, far / 2))
    for start in reversed(range(parts)):
        for node, weight in zip(reversed(node_k), reversed(weight_k), strict=True):
            one = stretched(fabric, along, (start + 0.5 * (1.0 + float(node))) * far / parts, one)
            work += weight * far / (2 * parts) * load_of(one, along)
    rest = stretched(fabric, along, 0.0, one)
    gained = end.effort.energy - rest.effort.energy
    assert work * np.prod(relaxed_of(rest)) == pytest.approx(gained, rel=1e-4)


@BOTH
@pytest.mark.parametrize("load", [0.5, 6.0])
def test_a_dead_load_and_a_prescribed_size_agree(along: Along, load: float) -> None:
    fabric = puckered()
    rest = come_to_rest(fabric)
    hung = pulled(fabric, along, load, rest)
    assert load_of(hung, along) == pytest.approx(load, rel=1e-6)  # what it carries: without the load itself
    held = stretched(fabric, along, strain_of(hung, along), rest)
    assert load_of(held, along) == pytest.approx(load, rel=1e-6)
    np.testing.assert_allclose(held.period_a, hung.period_a, rtol=1e-8)  # type: ignore[arg-type]
    np.testing.assert_allclose(held.tension_f, hung.tension_f, rtol=0, atol=1e-6 * hung.tension_f.max(initial=load))


def test_tight_fabric_is_pulled_from_its_drawn_in_width() -> None:
    fabric = tight()
    rest = come_to_rest(fabric)
    assert rest.period_a is not None
    assert rest.period_a[0] < 0.97 * 6 * WIDTH
    held = stretched(fabric, "across", 0.0)
    np.testing.assert_allclose(held.period_a, rest.period_a, rtol=1e-9)  # type: ignore[arg-type]
    assert load_of(held, "across") == pytest.approx(0.0, abs=1e-6)
    assert load_of(rest, "across") == pytest.approx(0.0, abs=1e-6)
    assert stretched(fabric, "across", 0.05, rest).period_a[0] == pytest.approx(1.05 * rest.period_a[0])  # type: ignore[index]


def test_any_rest_will_do_to_start_from() -> None:
    """One held the other way, of another slack or stiffness: only one of this very fabric tells its relaxed size."""
    fabric = tight()
    want = stretched(fabric, "across", 0.02)
    for start in (
        stretched(fabric, "up", 0.05),
        pulled(fabric, "across", 3.0),
        stretched(fabric.with_slack_shifted(0.05), "across", 0.03),
        stretched(fabric.with_stiffness(WORSTED.bent(2.0)), "up", 0.03),
    ):
        got = stretched(fabric, "across", 0.02, start)
        np.testing.assert_allclose(relaxed_of(got), relaxed_of(want), rtol=1e-7)
        # which floats count as lying on the back depends a hair on the way in
        assert load_of(got, "across") == pytest.approx(load_of(want, "across"), rel=3e-4)
        assert other_way(got, "across") == pytest.approx(other_way(want, "across"), abs=1e-5)


@BOTH
def test_all_twice_as_stiff_is_the_same_at_twice_the_load(along: Along) -> None:
    """Every energy scales alike, so that the band of stiffness can be read off one curve."""
    fabric = puckered()
    doubled = {name: 2.0 * getattr(WORSTED, name) for name in ("stretch_across", "stretch_up", "shear")}
    stiffer = fabric.with_stiffness(replace(WORSTED, **doubled).bent(2.0))
    one, other = (strain_of(pulled(each, along, load), along) for each, load in ((fabric, 4.0), (stiffer, 8.0)))
    assert one == pytest.approx(other, rel=1e-6)


@BOTH
def test_plain_fabric_of_one_stitch_stands_for_all(along: Along) -> None:
    single = without_floats(tight())
    assert len(single.mesh.rest_nc) == 1
    one, many = (load_of(stretched(each, along, 0.2), along) for each in (single, plain()))
    assert one == pytest.approx(many, rel=1e-9)


def test_only_a_repeat_is_pulled_and_only_so_far() -> None:
    with pytest.raises(InputError, match="case: given 'swatch'; allowed: repeat"):
        stretched(fabric_of(mesh_of(PLAIN, "swatch")), "across", 0.1)
    for strain in (-1.0, float("nan"), float("inf")):
        with pytest.raises(InputError, match="allowed: a share above -1"):
            stretched(plain(), "across", strain)
