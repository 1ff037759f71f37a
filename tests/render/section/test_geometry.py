"""Rows seen edge on: geometry in metres, and figures that are true to scale."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from fabricsim.errors import InputError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import taut, widths
from fabricsim.render.basics.palette import DPI
from fabricsim.render.section import geometry
from fabricsim.render.section.figure import section_figure
from fabricsim.render.section.geometry import section_of, telling_row
from fabricsim.render.section.row import LINE_STEPS, says
from fabricsim.render.yarn.loop_form import DEPTH, YARN_THICKNESS
from fabricsim.render.yarn.paths import yarn_paths
from fabricsim.render.yarn.strands import Strands
from fabricsim.render.yarn.tiling import Tiling, tiled
from tests.render.fabrics import GAUGE, MOTIF, ONE_WAY, PLAIN, cylinder, fabric, ripples
from tests.render.rests import folded

SCENES = Path(__file__).parents[3] / "scenes"
W = GAUGE.stitch_width
INK = (44, 42, 40)


@pytest.fixture(autouse=True, scope="module")
def followed_once() -> Iterator[None]:
    """Have the yarn of a fabric followed once for all its rows, not anew for each as by whoever asks for one."""
    known: dict[int, tuple[Equilibrium, Tiling]] = {}
    paths: dict[int, Strands] = {}

    def tiling_of(rest: Equilibrium) -> Tiling:
        if id(rest) not in known:
            known[id(rest)] = rest, tiled(rest)  # kept, so that no other takes its number
        return known[id(rest)][1]

    def paths_of(tiling: Tiling, steps: int, *, hanging: bool) -> Strands:
        if id(tiling) not in paths:
            paths[id(tiling)] = yarn_paths(tiling, steps, hanging=hanging)
        return paths[id(tiling)]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(geometry, "tiled", tiling_of)
        patch.setattr(geometry, "yarn_paths", paths_of)
        yield


def length(path_kc: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(path_kc, axis=0), axis=1).sum())


@pytest.mark.parametrize(
    "equilibrium",
    [
        fabric(MOTIF, slack=-0.05),
        fabric(MOTIF, "swatch", across=2, slack=-0.05, squeeze=0.97),
        fabric(MOTIF, "round", across=4, slack=-0.2),
        fabric(MOTIF, "swatch", slack=-0.2, bend=cylinder(0.05)),
    ],
    ids=["repeat", "swatch", "tube", "bent"],
)
def test_a_straight_float_is_as_long_as_its_way(equilibrium: Equilibrium) -> None:
    found = set()
    for row in range(1, 5):
        section = section_of(equilibrium, row)
        for one in (*section.floats, *section.beyond):
            assert one.taut
            assert length(one.line_kc) == pytest.approx(equilibrium.way_f[one.number], rel=1e-12)
            assert one.width == pytest.approx(equilibrium.chord_f[one.number], rel=1e-12)
            found.add(one.number)
    # a turn of a tube leaves out of each row what lies on the far side of its join
    row_f = equilibrium.mesh.row_n[equilibrium.mesh.floats.node_f2[:, 0]]
    assert len(found) >= (0.75 if equilibrium.mesh.case == "round" else 1.0) * ((row_f >= 1) & (row_f < 5)).sum()


def test_a_float_on_the_backs_of_stitches_is_as_long_as_its_way() -> None:
    bent, rest = 0, folded()
    for row in range(rest.mesh.rows):
        section = section_of(rest, row)
        for one in (*section.floats, *section.beyond):
            if len(one.line_kc) > 2:
                assert length(one.line_kc) == pytest.approx(rest.way_f[one.number], rel=1e-12)
                bent += 1
    assert bent > 10


@pytest.mark.parametrize(("slack", "case"), [(-0.1, "repeat"), (0.08, "repeat"), (0.3, "swatch"), (0.25, "repeat")])
def test_the_drawn_yarn_of_a_float_is_taut_or_as_much_longer_as_it_is_slack(slack: float, case: str) -> None:
    equilibrium = fabric(MOTIF, case, across=1, slack=slack)
    seen, table = set(), equilibrium.mesh.floats
    for row in range(equilibrium.mesh.rows):
        for one in section_of(equilibrium, row).floats:
            gap = int(table.gap_f[one.number])
            if (
                equilibrium.mesh.yarn_n[table.node_f2[one.number]] != table.yarn_f[one.number]
            ).any():  # held at an edge
                continue
            # between the lanes, half a stitch from either end, it runs straight or as one parabola
            middle = one.held_2c[:, 0].mean()
            inside = np.abs(one.path_kc[:, 0] - middle) <= 0.5 * gap * W + 1e-9
            straight = gap * W
            # drawn in at least four straight steps to a stitch, a bow is a little shorter than its parabola
            near = 8e-3 / gap**2 if slack > 0.0 else 1e-9
            assert length(one.path_kc[inside]) == pytest.approx(straight * (1.0 + max(slack, 0.0)), rel=near)
            if slack < 0.0:
                assert np.ptp(one.path_kc[inside, 1]) < 1e-9
            seen.add(gap)
    assert len(seen) >= 3


def test_what_is_shown_is_as_wide_as_the_cell_or_the_row() -> None:
    repeat = fabric(MOTIF, slack=-0.05, squeeze=0.94)
    section = section_of(repeat, 3)
    assert section.extent[1] - section.extent[0] == pytest.approx(2 * repeat.period_a[0], rel=1e-12)
    assert section.now == pytest.approx(24 * W * 0.94, rel=1e-12)
    assert section.plain == pytest.approx(24 * W, rel=1e-12)
    swatch = fabric(MOTIF, "swatch", across=2, squeeze=0.94)
    for row in (0, 5):
        section, every = section_of(swatch, row), widths(swatch)
        assert section.extent[1] - section.extent[0] == pytest.approx(every.width_i[row], rel=1e-12)
        assert (section.now, section.plain) == (every.width_i[row], every.plain_i[row])
    tube = section_of(fabric(MOTIF, "round", across=4, squeeze=0.94), 2)
    assert tube.plain == pytest.approx(48 * W, rel=2e-3)
    assert tube.now == pytest.approx(0.94 * tube.plain, rel=1e-9)


@pytest.mark.parametrize("slack", [-0.05, 0.1])
@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
def test_the_face_is_up_and_floats_are_at_the_back(case: str, slack: float) -> None:
    equilibrium = fabric(MOTIF, case, across=4 if case == "round" else 1, slack=slack)
    section = section_of(equilibrium, 3)
    up = (lambda path: np.linalg.norm(path, axis=1)) if case == "round" else (lambda path: path[:, 1])
    level = np.median(up(section.line_kc))
    legs = [up(piece.path_kc).max() - level for piece in section.loops if piece.band == 1]
    # the middle of a chord inside a tube lies deeper than its ends; the legs of loops stand in front
    assert np.median(legs) > 0.9 * DEPTH * W
    for one in section.floats:
        assert up(one.path_kc).max() < level
        assert up(one.path_kc).min() < level - (DEPTH + 0.9 * YARN_THICKNESS) * W


def test_what_bulges_to_the_face_bulges_up() -> None:
    equilibrium = fabric(MOTIF, "swatch", bend=ripples(0.003, 12 * W, 1e3))
    section = section_of(equilibrium, 2)
    x_rc = equilibrium.x_nc[equilibrium.mesh.row_n == 2]
    np.testing.assert_allclose(section.line_kc[LINE_STEPS // 2 :: LINE_STEPS, 0], x_rc[:, 0], atol=1e-12)
    np.testing.assert_allclose(
        section.line_kc[LINE_STEPS // 2 :: LINE_STEPS, 1], x_rc[:, 2] - x_rc[:, 2].mean(), atol=1e-12
    )


@pytest.mark.parametrize("row", [0, 3, 7])
def test_floats_of_a_tube_are_chords_inside_it_and_the_hardest_is_on_top(row: int) -> None:
    equilibrium = fabric(MOTIF, "round", across=3, slack=-0.1)
    section = section_of(equilibrium, row)
    radius = np.linalg.norm(section.line_kc, axis=1)
    assert np.ptp(radius) < 0.02 * radius.mean()  # where the yarn begins or ends its edge is less even
    everything = (*section.floats, *section.beyond)
    if row == 3:
        assert len(everything) > 8
        for one in everything:
            assert np.linalg.norm(one.path_kc, axis=1).max() < radius.min()
            ends, middle = one.line_kc[[0, -1], :2], one.line_kc[[0, -1], :2].mean(axis=0)
            assert np.linalg.norm(middle) < np.linalg.norm(ends, axis=1).min()
        hardest = section.floats[section.hardest]
        assert hardest.tension == pytest.approx(max(one.tension for one in everything))
        assert abs(hardest.held_2c[:, 0].sum()) < 1e-9
        assert hardest.held_2c[:, 1].min() > 0.9 * radius.min()
    # all the stitches of one turn, none twice
    assert len(section.line_kc) == LINE_STEPS * equilibrium.mesh.stitches + 1


def test_the_hardest_float_is_named_and_shown_whole() -> None:
    equilibrium = fabric(MOTIF, slack=-0.06)
    row = telling_row(equilibrium)
    section = section_of(equilibrium, row)
    hardest = section.floats[section.hardest]
    assert hardest.tension == pytest.approx(equilibrium.tension_f.max())
    assert section.greatest == equilibrium.tension_f.max()
    left, right = section.extent
    assert left <= hardest.held_2c[0, 0] < hardest.held_2c[1, 0] <= right


def test_a_float_is_told_from_others_by_its_pull_or_by_its_length_where_all_are_slack() -> None:
    tight = fabric(MOTIF, slack=-0.06)
    pulls_f = says(tight)
    assert len(np.unique(pulls_f.round(9))) > 2
    assert (pulls_f == np.where(taut(tight), tight.tension_f, 0.0)).all()
    loose = fabric(MOTIF, slack=0.1)
    assert (says(loose) == loose.mesh.floats.length_f).all()


def test_a_float_across_the_edge_of_a_wide_repeat_is_brought_inside() -> None:
    equilibrium = fabric(("a" * 15 + "b" + "a" * 14,) * 3, slack=-0.03)
    section = section_of(equilibrium, 1)
    hardest = section.floats[section.hardest]
    assert equilibrium.mesh.floats.gap_f[hardest.number] == 29
    assert section.extent[0] - 1e-9 <= hardest.held_2c[0, 0] < hardest.held_2c[1, 0] <= section.extent[1] + 1e-9
    assert section.extent[1] - section.extent[0] == pytest.approx(30 * W, rel=1e-12)
    assert section.plain == pytest.approx(30 * W, rel=1e-12)


def test_the_telling_row_pulls_hardest_or_has_the_longest_float_or_is_in_the_middle() -> None:
    tight = fabric(MOTIF, slack=-0.05)
    row_f = tight.mesh.row_n[tight.mesh.floats.node_f2[:, 0]]
    assert telling_row(tight) == row_f[tight.tension_f > 0.999999 * tight.tension_f.max()].min() == 0
    rows = ("aabb", "abbbbbba", "aabb")
    loose = fabric((rows[0] * 2, rows[1], rows[2] * 2), slack=0.1)
    assert telling_row(loose) == 1
    assert telling_row(fabric(PLAIN)) == 4


def test_a_window_shows_its_part() -> None:
    equilibrium = fabric(MOTIF, "swatch", across=2, slack=0.05)
    window = (4.5 * W, 10.5 * W)
    part, whole = section_of(equilibrium, 3, window=window), section_of(equilibrium, 3)
    assert part.extent == window
    assert part.cut
    assert not whole.cut
    assert part.plain == pytest.approx(6 * W, rel=1e-9)
    assert part.now == pytest.approx(6 * W, rel=1e-9)
    assert len(part.loops) < len(whole.loops)
    assert all(piece.path_kc[:, 0].max() > window[0] and piece.path_kc[:, 0].min() < window[1] for piece in part.loops)


def test_yarn_on_its_way_to_another_row_is_left_out() -> None:
    equilibrium = fabric(ONE_WAY, "swatch", slack=0.0)
    for row in range(len(ONE_WAY)):
        section = section_of(equilibrium, row)
        low = min(piece.path_kc[:, 1].min() for piece in section.loops)
        assert low > -(DEPTH + 0.3 * YARN_THICKNESS) * W  # carries lie deeper
        assert {piece.yarn for piece in section.loops} == set(equilibrium.mesh.yarn_n[equilibrium.mesh.row_n == row])


@pytest.mark.parametrize(
    # a turn of the tube lies about its longest part, which crosses to the round below: it holds that and one more
    ("case", "parts", "longest"),
    [("repeat", 5, 9), ("swatch", 6, 9), ("round", 2, 17)],
)
def test_floats_held_by_catches_are_shown_in_their_parts(case: str, parts: int, longest: int) -> None:
    catches = np.zeros((3, 30), dtype=bool)
    catches[1, [3, 9, 22, 27]] = True
    equilibrium = fabric(("a" * 15 + "b" + "a" * 14,) * 3, case, slack=0.05, catches=catches)
    section = section_of(equilibrium, 1)
    table = equilibrium.mesh.floats
    shown = {one.number for one in (*section.floats, *section.beyond) if table.yarn_f[one.number] == 1}
    assert len(shown) == parts
    assert max(table.gap_f[number] for number in shown) <= longest
    assert section_figure(section, width_px=600).get_size_inches()[0] * DPI == pytest.approx(600)


def test_rows_and_windows_that_are_not_there_are_refused() -> None:
    equilibrium = fabric(MOTIF, "swatch")
    for row in (-1, 8):
        with pytest.raises(InputError) as refused:
            section_of(equilibrium, row)
        assert str(refused.value) == f"row: given {row + 1}; allowed: 1 to 8; name a row of this fabric"
    with pytest.raises(InputError, match=r"window: given 500.0 to 600.0 cm; allowed: parts of .*; move it"):
        section_of(equilibrium, 0, window=(5.0, 6.0))


def test_of_equals_the_float_in_the_middle_of_what_is_shown_is_told_of() -> None:
    equilibrium = fabric(("baaaaaaa",), "swatch", across=6, up=3, slack=0.1)
    whole = section_of(equilibrium, 1)
    left, right = whole.extent
    for window in ((left, left + 0.6 * (right - left)), (right - 0.6 * (right - left), right)):
        found = section_of(equilibrium, 1, window=window)
        longest = max(one.yarn_length for one in found.floats)
        ends = [one.held_2c[:, 0] for one in found.floats if one.yarn_length > 0.999 * longest]
        shown = [end.mean() for end in ends if window[0] - 1e-6 <= end[0] and end[1] <= window[1] + 1e-6]  # whole
        assert found.hardest is not None
        off = abs(found.floats[found.hardest].held_2c[:, 0].mean() - 0.5 * sum(window))
        assert len(shown) > 1
        assert off == pytest.approx(min(abs(x - 0.5 * sum(window)) for x in shown), abs=1e-9)
