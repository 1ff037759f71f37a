"""What a row says, and how many work on rows, from made-up rests and studies: without a solve."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

import fabricsim
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.setup import set_up
from fabricsim.mechanics.assemble import State
from fabricsim.study.compare import chains as comparing
from fabricsim.study.compare.chains import identity, job_of, row_of, solve, usual_processes
from fabricsim.study.compare.grid import grid_of
from fabricsim.study.compare.setting import Study
from fabricsim.study.forecast.forecast import SEED, Band
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import hands_of
from tests.support.little import little


def scene(**kwargs: Any) -> Scene:
    return Scene.model_validate(tomllib.loads(little(**kwargs)))


def study(given: dict[str, object], *scenes: Scene) -> Study:
    many = scenes or (scene(),)
    files = {"scenes": [f"{n}.toml" for n in range(len(many))]} if len(many) > 1 else {}
    return Study(grid_of({**given, **files}), many, fabricsim.__version__)


def forecast(knitted: Scene, *, floats: int, pieces: int = 16, **found: Any) -> Any:
    """Return a forecast of a scene that measures what it is told to."""
    measures = {
        "widths": SimpleNamespace(overall=0.05, plain=0.4, width=0.38),
        "pucker": SimpleNamespace(peak_to_valley=0.0021),
        "pull": SimpleNamespace(taut=1, greatest=0.007, spare_f=np.array([0.02, 0.08])),
        "crossing": 0,
        "touching": 0,
        **found,
    }
    mesh = SimpleNamespace(case="repeat", standing=None)
    return SimpleNamespace(
        equilibrium=SimpleNamespace(scene=knitted, floats=(None,) * floats, mesh=mesh, state=None),
        measures=SimpleNamespace(**measures),
        shift=0.0015,
        pieces=(None,) * pieces,
        draw_in=Band(0.01, 0.05, 0.09),
        pucker=Band(0.0004, 0.0021, 0.0035),
    )


def test_a_row_is_in_the_units_of_its_keys() -> None:
    made = scene(rows=("b......",), floats="slack = 0.0\nlongest_gap = 5")
    row = row_of(forecast(made, floats=2))
    assert list(row) == [
        "at_rest",
        "shift",
        "draw_in_percent",
        "draw_in_cm",
        "width_cm",
        "draw_in_low_percent",
        "draw_in_high_percent",
        "pucker_mm",
        "pucker_low_mm",
        "pucker_high_mm",
        "floats",
        "taut_floats",
        "greatest_tension_cN",
        "stretch_left_percent",
        "floats_over_limit",
        "yarn_m",
        "status",
        "remark",
    ]
    told = {key: row[key] for key in list(row)[:15]}
    assert told == pytest.approx(
        {
            "at_rest": True,
            "shift": 0.0015,
            "draw_in_percent": 5.0,
            "draw_in_cm": 2.0,
            "width_cm": 38.0,
            "draw_in_low_percent": 1.0,
            "draw_in_high_percent": 9.0,
            "pucker_mm": 2.1,
            "pucker_low_mm": 0.4,
            "pucker_high_mm": 3.5,
            "floats": 2,
            "taut_floats": 1,
            "greatest_tension_cN": 0.7,
            "stretch_left_percent": 2.0,
            "floats_over_limit": 1,
        }
    )
    assert (row["status"], row["remark"]) == ("at rest", "")
    assert len(row["yarn_m"]) == 2
    assert min(row["yarn_m"]) > 0.0


def test_where_every_float_is_alike_nothing_is_said_to_be_likely() -> None:
    row = row_of(forecast(scene(), floats=2, pieces=0))
    ends = ("draw_in_low_percent", "draw_in_high_percent", "pucker_low_mm", "pucker_high_mm")
    assert [row[key] for key in ends] == [None] * 4


def test_a_yarn_that_is_not_knitted_takes_none() -> None:
    row = row_of(forecast(scene(rows=("....",)), floats=0))
    assert row["yarn_m"][1] == 0.0 < row["yarn_m"][0]
    assert row["stretch_left_percent"] is None
    assert row["floats_over_limit"] == 0


def test_taut_floats_leave_nothing_to_stretch() -> None:
    pull = SimpleNamespace(taut=2, greatest=0.007, spare_f=np.array([-0.001, 0.08]))
    assert row_of(forecast(scene(), floats=2, pull=pull))["stretch_left_percent"] == 0.0


@pytest.mark.parametrize(
    ("crossing", "touching", "remark"),
    [
        (0, 3, "folds onto itself"),
        (2, 0, "passes through itself: trust none of it"),
        (2, 3, "passes through itself: trust none of it"),
    ],
)
def test_what_folds_or_passes_through_itself_is_remarked(crossing: int, touching: int, remark: str) -> None:
    assert row_of(forecast(scene(), floats=2, crossing=crossing, touching=touching))["remark"] == remark


@pytest.mark.parametrize(
    ("raised", "row"),
    [
        (
            NoEquilibriumError("Little check: no equilibrium found: Little check: too tight"),
            {"at_rest": False, "status": "no rest found", "remark": "no equilibrium found: Little check: too tight"},
        ),
        (
            InputError("Little check: chart", "a piece", "more", "add repeats"),
            {
                "at_rest": False,
                "status": "can't be worked",
                "remark": "chart: given a piece; allowed: more; add repeats",
            },
        ),
        (MemoryError(), {"at_rest": False, "status": "too large", "remark": "not enough memory"}),
    ],
)
def test_what_finds_no_rest_is_a_row_that_says_why_without_its_scenes_name(
    monkeypatch: pytest.MonkeyPatch, raised: Exception, row: dict[str, object]
) -> None:
    def raising(job: comparing.Job, rest: Any, fabric: Any) -> Any:
        raise raised

    monkeypatch.setattr(comparing, "forecast_in", raising)
    settled = solve(job_of(study({"slack": [0.0, 0.1]}), 1, None))
    assert (settled.number, settled.row, settled.state) == (1, row, None)


def test_a_setting_that_rests_is_its_number_its_row_and_its_shape(monkeypatch: pytest.MonkeyPatch) -> None:
    found = forecast(scene(), floats=2)
    rest = SimpleNamespace(state=State(np.zeros((2, 3)), None))
    monkeypatch.setattr(comparing, "rest_of", lambda job, fabric: rest)
    asked: list[Any] = []
    monkeypatch.setattr(comparing, "forecast_in", lambda job, from_rest, fabric: asked.append(from_rest) or found)
    settled = solve(job_of(study({"slack": [0.0, 0.1]}), 1, None))
    assert (settled.number, settled.row["at_rest"]) == (1, True)
    assert settled.state is rest.state
    assert asked == [rest]  # what is told may lie in waves; what the next starts from does not


@pytest.mark.parametrize("even", [False, True])
def test_a_setting_is_a_forecast_by_the_hands_of_its_scene_or_by_even_ones(
    monkeypatch: pytest.MonkeyPatch, even: bool
) -> None:
    given: list[Any] = []
    monkeypatch.setattr(comparing, "forecast_of", lambda *one, **more: given.append((*one, more)))
    monkeypatch.setattr(comparing, "in_waves", lambda rest: ("in waves", rest))
    made = scene(floats="slack = 0.0\nshort_mm = 0.7", case="round")
    rest: Any = "at rest"
    comparing.forecast_in(job_of(study({"stretch_stiffness": [2.0], "even": even}, made), 0, None), rest)
    ((fabric, hands, labour, more),) = given
    assert fabric.stiffness.stretch_across == pytest.approx(2.0 * set_up(made).stiffness.stretch_across)
    assert hands == (hands_of(made).even() if even else hands_of(made))
    assert labour.band is not even
    assert more == {"rest": ("in waves", rest)}


def test_a_picture_is_of_the_fabric_that_was_found_at_its_shift(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[Any] = []
    monkeypatch.setattr(comparing, "come_to_rest", lambda *one: given.append(one))
    begin = State(np.zeros((2, 3)), None)
    made = scene(floats="slack = 0.0\nshort_mm = 0.7", case="round")
    plain = set_up(made)
    for even in (False, True):
        comparing.rest_of(job_of(study({"even": even}, made), 0, begin), 0.004)
        fabric, start = given.pop()
        hands = hands_of(made).even() if even else hands_of(made)
        told = in_hand(plain, typical(plain, SEED), hands, 0.004)
        np.testing.assert_array_equal(fabric.mesh.floats.length_f, told.mesh.floats.length_f)
        assert start is begin
        assert np.ptp(fabric.mesh.floats.slack_f * plain.mesh.floats.span_f) > (0.0 if even else 1e-4)


def test_a_worker_of_another_version_is_one_line() -> None:
    job = replace(job_of(study({"slack": [0.0]}), 0, None), version="9")
    with pytest.raises(InputError) as why:
        solve(job)
    here = fabricsim.__version__
    assert str(why.value) == (f"--cluster: given workers with fabricsim {here}; allowed: fabricsim 9; install that")


def test_a_job_holds_all_that_it_takes() -> None:
    begin = State(np.zeros((2, 3)), None)
    given = {
        "stretch_stiffness": [2.0],
        "bending_stiffness": [3.0],
        "case": ["round"],
        "inside_out": [True],
        "gauge": [1.1],
    }
    asked = study(given)
    job = job_of(asked, 0, begin)
    assert (job.number, job.version, job.case, job.inside_out) == (0, fabricsim.__version__, "round", True)
    assert (job.stretch, job.bending) == (2.0, 3.0)
    assert job.scene == asked.scene_of(asked.grid.setting(0))
    assert job.start is begin
    assert not job.even
    assert job_of(study({"even": True}), 0, None).even
    plain = job_of(study({}), 0, None)
    assert (plain.case, plain.inside_out, plain.stretch, plain.bending, plain.start) == (
        "repeat",
        False,
        1.0,
        1.0,
        None,
    )


def test_where_files_lie_is_no_part_of_what_a_study_is() -> None:
    one = study({"slack": [0.0]}, scene(), scene(title="Another"))
    moved = replace(one, grid=grid_of({"slack": [0.0], "scenes": ["there/0.toml", "here/1.toml"]}))
    assert identity(one) == identity(moved)
    assert set(identity(one)) == {"command", "version", "scenes", "grid"}
    assert identity(one)["command"] == "compare"
    swapped = replace(one, scenes=one.scenes[::-1])
    assert identity(swapped) != identity(one)
    assert identity(study({"slack": [0.1]}, *one.scenes)) != identity(one)


@pytest.mark.parametrize(
    ("given", "across", "left", "processes"),
    [
        ({"slack": [0.0, 0.1], "bending_stiffness": [1, 2, 3, 4, 5]}, 40, 9, 4),  # 1200 stitches x 9 are enough
        ({"slack": [0.0, 0.1], "bending_stiffness": [1, 2, 3, 4, 5]}, 40, 8, 1),
        ({"slack": [0.0, 0.1], "bending_stiffness": [1, 2, 3]}, 40, 9, 3),  # no more than there are chains
        ({"slack": [0.0, 0.1], "bending_stiffness": [1, 2, 3]}, 166, 99, 3),  # 4980 stitches are not too large
        ({"slack": [0.0, 0.1], "bending_stiffness": [1, 2, 3]}, 167, 99, 1),
        # a repeat is its chart alone: on average (30 + 1200) / 2, of the largest 1200
        ({"case": ["repeat", "round"], "bending_stiffness": [1, 2]}, 40, 17, 4),
        ({"case": ["repeat", "round"], "bending_stiffness": [1, 2]}, 40, 16, 1),
    ],
)
def test_small_studies_and_large_fabrics_are_worked_on_by_one(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, object], across: int, left: int, processes: int
) -> None:
    monkeypatch.setattr(comparing, "usable_cores", lambda: 4)
    assert usual_processes(study(given, scene(across=across, case="round")), left) == processes
