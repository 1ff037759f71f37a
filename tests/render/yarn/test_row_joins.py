"""Where yarn turns, climbs and ends at the edges of made-up flat pieces: point by point, and without a kink."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from fabricsim.design.floats.carry_ups import BREAK_FROM
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.render.yarn import row_joins
from fabricsim.render.yarn.paths import WRAP_THIN, yarn_paths
from fabricsim.render.yarn.row_joins import (
    BEHIND,
    CARRY_UP_BACK,
    CARRY_UP_IN,
    CARRY_UP_LOW,
    CARRY_UP_OUT,
    FARTHEST,
    SIDEWAYS_LOW,
    TAIL_LOW,
    TAIL_OUT,
    THIN_END,
    TURN_BACK,
    TURN_LOW,
    TURN_OUT,
)
from fabricsim.render.yarn.strands import Strands
from fabricsim.render.yarn.surface import StitchSurface
from fabricsim.render.yarn.tiling import tiled
from tests.render.fabrics import GAUGE, PLAIN, fabric, ripples

W, C = GAUGE.stitch_width, GAUGE.row_height
STEPS = 24


def drawn(equilibrium: Equilibrium, steps: int = STEPS) -> Strands:
    """Return the yarn before any gives way to other yarn."""
    return yarn_paths(tiled(equilibrium), steps, hanging=False)


def stitch(equilibrium: Equilibrium, row: int, column: int) -> np.ndarray:
    mesh = equilibrium.mesh
    return np.asarray(equilibrium.x_nc[(mesh.row_n == row) & (mesh.column_n == column)][0])


def passes(strands: Strands, place: np.ndarray) -> bool:
    """Return whether any strand goes through a place, m."""
    return bool(np.linalg.norm(strands.x_pc - place, axis=1).min() < 1e-3 * W)


def ends(strands: Strands) -> np.ndarray:
    return np.concatenate([strands.first_s[:-1], strands.first_s[1:] - 1])


def off(u: float, v: float, z: float) -> np.ndarray:
    """Return stitches across, rows up and stitch widths to the face, in m."""
    return np.array([u * W, v * C, z * W])


def test_flat_work_turns_round_its_edge_left_and_right_in_turn() -> None:
    piece = fabric(("aaaaaa",) * 4, "swatch")
    strands = drawn(piece)
    for row in range(3):
        column, way = (0, -1.0) if row % 2 == 0 else (5, 1.0)
        turn = stitch(piece, row, column) + off(way * TURN_OUT, -TURN_LOW, -TURN_BACK)
        assert passes(strands, turn)
        other = stitch(piece, row, 5 - column) + off(-way * TURN_OUT, -TURN_LOW, -TURN_BACK)
        assert not passes(strands, other)
    x = np.concatenate([piece.x_nc[:, 0]])
    assert strands.x_pc[:, 0].max() < x.max() + (TURN_OUT + 0.05) * W
    assert strands.x_pc[:, 0].min() > x.min() - (TURN_OUT + 0.05) * W


def test_ends_are_tucked_behind_their_last_stitch_and_get_thin() -> None:
    piece = fabric(("aaaaaa",) * 3, "swatch")
    strands = drawn(piece)
    low = TAIL_LOW * W / C
    begin = stitch(piece, 0, 5) + off(TAIL_OUT, -low, -BEHIND)  # the first row is worked right to left
    end = stitch(piece, 2, 0) + off(-TAIL_OUT, -low, -BEHIND)
    for place in (begin, end):
        tip = int(np.linalg.norm(strands.x_pc - place, axis=1).argmin())
        assert strands.x_pc[tip] == pytest.approx(place, abs=1e-3 * W)
        assert tip in ends(strands)
        assert strands.thin_p[tip] == THIN_END
    assert (strands.thin_p[np.setdiff1d(np.arange(len(strands.thin_p)), ends(strands))] == 1.0).all()


@pytest.mark.parametrize(("idle", "yarn"), [("bb", 0), ("bbbb", 0)])
def test_a_colour_that_rests_climbs_behind_its_edge(idle: str, yarn: int) -> None:
    rows = ("aaaaaa", *(symbol * 6 for symbol in idle), "aaaaaa")
    piece = fabric(rows, "swatch")
    strands = drawn(piece)
    for up in range(len(idle) + 1):
        place = stitch(piece, up, 0) + off(-(CARRY_UP_OUT - CARRY_UP_IN * yarn), -CARRY_UP_LOW, -BEHIND)
        assert passes(strands, place), up
    second = stitch(piece, 1, 5) + off(CARRY_UP_OUT - CARRY_UP_IN, -CARRY_UP_LOW, -(BEHIND + CARRY_UP_BACK))
    assert not passes(strands, second)  # the yarn in use climbs nowhere


def test_a_second_colour_climbs_farther_in_and_back() -> None:
    rows = ("bbbbbb", "aaaaaa", "aaaaaa", "bbbbbb")
    piece = fabric(rows, "swatch")
    strands = drawn(piece)
    for up in range(3):
        place = stitch(piece, up, 0) + off(-(CARRY_UP_OUT - CARRY_UP_IN), -CARRY_UP_LOW, -(BEHIND + CARRY_UP_BACK))
        assert passes(strands, place), up


def test_yarn_runs_through_its_links_without_a_kink_however_the_fabric_bends() -> None:
    piece = fabric(PLAIN, bend=ripples(0.3 * W, 8 * W, 8 * C))
    strands = drawn(piece, 40)
    strand = np.repeat(np.arange(len(strands.yarn_s)), np.diff(strands.first_s))
    step = np.diff(strands.x_pc, axis=0)
    inside = (strand[1:] == strand[:-1]) & ~np.isin(np.arange(len(step)), ends(strands))
    long = np.linalg.norm(step, axis=1)[inside]
    assert long.max() < 2.5 * np.median(long)
    whole = inside[1:] & inside[:-1]
    unit = step / np.linalg.norm(step, axis=1, keepdims=True)
    turning = np.arccos(np.clip((unit[1:] * unit[:-1]).sum(axis=1), -1.0, 1.0))[whole]
    assert np.degrees(np.quantile(turning, 0.995)) < 35.0
    assert np.degrees(turning).max() < 60.0


def test_the_yarn_that_holds_a_catch_is_thinner_where_it_bends_and_whole_elsewhere() -> None:
    catches = np.zeros((2, 12), dtype=bool)
    catches[1, 6] = True
    strands = drawn(fabric(("baaaaaaaaaab", "aaaaaaaaaaaa"), "repeat", catches=catches))
    bent = strands.thin_p > THIN_END  # what is thinner is an end
    assert strands.thin_p[bent].min() == pytest.approx(WRAP_THIN, abs=0.02)
    assert strands.thin_p.max() == 1.0
    thin = np.flatnonzero(bent & (strands.thin_p < 1.0))
    assert np.bincount(np.diff(thin))[1] > 2  # one after the other along the yarn


def up_the_back(
    monkeypatch: pytest.MonkeyPatch, around: int, lower: int, upper: int, idle: int
) -> tuple[np.ndarray, tuple[int, int], tuple[int, int]] | None:
    """Return how a colour climbs the back of a tube, from its only stitch of one round to that of a later one: the
    places that it passes as column and row (k, 2), and where it begins and ends; None if it is cut."""
    found = []

    def heard(surface: StitchSurface, one: Any, other: Any) -> Any:
        tiling = surface.tiling
        begin, end = ((int(tiling.column_n[k]), int(tiling.row_n[k])) for k in (one.stitch, other.stitch))
        knots = climb(surface, one, other)
        found.append((knots, tiling, begin, end))
        return knots

    climb = row_joins._up_the_back
    monkeypatch.setattr(row_joins, "_up_the_back", heard)
    above, below = ("".join("b" if k == at else "a" for k in range(around)) for at in (upper, lower))
    drawn(fabric((above, *["a" * around] * idle, below), "round"))
    ((knots, tiling, begin, end),) = found
    if knots is None:
        return None
    places = [(tiling.column_n[k.node] + k.u, tiling.row_n[k.node] + k.v + SIDEWAYS_LOW) for k in knots]
    return np.array(places).reshape(-1, 2), begin, end


@pytest.mark.parametrize(
    ("around", "lower", "upper", "idle", "left", "up"),
    [
        (12, 5, 5, 1, 0, 2),
        (12, 5, 2, 2, 3, 3),
        (12, 2, 9, 3, 5, 3),  # over the place where rounds begin, which is a round higher
        (24, 20, 20 - FARTHEST, 1, FARTHEST, 2),
    ],
)
def test_a_colour_that_rests_climbs_a_tube_in_even_steps(
    monkeypatch: pytest.MonkeyPatch, around: int, lower: int, upper: int, idle: int, left: int, up: int
) -> None:
    found = up_the_back(monkeypatch, around, lower, upper, idle)
    assert found is not None
    places, begin, end = found
    assert (begin, end) == ((lower, 0), (upper, idle + 1))
    way = np.concatenate([[begin], places, [end]])
    laps = np.cumsum(np.diff(way[:, 0], prepend=lower) > 0)  # from the first column to the last, a round higher
    way -= laps[:, None] * (around, 1)
    steps = max(left, up)
    assert np.diff(way, axis=0) == pytest.approx(np.full((steps, 2), (-left / steps, up / steps)))


def test_a_colour_that_rests_too_long_or_too_far_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    assert up_the_back(monkeypatch, 24, 20, 20 - FARTHEST - 1, 1) is None
    assert up_the_back(monkeypatch, 12, 5, 5, BREAK_FROM - 2) is not None
    assert up_the_back(monkeypatch, 12, 5, 5, BREAK_FROM - 1) is None
