"""The way of a float over the backs of the stitches that it lies on, and how far it bows there if it is slack."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fabricsim.fabric.mesh import Floats, Ints

HALVINGS = 20
"""Halvings in search of a bow (derived: to a millionth of it)."""


@dataclass(frozen=True)
class Way:
    """Straight lines, each from its begin (b, 3) m to its end, that turn at corners instead.

    ``stretch_q`` (q,) int: the line that each corner belongs to; ``place_q`` (q,) float: where on it, 0 to 1, rising
    along each; ``corner_qc`` (q, 3) float, m. A line without corners stays straight to the last bit.
    """

    begin_bc: Floats
    end_bc: Floats
    stretch_q: Ints
    place_q: Floats
    corner_qc: Floats

    @property
    def length_b(self) -> Floats:
        """The length of each from corner to corner, (b,) float, m."""
        stretch_k, _, x_kc = self._corners(self.begin_bc, self.corner_qc, self.end_bc)
        return _lengths(stretch_k, x_kc, len(self.begin_bc))

    def off_straight(self, stretch_p: Ints, place_p: Floats) -> Floats:
        """Return what takes points at ``place_p`` of the straight lines ``stretch_p`` onto their ways, (p, 3) m."""
        if len(self.stretch_q) == 0:
            return np.zeros((len(place_p), 3))
        chord_qc = (self.end_bc - self.begin_bc)[self.stretch_q]
        off_qc = self.corner_qc - self.begin_bc[self.stretch_q] - self.place_q[:, None] * chord_qc
        none_bc = np.zeros_like(self.begin_bc)
        stretch_k, place_k, off_kc = self._corners(none_bc, off_qc, none_bc)
        # places of one stretch after the other on one line: where one ends and the next begins nothing is off
        along_p, along_k = 2.0 * stretch_p + place_p, 2.0 * stretch_k + place_k
        return np.stack([np.interp(along_p, along_k, off_k) for off_k in off_kc.T], axis=1)

    def part_of_bow(self, stretch_p: Ints, way_pc: Floats, bow_pc: Floats, excess_b: Floats) -> Floats:
        """Return the part of ``bow_pc`` (p, 3) m that makes each way longer by its excess: (b,) float, 0 to 1.

        ``way_pc`` (p, 3) m: points along the ways ``stretch_p``. A bow that is right for a straight line stays whole
        there; round a bulge it is too long, as what stands off a bulge has farther to go.
        """
        low_b, high_b = np.ones(len(excess_b)), np.ones(len(excess_b))
        low_b[self.stretch_q[excess_b[self.stretch_q] > 0.0]] = 0.0
        wanted_b = (1.0 + excess_b) * _lengths(stretch_p, way_pc, len(excess_b))
        for _ in range(HALVINGS if (low_b < 1.0).any() else 0):
            part_b = 0.5 * (low_b + high_b)
            long_b = _lengths(stretch_p, way_pc + part_b[stretch_p, None] * bow_pc, len(excess_b)) > wanted_b
            low_b, high_b = np.where(long_b, low_b, part_b), np.where(long_b, part_b, high_b)
        return high_b

    def _corners(self, begin_bc: Floats, middle_qc: Floats, end_bc: Floats) -> tuple[Ints, Floats, Floats]:
        """Return the stretch, the place and the value at all corners in order, begins and ends among them."""
        every_b = np.arange(len(begin_bc))
        stretch_k = np.concatenate([every_b, self.stretch_q, every_b])
        place_k = np.concatenate([np.zeros(len(begin_bc)), self.place_q, np.ones(len(end_bc))])
        order = np.lexsort((place_k, stretch_k))
        return stretch_k[order], place_k[order], np.concatenate([begin_bc, middle_qc, end_bc])[order]


def _lengths(stretch_p: Ints, x_pc: Floats, stretches: int) -> Floats:
    """Return the length of each polyline, (b,) float, m, from the points of one after the other."""
    step_s = np.linalg.norm(np.diff(x_pc, axis=0), axis=1)
    inside_s = stretch_p[1:] == stretch_p[:-1]
    length_b: Floats = np.zeros(stretches)
    np.add.at(length_b, stretch_p[1:][inside_s], step_s[inside_s])
    return length_b
