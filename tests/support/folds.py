"""Sheets folded over onto themselves, and the slow ways to see what meets what."""

from __future__ import annotations

import numpy as np
import trimesh

from fabricsim.arrays import Floats, Ints
from fabricsim.fabric.crossing import neighbourhood
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.pairs import Surface
from fabricsim.mechanics.assemble import State

Key = tuple[int, int, int, int]
"""Two places and the periods from the first to the second."""


def all_pairs(mesh: Mesh, faces: Surface, state: State, share: float, reach: int) -> dict[Key, tuple[float, float]]:
    """Return the distance and the room (m) of every pair of places nearer than ``share`` of its room, by looking at all
    pairs and all images up to ``reach`` periods away; of a pair and its mirror the one first met. The room is a
    thickness, or half of their distance in plain fabric if that is less."""
    now_sc, plain_sc = faces.at(state), faces.at(State(mesh.rest_nc, mesh.period_a))
    images = [(0, 0)]
    if state.period_a is not None:
        images = [(i, j) for i in range(-reach, reach + 1) for j in range(-reach, reach + 1)]
    found: dict[Key, tuple[float, float]] = {}
    for i, j in images:
        apart_ss = _apart(now_sc, state.period_a, i, j)
        room_ss = np.minimum(mesh.thickness, 0.5 * _apart(plain_sc, mesh.period_a, i, j))
        for p, q in np.argwhere(apart_ss < share * room_ss).tolist():
            if (q, p, -i, -j) not in found:
                found[p, q, i, j] = (float(apart_ss[p, q]), float(room_ss[p, q]))
    return found


def _apart(place_sc: Floats, period_a: Floats | None, i: int, j: int) -> Floats:
    shift_c = np.zeros(3) if period_a is None else np.array([i * period_a[0], j * period_a[1], 0.0])
    return np.asarray(np.linalg.norm(place_sc[None] + shift_c - place_sc[:, None], axis=2))


def hairpin(x_nc: Floats, gap: float) -> Floats:
    """Return a flat sheet folded over its middle, its sides ``gap`` (m) apart: half a circle, and straight from there.

    Lengths along x are kept, and its first stitch stays where it is, as it is held, but for its height.
    """
    radius = 0.5 * gap
    along = x_nc[:, 0] - 0.5 * (x_nc[:, 0].min() + x_nc[:, 0].max())
    turn = np.clip(along / radius, -0.5 * np.pi, 0.5 * np.pi)
    rest = along - radius * turn
    x = radius * np.cos(turn) - np.abs(rest)
    z = radius * np.sin(turn)
    return np.column_stack([x - x[0] + x_nc[0, 0], x_nc[:, 1], z])


def crossings(mesh: Mesh, state: State, reach: int) -> set[Key]:
    """Return the pairs of cells, no neighbours in plain fabric, of whose two flat triangles an edge of one, the
    diagonal too, goes through the other: every edge cut by the plane of every triangle, one after the other, with
    trimesh's own functions. Corners in common are let go, to a millionth."""
    corner_s4, shift_s42 = _cells(mesh)
    faces = Surface(corner_s4, shift_s42)
    plain_sc = faces.at(State(mesh.rest_nc, mesh.period_a))
    place_s4c = state.x_nc[corner_s4]
    images = [(0, 0)]
    if state.period_a is not None:
        place_s4c[..., :2] += shift_s42 * state.period_a
        images = [(i, j) for i in range(-reach, reach + 1) for j in range(-reach, reach + 1)]
    edge_2ec = place_s4c[:, [[0, 1], [0, 2], [1, 3], [2, 3], [1, 2]]].reshape(-1, 2, 3).transpose(1, 0, 2)
    found: set[Key] = set()
    for i, j in images:
        shift_c = np.zeros(3) if state.period_a is None else np.array([i * state.period_a[0], j * state.period_a[1], 0])
        far_ss = _apart(plain_sc, mesh.period_a, i, j) >= neighbourhood(mesh)
        for q, corner_4c in enumerate(place_s4c + shift_c):
            for triangle_3c in (corner_4c[[0, 1, 2]], corner_4c[[1, 3, 2]]):
                normal = np.cross(triangle_3c[1] - triangle_3c[0], triangle_3c[2] - triangle_3c[0])
                normal /= np.linalg.norm(normal)
                hit, on = trimesh.intersections.plane_lines(triangle_3c[0], normal, edge_2ec)
                share = trimesh.triangles.points_to_barycentric(np.repeat(triangle_3c[None], len(hit), axis=0), hit)
                for p in np.flatnonzero(on)[(share > 1e-6).all(axis=1)] // 5:
                    if far_ss[p, q] and (q, int(p), -i, -j) not in found:
                        found.add((int(p), q, i, j))
    return found


def _cells(mesh: Mesh) -> tuple[Ints, Ints]:
    """Return the corners of every whole cell, by counting rows and stitches: lower left, lower right, upper left, upper
    right, (s, 4), and by how many periods each lies away, (s, 4, 2)."""
    corners, shifts = [], []
    for row in range(mesh.rows):
        for column in range(mesh.stitches):
            at = [(row, column), (row, column + 1), (row + 1, column), (row + 1, column + 1)]
            if mesh.case == "round":
                at = [(r - c // mesh.stitches, c % mesh.stitches) for r, c in at]
            away = [(c // mesh.stitches, r // mesh.rows) for r, c in at]
            if mesh.case == "repeat" or all(0 <= r < mesh.rows and 0 <= c < mesh.stitches for r, c in at):
                corners.append([(r % mesh.rows) * mesh.stitches + c % mesh.stitches for r, c in at])
                shifts.append(away)
    return np.array(corners, dtype=np.intp), np.array(shifts, dtype=np.intp)
