"""Tight floats of puckered fabric lie on the backs of the stitches that bulge in their way, and press on them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fabricsim.design.scene.choices import Case
from fabricsim.fabric.behind import PRESSED_IN, Tracks
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import measure, taut
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.mechanics.laws import Proportional
from tests.support.lines import Line, line_of
from tests.support.meshes import at_rest
from tests.support.scenes import scene_of
from tests.support.tubes import turned_out

LEAF = ("....#....", "...###...", "..#####..", ".#######.", "..#####..", "...###...", "....#....", ".........")
STEPS = ("#.......", "..#.....", "....#...", "......#.")
TIGHT: dict[str, tuple[tuple[str, ...], Case, float, dict[str, object]]] = {
    "leaf, repeat": (LEAF, "repeat", -0.12, {}),
    "leaf, very tight": (LEAF, "repeat", -0.2, {}),
    "leaf, swatch": (LEAF, "swatch", -0.12, {"across": 2}),
    "steps, swatch": (STEPS, "swatch", -0.15, {"across": 2, "up": 2}),
    "leaf, worked inside out": (LEAF, "round", -0.06, {"across": 3}),
}
"""Chart, case, slack and how often it stands in the piece."""

every_fabric = pytest.mark.parametrize("name", TIGHT)


@cache
def fabric(name: str) -> Fabric:
    rows, case, slack, repeats = TIGHT[name]
    made = set_up(scene_of(rows, slack, chart=repeats), case)
    return replace(made, mesh=turned_out(made.mesh)) if "inside out" in name else made


@cache
def rested(name: str) -> tuple[Equilibrium, list[Line]]:
    rest = come_to_rest(fabric(name))
    return rest, [line_of(rest.mesh, rest.x_nc, rest.period_a, f) for f in range(len(rest.mesh.floats))]


@every_fabric
def test_no_taut_float_cuts_into_the_fabric(name: str) -> None:
    """By more than the hundredth of a thickness that is let go; a few ten-thousandths of that are the solver's."""
    rest, lines = rested(name)
    pulls_f = taut(rest)
    assert measure(rest).pull.pressing >= 5
    for f in np.flatnonzero(pulls_f).tolist():
        assert lines[f].cut(rest.pressed[f]) <= PRESSED_IN * rest.mesh.thickness, f
        np.testing.assert_allclose(lines[f].normal_kc[0], rest.normal_nc[rest.mesh.floats.node_f2[f, 0]], atol=1e-12)


@every_fabric
def test_straight_floats_would_cut_through_it(name: str) -> None:
    """The same fabric with floats that mind nothing: so the test above has something to find."""
    mesh = fabric(name).mesh
    _, state, _ = at_rest(mesh, fabric(name).stiffness, 1e-9 * 0.1)
    cut_f = [line_of(mesh, state.x_nc, state.period_a, f).cut(()) for f in range(len(mesh.floats))]
    assert max(cut_f) > 10.0 * PRESSED_IN * mesh.thickness


@every_fabric
def test_a_float_pulls_by_what_its_way_lacks(name: str) -> None:
    """T = k <way - yarn>, k = 100 E_x c / span (the design's float, by hand), its way from the stitches alone."""
    rest, lines = rested(name)
    table = rest.mesh.floats
    way_f = np.array([line.length(steps) for line, steps in zip(lines, rest.pressed, strict=True)])
    stiff_f = 100.0 * rest.stiffness.stretch_across * rest.mesh.row_height / table.span_f
    pull_f = stiff_f * np.maximum(way_f - table.length_f, 0.0)
    pressing_f = np.array([len(steps) > 0 for steps in rest.pressed])
    # Floats that lie on nothing by more than is let go may still be lifted by that: a way longer by (t/100)^2 over
    # their yarn at the most; those that press have it to round-off.
    let_go = (PRESSED_IN * rest.mesh.thickness) ** 2 / table.length_f.min() * 4.0
    np.testing.assert_allclose(rest.way_f, way_f, rtol=0.0, atol=let_go)
    np.testing.assert_allclose(rest.way_f[pressing_f], way_f[pressing_f], rtol=1e-12)
    np.testing.assert_allclose(rest.tension_f[pressing_f], pull_f[pressing_f], rtol=1e-8)
    np.testing.assert_allclose(rest.tension_f, pull_f, atol=stiff_f.max() * let_go)
    assert (rest.chord_f[pressing_f] < rest.way_f[pressing_f]).all()


@every_fabric
def test_what_a_float_lies_on_it_pushes_to_the_face(name: str) -> None:
    """A stitch moved to the back by d, its normal kept, makes the float on it longer by d times the turn of the line
    about it; one moved to the face makes it shorter by that. One that it doesn't lie on makes no difference."""
    rest, lines = rested(name)
    mesh, small = rest.mesh, 1e-6 * rest.mesh.thickness
    tracks = Tracks(mesh)
    clearly = 0
    for f in np.flatnonzero(taut(rest)).tolist():
        steps, line = rest.pressed[f], lines[f]
        if not steps:
            continue
        (term,) = (
            t for t in tracks.wrapped(np.arange(len(mesh.floats)) == f, lambda _: Proportional(1.0)) if len(t.node_bp)
        )
        spans = term.spans(rest.x_nc, rest.period_a)
        for k in range(1, len(line.back_kc) - 1):
            by_kc = np.zeros_like(line.back_kc)
            by_kc[k] = small * line.normal_kc[k]
            longer, by_hand = {}, {}
            for way in (-1.0, 1.0):
                pushed = spans.copy()
                pushed[0, : len(by_kc) - 1] += way * np.diff(by_kc, axis=0)
                longer[way] = term.geometry.measure(pushed, 0).s_b[0] - rest.way_f[f]
                by_hand[way] = replace(line, back_kc=line.back_kc + way * by_kc).length(steps) - line.length(steps)
            if k not in steps:
                assert max(np.abs(list(longer.values()))) <= 1e-15
                continue
            # Differences of d = 2.6e-9 m times a turn, of lengths whose last bits are 1e-17 m: and the second order.
            assert longer[-1.0] == pytest.approx(by_hand[-1.0], abs=1e-16 + small**2 / mesh.stitch_width)
            assert longer[-1.0] > -1e-16
            assert longer[1.0] < 1e-16
            clearly += longer[-1.0] > 0.01 * small  # a turn of more than half a degree
    assert clearly >= 5
