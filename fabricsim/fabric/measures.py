"""What a fabric at rest measures: pure functions of an equilibrium."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from fabricsim.arrays import ArrayRecord, Floats, Mask
from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.mesh import Mesh
from fabricsim.fabric.relax import TOLERANCE, force_scale, normals
from fabricsim.fabric.shaped_measures import grid_of, heights, level_rows, round_lengths, tallness
from fabricsim.mechanics.assemble import State
from fabricsim.units import MM

FLAT_TO = 1e-5
"""Heights below this (rms, m) have no wavelength: a hundredth of a millimetre (chosen)."""


@dataclass(frozen=True, eq=False, repr=False)
class Widths(ArrayRecord):
    """Width of every row: in the ``repeat`` case of the whole piece at the cell's loss, of a swatch as it is laid, of
    a tube its girth as a tape would find it.

    ``plain_i``, ``width_i`` (rows,) float, m; ``loss_i`` (rows,) float, the share lost; ``overall`` the mean loss of
    the rows ``counted``, from the first to the last that holds a float; ``narrowest`` the greatest loss of any row.
    """

    plain_i: Floats
    width_i: Floats
    loss_i: Floats
    overall: float
    narrowest: float
    counted: slice = field(default_factory=lambda: slice(None))

    @property
    def plain(self) -> float:
        """The mean width of the rows counted without floats, m."""
        return float(self.plain_i[self.counted].mean())

    @property
    def width(self) -> float:
        """The mean width with them, m."""
        return self.plain * (1.0 - self.overall)


@dataclass(frozen=True, eq=False, repr=False)
class Pucker(ArrayRecord):
    """Heights off the smooth base, m: ``height_n`` (n,) float, positive to the face; their ``rms`` and
    ``peak_to_valley``; ``wave_across``, ``wave_up``: lengths of the waves, None if flat."""

    height_n: Floats
    rms: float
    peak_to_valley: float
    wave_across: float | None
    wave_up: float | None


@dataclass(frozen=True, eq=False, repr=False)
class Pull(ArrayRecord):
    """The floats. ``taut_f`` (f,) bool; ``greatest`` tension, N; ``spare_f`` (f,): yarn over its way behind the
    fabric - 1; ``pressing_f`` (f,) bool: taut floats that lie on the back of stitches that bulge in their way.
    """

    taut_f: Mask
    greatest: float
    spare_f: Floats
    pressing_f: Mask

    @property
    def taut(self) -> int:
        """How many are taut."""
        return int(self.taut_f.sum())

    @property
    def pressing(self) -> int:
        """How many lie on the back of stitches."""
        return int(self.pressing_f.sum())


@dataclass(frozen=True, repr=False)
class Measures:
    """Everything measured of one equilibrium.

    ``widths``, ``pucker``, ``pull``: of its rows, its heights and its floats; ``height_change``: share by which it is
    taller (+) or shorter (-); ``touching``: stitches where the fabric is folded onto itself; ``crossing``: places where
    it has passed through itself, which it never should.
    """

    widths: Widths
    height_change: float
    pucker: Pucker
    pull: Pull
    touching: int
    crossing: int

    def __repr__(self) -> str:
        lost, wave = 100.0 * self.widths.overall, self.pucker.peak_to_valley / MM
        return f"<Measures: {lost:.1f} % of the width lost, {wave:.1f} mm of pucker, {self.pull.taut} floats taut>"


def measure(equilibrium: Equilibrium) -> Measures:
    """Return widths, height change, pucker and float tensions of a fabric at rest."""
    return Measures(
        widths=widths(equilibrium),
        height_change=height_change(equilibrium),
        pucker=pucker(equilibrium),
        pull=pull(equilibrium),
        touching=len(equilibrium.touching),
        crossing=crossing_cells(equilibrium.mesh, equilibrium.state),
    )


def _by_row(mesh: Mesh, value_n: Floats) -> Floats:
    """Return values of stitches as a (rows, stitches) array."""
    grid = np.empty((mesh.rows, mesh.stitches))
    grid[mesh.row_n, mesh.column_n] = value_n
    return grid


def girth(x_c2: Floats) -> float:
    """Return the perimeter (m) of the convex hull of points (p, 2), which is what a tape around them measures."""
    try:
        return float(ConvexHull(x_c2).area)  # in two dimensions Qhull calls the perimeter area
    except QhullError:  # all on one line: there and back
        return float(2.0 * np.ptp(x_c2, axis=0).max())


def girths(mesh: Mesh, x_nc: Floats) -> Floats:
    """Return how far round every round of a tube is, (rows,) m, as a tape would find it."""
    return np.array([girth(x_nc[mesh.row_n == i][:, [0, 2]]) for i in range(mesh.rows)])


def _lengths(mesh: Mesh, x_nc: Floats) -> Floats:
    """Return the raw width of every row (rows,), m: from end to end of a swatch, around a tube."""
    if mesh.case == "round" and mesh.standing is not None:
        return round_lengths(mesh, x_nc)
    if mesh.case == "round":
        return girths(mesh, x_nc)
    if mesh.standing is not None:
        return np.array([np.ptp(x_nc[mesh.row_n == i, 0]) for i in range(mesh.rows)])
    return np.asarray(np.ptp(_by_row(mesh, x_nc[:, 0]), axis=1))


def stranded_rows(mesh: Mesh) -> slice:
    """Return the rows from the first to the last that holds a float; all where none does."""
    row_f = mesh.row_n[mesh.floats.node_f2].ravel()
    return slice(int(row_f.min()), int(row_f.max()) + 1) if len(row_f) else slice(None)


def widths(equilibrium: Equilibrium) -> Widths:
    """Return the width of every row and the share that it lost against plain fabric of the same gauge."""
    mesh = equilibrium.mesh
    plain_i = np.full(mesh.rows, mesh.stitches * mesh.stitch_width)
    if mesh.period_a is not None and equilibrium.period_a is not None:
        loss_i = np.full(mesh.rows, 1.0 - equilibrium.period_a[0] / mesh.period_a[0])
        # of the whole piece, however many repeats of it were solved to see its waves
        plain_i = plain_i * equilibrium.scene.chart.across / equilibrium.repeats[0]
    else:
        rest_i = _lengths(mesh, mesh.rest_nc)
        loss_i = 1.0 - _lengths(mesh, equilibrium.x_nc) / rest_i
        if mesh.standing is not None:  # rows are of any count, and rib is narrower
            plain_i = rest_i
    counted = stranded_rows(mesh)
    return Widths(
        plain_i=plain_i,
        width_i=plain_i * (1.0 - loss_i),
        loss_i=loss_i,
        overall=float(loss_i[counted].mean()),
        narrowest=float(loss_i.max()),
        counted=counted,
    )


def height_change(equilibrium: Equilibrium) -> float:
    """Return the share by which the fabric is taller (+) or shorter (-) than plain, the mean over its wales; of a
    shaped one the mean over its rows."""
    mesh = equilibrium.mesh
    if mesh.standing is not None:
        return float(tallness(mesh, equilibrium.x_nc).sum() / tallness(mesh, mesh.rest_nc).sum() - 1.0)
    if mesh.period_a is not None and equilibrium.period_a is not None:
        return float(equilibrium.period_a[1] / mesh.period_a[1] - 1.0)
    now_j, plain_j = (np.ptp(_by_row(mesh, x_nc[:, 1]), axis=0) for x_nc in (equilibrium.x_nc, mesh.rest_nc))
    return float((now_j / plain_j).mean() - 1.0)


def pucker(equilibrium: Equilibrium) -> Pucker:
    """Return the heights of the stitches off the smooth base surface and what sums them up.

    The base is the mean plane of a ``repeat``, the best surface of second degree both ways of a ``swatch`` (a dome or
    a dished edge is no pucker), and for a tube the best oval of each row (drawing in is no pucker either; so rings up
    a tube, that is rounds of different girth, show in its widths and not here). Waves of shaped fabric are those of
    the longest run of rows of one count.
    """
    mesh = equilibrium.mesh
    if mesh.standing is not None:
        return _shaped_pucker(equilibrium)
    # Plain fabric has no pucker: what the fit of its base leaves of it is round-off, and goes.
    height_ij = _heights(mesh, equilibrium.x_nc) - _heights(mesh, mesh.rest_nc)
    closed_across, closed_up = mesh.case != "swatch", mesh.case == "repeat"
    scale = 1.0 - widths(equilibrium).overall
    return Pucker(
        height_n=height_ij[mesh.row_n, mesh.column_n],
        rms=float(np.sqrt((height_ij**2).mean())),
        peak_to_valley=float(np.ptp(height_ij)),
        wave_across=_wavelength(height_ij, mesh.stitch_width * scale, closed_across),
        wave_up=_wavelength(height_ij.T, mesh.row_height * (1.0 + height_change(equilibrium)), closed_up),
    )


def _shaped_pucker(equilibrium: Equilibrium) -> Pucker:
    mesh = equilibrium.mesh
    plain_nc = normals(equilibrium.contact.fabric, State(mesh.rest_nc))
    height_n = heights(mesh, equilibrium.x_nc, plain_nc)
    height_ij = grid_of(mesh, height_n, level_rows(mesh))
    scale = 1.0 - widths(equilibrium).overall
    return Pucker(
        height_n=height_n,
        rms=float(np.sqrt((height_n**2).mean())),
        peak_to_valley=float(np.ptp(height_n)),
        wave_across=_wavelength(height_ij, mesh.stitch_width * scale, mesh.case == "round"),
        wave_up=_wavelength(height_ij.T, mesh.row_height * (1.0 + height_change(equilibrium)), False),
    )


def _heights(mesh: Mesh, x_nc: Floats) -> Floats:
    """Return heights off the smooth base, (rows, stitches), m."""
    if mesh.case == "round":
        return _off_ovals(_by_row(mesh, x_nc[:, 0]), _by_row(mesh, x_nc[:, 2]))
    z_ij = _by_row(mesh, x_nc[:, 2])
    z_ij = z_ij - z_ij[0, 0]  # level fabric becomes zero to the last bit, wherever it lies
    return _off_bowl(z_ij) if mesh.case == "swatch" else z_ij - z_ij.mean()


def _off_bowl(z_ij: Floats) -> Floats:
    rows, stitches = z_ij.shape
    v_i, u_j = np.linspace(-1.0, 1.0, rows), np.linspace(-1.0, 1.0, stitches)
    basis = np.polynomial.polynomial.polyvander2d(*np.meshgrid(v_i, u_j, indexing="ij"), [2, 2]).reshape(z_ij.size, -1)
    weights = np.linalg.lstsq(basis, z_ij.ravel(), rcond=None)[0]
    return z_ij - (basis @ weights).reshape(z_ij.shape)


def _off_ovals(x_ij: Floats, z_ij: Floats) -> Floats:
    """Return radii off the best oval (mean, first and second harmonic round the row) of every row."""
    stitches = x_ij.shape[1]
    radius_ij = np.hypot(x_ij - x_ij.mean(axis=1, keepdims=True), z_ij - z_ij.mean(axis=1, keepdims=True))
    spectrum = np.fft.rfft(radius_ij, axis=1)
    spectrum[:, :3] = 0.0
    return np.fft.irfft(spectrum, n=stitches, axis=1)


def _wavelength(height_ij: Floats, step: float, closed: bool) -> float | None:
    """Return the wavelength (m) along axis 1, or None where the fabric is flat along it to ``FLAT_TO``.

    Where rows are closed, that of the strongest harmonic of all rows together: a whole part of the row. Else that of
    the sine with the same ratio of slope to height: h = cos(q j) has differences of 2 sin(q/2) times its rms, inverted
    for q; never more than two of the row, as between free edges nothing is smoother than half a wave (Wirtinger).
    """
    count = height_ij.shape[1]
    height_ij = height_ij - height_ij.mean(axis=1, keepdims=True)  # what is the same all along the row is no wave in it
    rms = float(np.sqrt((height_ij**2).mean()))
    if rms < FLAT_TO or count < 2:
        return None
    if closed:
        power_k = (np.abs(np.fft.rfft(height_ij, axis=1)) ** 2).sum(axis=0)
        return float(count * step / (1 + int(power_k[1:].argmax())))
    slope = float(np.sqrt((np.diff(height_ij, axis=1) ** 2).mean()))
    turn = 2.0 * float(np.arcsin(min(1.0, 0.5 * slope / rms)))
    return 2.0 * np.pi / turn * step


def taut(equilibrium: Equilibrium) -> Mask:
    """Return which floats pull, (f,) bool: by more than the solver's tolerance, below which it can't tell."""
    felt = TOLERANCE * force_scale(equilibrium.stiffness, equilibrium.mesh)
    return equilibrium.tension_f > felt


def pull(equilibrium: Equilibrium) -> Pull:
    """Return which floats are taut, how hard the hardest pulls, how much yarn is to spare, and which lie on the
    fabric's back."""
    taut_f = taut(equilibrium)
    bent_f = np.array([len(steps) > 0 for steps in equilibrium.pressed], dtype=bool)
    return Pull(
        taut_f=taut_f,
        greatest=float(equilibrium.tension_f.max(initial=0.0)),
        spare_f=equilibrium.mesh.floats.length_f / equilibrium.way_f - 1.0,
        pressing_f=taut_f & bent_f,
    )
