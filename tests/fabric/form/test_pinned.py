"""Pins: where they hold the sides of a flat piece, how hard, and from where it begins."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.fabric.build import TABLE_SINK
from fabricsim.fabric.form import pinned
from fabricsim.fabric.form.pinned import PIN_RATIO, Pinned, pinned_out, sides
from fabricsim.fabric.setup import set_up
from tests.support.meshes import WORSTED
from tests.support.scenes import scene_of

FABRIC = set_up(scene_of(["#...", ".#.."], 0.1, worked="flat"), "swatch")
MESH = FABRIC.mesh


def held(x_nc: np.ndarray) -> np.ndarray:
    """Return the force (n, 3) on every stitch that the pins of a piece 0.1 m apart hold."""
    force_nc = np.zeros_like(x_nc)
    for term in Pinned(0.1).terms(MESH, WORSTED):
        force_bq = -term.gradient(term.spans(x_nc, None))[1]
        np.add.at(force_nc, term.node_bp[:, 0], force_bq.reshape(-1, 3))
    return force_nc


def test_the_sides_are_held_apart_and_flat_and_nothing_else_is() -> None:
    left, right = (np.flatnonzero(MESH.column_n == column) for column in (0, MESH.stitches - 1))
    assert sorted(sides(MESH)) == sorted([*left, *right])
    level = (0.5 - TABLE_SINK) * MESH.thickness
    x_nc = np.random.default_rng(2).normal(scale=0.02, size=MESH.rest_nc.shape)
    k, force_nc = PIN_RATIO * WORSTED.stretch_across, held(x_nc)
    for side, place in ((left, -0.05), (right, 0.05)):
        np.testing.assert_allclose(force_nc[side, 0], k * (place - x_nc[side, 0]), rtol=1e-9)
        np.testing.assert_allclose(force_nc[side, 2], k * (level - x_nc[side, 2]), rtol=1e-9)
    assert not force_nc[:, 1].any()
    assert not np.delete(force_nc, sides(MESH), axis=0).any()


@pytest.mark.parametrize("width", [0.15, 0.3])
def test_it_begins_evenly_as_wide_as_its_pins(width: float, monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[Any] = []
    monkeypatch.setattr(pinned, "come_to_rest", lambda fabric, state, progress: begun.append((fabric, state)))
    off: Any = SimpleNamespace(x_nc=MESH.rest_nc * [0.9, 1.0, 1.0] + [0.3, 0.0, 0.0])
    pinned_out(FABRIC, off, width)
    ((fabric, state),) = begun
    apart = width * (MESH.stitches - 1) / MESH.stitches
    assert fabric.placed.apart == pytest.approx(apart)
    at_j = np.linspace(-0.5 * apart, 0.5 * apart, MESH.stitches)
    np.testing.assert_allclose(state.x_nc[:, 0], at_j[MESH.column_n], atol=1e-12)
    np.testing.assert_array_equal(state.x_nc[:, 1:], off.x_nc[:, 1:])
