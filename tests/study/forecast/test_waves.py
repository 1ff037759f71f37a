"""Waves of several repeats: found where a fabric folds in them, the same however the chart is typed, and where flat
fabric begins to pucker."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric.build import cloth_terms, start_of
from fabricsim.fabric.cell import cut_out, least_cut
from fabricsim.fabric.contact import Contact
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import Measures, measure
from fabricsim.fabric.relax import come_to_rest
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.mechanics.assemble import assemble
from fabricsim.study.forecast import waves
from fabricsim.study.forecast.starts import Found, lowest_rest
from fabricsim.study.forecast.waves import (
    FEWEST,
    LONGEST,
    MOST_STITCHES,
    in_waves,
    longest_wave,
    lower,
    moved_along,
    onset,
    per_stitch,
    plain_blocks,
    settled,
    softest,
    tile_size,
    waved,
)
from tests.support.scenes import scene_of

FOLDS = ["..#...", ".##.#.", "#....#", "......", "##...."]
"""Folds in waves of several repeats where its floats are tight; alike to none of its mirror images."""
FLAT = [".#.#", "#.#.", ".##.", "#..#"]
"""Floats behind one or two stitches: flat at any slack here."""


LOOSE_KNIT: dict[str, float] = {"poisson_across": 0.35, "shear_N_per_m": 6.0}
"""A fabric that narrows less than loops of constant yarn do: held less against a width that changes along a row, it
folds in waves of several repeats more readily."""


def fabric(rows: list[str], slack: float) -> Fabric:
    return set_up(scene_of(rows, slack, fabric=LOOSE_KNIT), "repeat")


def cell(rows: list[str], slack: float) -> Equilibrium:
    """The rest of its least cell."""
    whole = fabric(rows, slack)
    return come_to_rest(cut_out(whole, least_cut(whole)))


@cache
def tight(how: str = "once") -> tuple[Found, Measures]:
    typed = {
        "once": FOLDS,
        "twice across": [row * 2 for row in FOLDS],
        "twice up": FOLDS * 2,
        "three times each way": [row * 3 for row in FOLDS] * 3,
        "begun elsewhere": [row[2:] + row[:2] for row in FOLDS[3:] + FOLDS[:3]],
        "mirrored": [row[::-1] for row in FOLDS],
        "upside down": FOLDS[::-1],
    }[how]
    found = lowest_rest(fabric(typed, -0.12), begin=lambda *_: None)
    return found, measure(found.rest)


def test_a_wave_of_several_repeats_is_found_and_lies_lower() -> None:
    found, measures = tight()
    assert found.wave is not None
    assert found.wave.softness < 0.0
    across, up = found.wave.tile
    assert found.rest.repeats == (across, up) != (1, 1)
    assert len(found.rest.x_nc) == across * up * 30
    assert found.rest.start == f"a wave of {across} x {up} repeats" == found.starts[-1].name
    assert found.lowest == len(found.starts) - 1
    energies = [one.energy for one in found.starts if one.energy is not None]
    assert lower(energies[-1], min(energies[:-1]))
    assert energies[-1] == pytest.approx(per_stitch(found.rest) * 30)  # of the chart, whatever its tile
    first = found.starts[0].measures
    assert first is not None
    assert first.pucker.peak_to_valley < 1e-3 < measures.pucker.peak_to_valley
    assert measures.widths.plain == pytest.approx(first.widths.plain)  # of the piece, not of so many tiles


@pytest.mark.parametrize(
    "how", ["twice across", "twice up", "three times each way", "begun elsewhere", "mirrored", "upside down"]
)
def test_a_fabric_is_the_same_however_its_chart_is_typed(how: str) -> None:
    """All begin on the same cell, to the last bit, so nothing is left to luck."""
    (one, measured), (other, again) = tight(), tight(how)
    assert again.widths.overall == pytest.approx(measured.widths.overall, abs=1e-12)
    assert again.pucker.peak_to_valley == pytest.approx(measured.pucker.peak_to_valley, rel=1e-9)
    assert again.pull.greatest == pytest.approx(measured.pull.greatest, rel=1e-9)
    assert per_stitch(other.rest) == pytest.approx(per_stitch(one.rest), rel=1e-12)
    assert again.pull.taut * len(one.rest.x_nc) == measured.pull.taut * len(other.rest.x_nc)


def test_flat_fabric_has_no_waves_and_no_onset() -> None:
    found = lowest_rest(fabric(FLAT, -0.12), begin=lambda *_: None)
    assert found.wave is None
    assert found.rest.repeats == (1, 1)
    assert found.rest.start == "plain fabric"
    assert onset(fabric(FLAT, -0.12)) is None
    assert onset(set_up(scene_of(["....", "...."], 0.0), "repeat")) is None
    assert tile_size(fabric(FLAT, -0.12)) == (2, 4)  # its floats repeat after two stitches, colours left out


def test_plain_fabric_is_as_stiff_as_itself_to_every_wave() -> None:
    """Whatever cell it is seen in: the softness is 1 (and the plain cell of one stitch, copied, is the plain cell)."""
    loose = cell(FOLDS, 0.5)
    for found in softest(loose):
        assert found.softness == pytest.approx(1.0, rel=1e-9)
    assert plain_blocks(loose.contact.fabric).size == 3 * 30


def test_tiles_hold_waves_up_to_the_longest_and_no_more_stitches_than_may_be() -> None:
    mesh = fabric(FOLDS, 0.0).mesh
    w, c = 6 * mesh.stitch_width, 5 * mesh.row_height
    across, up = longest_wave(mesh)
    assert across == pytest.approx(int(LONGEST / w) * w)
    assert up == pytest.approx(int(LONGEST / c) * c)
    asked = [tile for tile, _ in waves._tiles(mesh)]
    assert max(m for m, _ in asked) == int(LONGEST / w)
    assert all(m * n * 30 <= MOST_STITCHES for m, n in asked)
    for (m, n), turn in waves._tiles(mesh):
        assert [abs(turn[0] * m) in (0.0, 1.0), abs(turn[1] * n) in (0.0, 1.0)] == [True, True]  # it closes there
    wide = fabric([".#" * 25 + "#"] * 2, 0.0).mesh
    assert longest_wave(wide)[0] == pytest.approx(FEWEST * 51 * wide.stitch_width)  # always two
    huge = replace(wide, rest_nc=np.zeros((MOST_STITCHES, 3)))
    assert waves._tiles(huge) == []


def test_the_length_of_a_wave_is_that_of_its_tile() -> None:
    rest = cell(FOLDS, -0.05)
    assert rest.period_a is not None
    by_tile = {one.tile: one.length for one in softest(rest)}
    width, height = rest.period_a.tolist()
    assert by_tile[6, 1] == pytest.approx(6 * width)
    assert by_tile[1, 2] == pytest.approx(2 * height)
    # both ways: 1 / length^2 adds up (a wave across a rectangle)
    assert by_tile[2, 2] == pytest.approx(1.0 / np.hypot(1 / (2 * width), 1 / (2 * height)))


def test_a_rest_moved_along_a_wave_costs_what_its_softness_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """The energy's second difference along the wave, over that of plain fabric moved alike: on whole tiles, by the
    energy that is solved."""
    rest = cell(FOLDS, -0.01)
    assert not rest.contact.wrapped_f.any()  # so that the tile's floats are straight too
    plain = replace(rest, x_nc=rest.mesh.rest_nc, period_a=rest.mesh.period_a)
    for found in softest(rest)[:3]:
        across, up = found.tile
        bent = []
        for begun, floats in ((rest, True), (plain, False)):
            energies = []
            for height in (-1e-3, 0.0, 1e-3):
                monkeypatch.setattr(waves, "HEIGHT", height)
                tile, state = moved_along(begun, found)
                assert (tile.mesh.stitches, tile.mesh.rows) == (6 * across, 5 * up)
                energy = Contact.of(tile).energy
                if not floats:
                    energy = assemble(cloth_terms(tile.mesh, tile.stiffness, "test"), start_of(tile.mesh))
                energies.append(energy.value(energy.free(state)))
            bent.append(energies[0] - 2.0 * energies[1] + energies[2])
        assert found.softness < 0.99
        assert bent[0] / bent[1] == pytest.approx(found.softness, abs=1e-4)


def test_the_wave_is_kept_only_if_it_lies_lower(monkeypatch: pytest.MonkeyPatch) -> None:
    rest = cell(FOLDS, -0.12)
    assert waved(rest) is not None
    inner = waves.come_to_rest

    def higher(*given: object) -> Equilibrium:
        came = inner(*given)  # type: ignore[arg-type]
        return replace(came, effort=replace(came.effort, energy=abs(per_stitch(rest)) * len(came.x_nc)))

    monkeypatch.setattr(waves, "come_to_rest", higher)
    assert waved(rest) is None

    def lost(*_: object) -> Equilibrium:
        raise NoEquilibriumError("no rest")

    monkeypatch.setattr(waves, "come_to_rest", lost)
    assert waved(rest) is None
    monkeypatch.setattr(waves, "come_to_rest", inner)
    monkeypatch.setattr(waves, "grows", lambda *_: False)
    assert waved(rest) is None


def test_one_rest_after_the_other_stays_in_its_wave() -> None:
    whole = fabric(FOLDS, -0.12)
    rest = settled(whole)
    assert rest.repeats != (1, 1)
    assert in_waves(rest) is rest
    tighter = settled(whole.with_slack_shifted(-0.005), rest)
    assert tighter.repeats == rest.repeats
    assert tile_size(whole) == (rest.mesh.stitches, rest.mesh.rows)
    swatch = set_up(scene_of(FOLDS, -0.02, chart={"across": 2}), "swatch")
    assert settled(swatch).mesh.case == "swatch"
    loose = come_to_rest(fabric(FOLDS, 0.1))
    assert in_waves(loose) is loose


def test_flat_fabric_begins_to_pucker_where_it_is_said_to() -> None:
    """A little looser it is stiff to all waves, a little tighter it folds in the one foretold."""
    begins = onset(fabric(FOLDS, -0.12))
    assert begins is not None
    assert begins.wave is not None
    assert begins.shift == pytest.approx(begins.slack + 0.12)
    near = 2e-3
    looser, tighter = cell(FOLDS, begins.slack + near), cell(FOLDS, begins.slack - near)
    assert softest(looser)[0].softness > 0.0 > softest(tighter)[0].softness
    assert abs(begins.wave.softness) < 0.05
    assert waved(looser) is None
    # however the scene's own slack lies, and however it is typed
    other = onset(fabric([row[::-1] * 2 for row in FOLDS], 0.03))
    assert other is not None
    assert other.slack == pytest.approx(begins.slack, abs=waves.EXACT)
    assert other.shift == pytest.approx(other.slack - 0.03)
