"""A fabric under the hand: what is seen on its way to rest, how it is stopped, and what it begins from."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

import fabricsim
from fabricsim.breaks import asked, broken_off_when
from fabricsim.design.scene.choices import Case
from fabricsim.errors import NoEquilibriumError, StoppedError
from fabricsim.fabric import settling
from fabricsim.fabric.cell import Cut, copied, written_out
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.look import Look
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import TOLERANCE, come_to_rest
from fabricsim.fabric.settling import same_size, settle
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.mechanics.assemble import State
from fabricsim.mechanics.solver.stopping import Status
from tests.support.meshes import WIDTH
from tests.support.scenes import scene_of

MOTIF = ("#.......", ".....#..", "..#.....", "........")
LEAF = ("....#....", "...###...", "..#####..", ".#######.", "..#####..", "...###...", "....#....", ".........")
PAINTED = ("#.......", ".....#..", "..#...#.", "........")
SLACK: dict[Case, float] = {"repeat": -0.06, "swatch": -0.025, "round": -0.15}
"""At which floats pull the fabric in and it stays smooth, so that there is one way to be at rest."""


def fabric(case: Case = "repeat", rows: tuple[str, ...] = MOTIF, by: float = 0.0, **floats: Any) -> Fabric:
    worked = "flat" if case == "swatch" else "round"
    across = {"repeat": 1, "swatch": 2, "round": 6}[case]
    return set_up(scene_of(rows, SLACK[case] + by, worked=worked, chart={"across": across}, floats=floats), case)


def changed(case: Case, how: str) -> Fabric:
    if how == "a catch":
        return fabric(case, catches=[{"row": 2, "stitch": 3}])
    if how == "no stitch left of a row's second yarn":
        return fabric(case, ("........", *MOTIF[1:]))
    if how == "thicker":
        other = fabric(case, by=-0.005)
        return replace(other, mesh=replace(other.mesh, thickness=1.2 * other.mesh.thickness))
    return fabric(case, by=-0.01) if how == "slack" else fabric(case, PAINTED)


# ---- what it begins from -----------------------------------------------------------------------------


@pytest.mark.parametrize("case", ["repeat", "swatch", "round"])
@pytest.mark.parametrize(
    "how", ["slack", "a stitch painted", "no stitch left of a row's second yarn", "a catch", "thicker"]
)
def test_it_comes_to_the_rest_of_a_start_from_plain_fabric(case: Case, how: str) -> None:
    """The same minimum, but for how far floats that lie on stitches cut in, which goes with the way in: by up to a
    hundredth of a thickness, 4e-3 of a stitch, of which shapes show a tenth and the energy a hundred-thousandth."""
    rest, other = come_to_rest(fabric(case)), changed(case, how)
    warm, cold = settle(other, rest), come_to_rest(other)
    assert warm is not None
    assert warm.effort.energy == pytest.approx(cold.effort.energy, rel=1e-5)
    np.testing.assert_allclose(warm.x_nc, cold.x_nc, atol=4e-4 * WIDTH)
    np.testing.assert_allclose(warm.tension_f, cold.tension_f, atol=5e-3 * cold.tension_f.max())
    assert np.abs(warm.x_nc - rest.x_nc).max() > 1e-4 * WIDTH  # and it is another answer
    np.testing.assert_array_equal(rest.x_nc, come_to_rest(fabric(case)).x_nc)  # the start is as it was


def test_it_may_begin_where_a_look_showed_it() -> None:
    rest, tighter, tightest = come_to_rest(fabric()), fabric(by=-0.02), fabric(by=-0.03)
    looks: list[Look] = []
    assert settle(tighter, rest, look=looks.append, stop=lambda: len(looks) == 3) is None
    onward = settle(tightest, looks[-1].fabric)
    assert onward is not None
    assert onward.effort.energy == pytest.approx(come_to_rest(tightest).effort.energy, rel=1e-5)


def test_of_a_tile_of_several_repeats_it_goes_on_with_as_many() -> None:
    once = fabric()
    tile = copied(once, once.mesh.rows, 2 * once.mesh.stitches)
    crooked = State(tile.mesh.rest_nc + [[0.0, 0.0, 1e-4]] * (tile.mesh.column_n == 3)[:, None], tile.mesh.period_a)
    tiled = written_out(come_to_rest(tile, crooked), once, Cut(tile.mesh.rows, tile.mesh.stitches))
    assert same_size(once, tiled)
    assert not same_size(tile, tiled)
    settled = settle(fabric(by=-0.01), tiled)
    assert settled is not None
    assert settled.repeats == (2, 1)


@pytest.mark.parametrize("other", ["another size", "as many stitches in other rows", "another case"])
def test_a_start_of_another_piece_is_left_aside(other: str, monkeypatch: pytest.MonkeyPatch) -> None:
    starts = {
        "another size": ("repeat", tuple(2 * row for row in MOTIF)),
        "as many stitches in other rows": ("repeat", tuple(map("".join, zip(*MOTIF, strict=True)))),
        "another case": ("swatch", MOTIF),
    }
    case, rows = starts[other]
    begun: list[object] = []

    def noted(one: Fabric, start: Equilibrium | None = None, **more: Any) -> Equilibrium:
        begun.append(start)
        return come_to_rest(one, start, **more)

    monkeypatch.setattr(settling, "come_to_rest", noted)
    assert settle(fabric(), come_to_rest(fabric(case, rows))) is not None  # type: ignore[arg-type]
    assert begun == [None]


def test_a_start_that_leads_nowhere_is_left_aside(monkeypatch: pytest.MonkeyPatch) -> None:
    rest, begun = come_to_rest(fabric()), []

    def lost(one: Fabric, start: Equilibrium | None = None, **more: Any) -> Equilibrium:
        begun.append(start)
        if start is not None:
            raise NoEquilibriumError("lost")
        return come_to_rest(one, start, **more)

    monkeypatch.setattr(settling, "come_to_rest", lost)
    assert settle(fabric(by=-0.01), rest) is not None
    assert begun == [rest, None]


# ---- what is seen on its way -------------------------------------------------------------------------


@pytest.mark.parametrize("case", ["repeat", "round"])
def test_looks_lead_from_the_start_to_the_rest(case: Case) -> None:
    rest, other = come_to_rest(fabric(case)), fabric(case, by=-0.02)
    looks: list[Look] = []
    settled = settle(other, rest, look=looks.append)
    assert settled is not None
    assert [look.settled for look in looks] == [False] * (len(looks) - 1) + [True]
    assert [look.step for look in looks[:-1]] == list(range(settled.effort.steps + 1))
    first, before, last = looks[0], looks[-2], looks[-1]
    np.testing.assert_array_equal(first.fabric.x_nc, rest.x_nc)
    assert first.force > 1e-3 > TOLERANCE >= before.force == last.force == settled.effort.residual
    np.testing.assert_array_equal(last.fabric.x_nc, settled.x_nc)
    np.testing.assert_array_equal(before.fabric.x_nc, settled.x_nc)  # the same shape, not proven to be at rest yet
    assert [look.fabric.effort.status for look in (before, last)] == [Status.ON_THE_WAY, Status.AT_REST]
    # what is measured on the way is of the new floats, and of each look's own shape
    energies = [look.fabric.effort.energy for look in looks]
    assert all(next_ <= one + 1e-12 * one for one, next_ in pairwise(energies))
    widths = [measure(look.fabric).widths.overall for look in looks]
    assert widths[0] == pytest.approx(measure(rest).widths.overall, rel=1e-9)
    assert widths[-1] == measure(settled).widths.overall > widths[0] + 0.005
    assert first.fabric.tension_f.sum() > settled.tension_f.sum()  # they have not drawn in yet


def test_a_look_knows_no_more_of_what_touches_than_was_known_then() -> None:
    """Floats that come to lie on bulges later on are straight in it still, whenever it is made."""
    looks: list[Look] = []
    settled = settle(set_up(scene_of(LEAF, -0.12), "repeat"), look=looks.append)
    assert settled is not None
    assert settled.contact.wrapped_f.any()
    assert not looks[0].fabric.contact.wrapped_f.any()


def test_steps_are_counted_on_where_the_slack_is_let_in_by_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    from fabricsim.fabric import relax

    other, looks = fabric(), []
    patience = relax.Patience(ramps=(4,))
    rest = come_to_rest(other, patience=patience, look=looks.append)
    steps = [look.step for look in looks]
    assert steps == sorted(steps)
    assert steps[-1] == steps[-2] == rest.effort.steps


def test_a_chart_typed_twice_is_seen_as_it_was_typed() -> None:
    """Solved is its least cell; every look is written out on all of the chart, the first too."""
    twice = set_up(scene_of(tuple(2 * row for row in MOTIF), SLACK["repeat"]), "repeat")
    looks: list[Look] = []
    settled = settle(twice, look=looks.append)
    assert settled is not None
    assert settled.solved is not None
    assert {len(look.fabric.x_nc) for look in looks} == {2 * len(MOTIF) * len(MOTIF[0])}
    np.testing.assert_array_equal(looks[-1].fabric.x_nc, settled.x_nc)


# ---- how it is stopped -------------------------------------------------------------------------------


def test_it_is_asked_amid_every_step_and_where_it_is_stopped_nothing_follows() -> None:
    """Wherever it is stopped: no answer, no further question, no further look; and what it began from is as it was."""
    rest, other = come_to_rest(fabric()), fabric(rows=PAINTED)
    told: list[str] = []
    whole = settle(other, rest, look=lambda look: told.append("look"), stop=lambda: bool(told.append("question")))
    assert whole is not None
    assert told[-2:] == ["question", "look"]
    between = "".join("." if one == "question" else "|" for one in told).split("|")
    assert min(map(len, between[1:-2])) > 20  # each step makes a Hessian of many terms, conjugate gradients and trials
    questions = told.count("question")
    for last in {1, 2, questions // 3, questions // 2, questions - 1, questions}:
        heard: list[str] = []

        def stop(heard: list[str] = heard, last: int = last) -> bool:
            heard.append("question")
            return heard.count("question") >= last

        assert settle(other, rest, look=lambda look, heard=heard: heard.append("look"), stop=stop) is None
        assert heard.count("question") == last
        assert heard == told[: len(heard)]
        assert heard[-1] == "question"
    again = settle(other, rest)
    assert again is not None
    assert again.x_nc.tobytes() == whole.x_nc.tobytes()


def test_what_an_onlooker_raises_comes_through() -> None:
    def onlooker(look: Look) -> None:
        raise KeyError(look.step)

    with pytest.raises(KeyError):
        settle(fabric(), look=onlooker)


def test_work_is_broken_off_only_inside_and_only_where_it_is_no_longer_wanted() -> None:
    asked()  # nobody wants to break off
    with broken_off_when(lambda: False):
        asked()
    with broken_off_when(lambda: True):
        with broken_off_when(None):
            asked()  # the innermost counts
        with pytest.raises(StoppedError):
            asked()
    asked()


# ---- the front door ----------------------------------------------------------------------------------


def test_the_front_door_settles_a_scene_and_paints_it() -> None:
    scene = scene_of(MOTIF, -0.06)
    rest = fabricsim.settle(scene, "repeat")
    assert rest is not None
    assert rest.painter is not None
    looks: list[Look] = []
    tighter = fabricsim.settle(scene, "repeat", start=rest, slack=-0.07, look=looks.append)
    assert tighter is not None
    assert tighter.x_nc.tobytes() == come_to_rest(set_up(scene, "repeat", slack=-0.07), rest).x_nc.tobytes()
    assert looks[-1].settled
    assert fabricsim.settle(scene, "repeat", stop=lambda: True) is None
    tube = fabricsim.settle(scene_of(MOTIF, -0.06, chart={"across": 6}), "round", inside_out=True)
    assert tube is not None
    assert tube.mesh.floats_longer > 1.0
