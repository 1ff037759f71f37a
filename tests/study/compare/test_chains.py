"""Settings brought to rest in chains: what each changes, that the way in does not matter, and that nothing is lost."""

from __future__ import annotations

import errno
import os
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import fabricsim
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.used import around_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.scene.shaping import Shaping
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.measures import measure
from fabricsim.fabric.relax import relax
from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.fabric.whole import set_up_whole
from fabricsim.study.compare import chains as comparing
from fabricsim.study.compare import checkpoint as kept
from fabricsim.study.compare.chains import compare, fabric_of, identity, job_of, once_more, rest_of
from fabricsim.study.compare.checkpoint import Kept
from fabricsim.study.compare.grid import grid_of
from fabricsim.study.compare.setting import Study, checked
from fabricsim.study.compare.shapes import Shapes
from fabricsim.study.compare.store import Store
from fabricsim.study.forecast.middle import AS_THE_MIDDLE
from tests.study.compare.known import solve_each_once
from tests.support.little import little


def scene(*, floats: str = "slack = 0.0", **kwargs: Any) -> Scene:
    """Return a scene whose floats are as long as they are told."""
    return Scene.model_validate(tomllib.loads(little(floats=f"{floats}\nshort_mm = 0.0", **kwargs)))


def study(given: dict[str, object], *scenes: Scene) -> Study:
    """Return a study of floats that are all alike, unless it says otherwise: quick and exact."""
    many = scenes or (scene(),)
    given = {"even": True, **given}
    given = given if len(many) == 1 else {**given, "scenes": [f"{n}.toml" for n in range(len(many))]}
    return checked(Study(grid_of(given), many, fabricsim.__version__), [scene_hash(one) for one in many])


@pytest.fixture
def each_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """For tests of what is solved, when and from where."""
    solve_each_once(monkeypatch)


def rows_of(asked: Study, path: Path | None = None) -> dict[int, kept.Row]:
    with Kept(path, identity(asked)) as store:
        list(compare(asked, store))
        return dict(store.rows)


def test_rows_hold_what_the_fabric_measures() -> None:
    asked = study({"slack": [-0.05], "case": ["round"]}, scene(across=6))
    row = rows_of(asked)[0]
    rest = relax(scene(across=6), "round", slack=-0.05)
    found = measure(rest)
    assert row["draw_in_percent"] == 100.0 * found.widths.overall > 0.0
    assert row["width_cm"] == pytest.approx(100.0 * found.widths.width)
    assert row["draw_in_cm"] + row["width_cm"] == pytest.approx(100.0 * found.widths.plain)
    assert row["pucker_mm"] == pytest.approx(1000.0 * found.pucker.peak_to_valley)
    assert (row["floats"], row["taut_floats"]) == (len(rest.floats), found.pull.taut)
    assert row["greatest_tension_cN"] == pytest.approx(100.0 * found.pull.greatest)
    assert row["stretch_left_percent"] == 0.0
    lengths = [one.length for one in yarn_amounts(scene(across=6, floats="slack = -0.05")).yarns]
    assert row["yarn_m"] == pytest.approx(lengths)


def test_of_a_scene_that_shapes_its_piece_rows_are_of_all_of_it() -> None:
    """Its floats and its yarn too, as preview has them; a case that is named leaves the shaping out."""
    made = scene(across=6, case="round", floats="slack = 0.3")
    shaping = Shaping.model_validate({"spread": [{"row": 3, "every": 6}]})
    simulation = made.simulation.model_copy(update={"case": None})
    shaped = made.model_copy(update={"shaping": shaping, "simulation": simulation})
    (whole,), (straight,) = (rows_of(study(given, shaped)).values() for given in ({}, {"case": ["round"]}))
    of_all = set_up_whole(shaped).fabric
    plain = [len(of_all.floats), len(set_up(shaped, "round").floats)]
    assert [whole["floats"], straight["floats"]] == plain
    assert plain[0] < plain[1]
    assert whole["draw_in_percent"] == pytest.approx(0.0, abs=1e-6)
    lengths = [one.length for one in yarn_amounts(shaped, around=around_of(piece_of(shaped))).yarns]
    assert whole["yarn_m"] == pytest.approx(lengths)


def test_of_uneven_floats_the_row_and_the_picture_are_of_the_middle_of_all_pieces() -> None:
    asked = study({"slack": [-0.05], "even": False, "case": ["round"]}, scene(across=4))
    alike = rows_of(study({"slack": [-0.05], "case": ["round"]}, scene(across=4)))[0]
    with Kept(None, identity(asked), hold=True) as store:
        list(compare(asked, store))
        row, state = store.rows[0], store.held[0]
    assert row["draw_in_low_percent"] < row["draw_in_percent"] < row["draw_in_high_percent"]
    assert row["pucker_low_mm"] <= row["pucker_mm"] <= row["pucker_high_mm"]
    shown = measure(rest_of(job_of(asked, 0, state), row["shift"]))
    assert 100.0 * shown.widths.overall == pytest.approx(row["draw_in_percent"], abs=1e-3)  # but for a hair
    still = measure(rest_of(job_of(asked, 0, state), 0.0))
    assert abs(100.0 * still.widths.overall - row["draw_in_percent"]) > 100.0 * AS_THE_MIDDLE
    assert alike["shift"] == 0.0 != row["shift"]
    assert alike["draw_in_low_percent"] is alike["draw_in_high_percent"] is None


def test_slack_floats_leave_their_slack_to_stretch() -> None:
    row = rows_of(study({"slack": [0.08]}))[0]
    assert row["stretch_left_percent"] == pytest.approx(8.0)
    assert row["draw_in_percent"] == row["taut_floats"] == 0


def test_a_setting_changes_what_it_says_and_nothing_else() -> None:
    own = scene(floats="slack = 0.03\nslack_by_yarn = { b = -0.02 }", case="round")
    asked = study({"gauge": [1.1]}, own)
    made = asked.scene_of(asked.grid.setting(0))
    assert (made.gauge.stitches, made.gauge.rows) == pytest.approx((20.9, 28.05))
    assert made.model_copy(update={"gauge": own.gauge}) == own
    asked = study({"slack_by_yarn": {"b": [0.1]}, "gauge": ["20x30"]}, own)
    made = asked.scene_of(asked.grid.setting(0))
    assert (made.gauge.stitches, made.gauge.rows) == (20.0, 30.0)
    assert made.slack_of_yarns == (0.03, 0.1)
    asked = study({"slack": [0.2]}, own)
    assert asked.scene_of(asked.grid.setting(0)).slack_of_yarns == (0.2, 0.2)
    asked = study({"slack": [0.2], "slack_by_yarn": {"b": [0.1]}}, own)
    assert asked.scene_of(asked.grid.setting(0)).slack_of_yarns == (0.2, 0.1)
    assert asked.case_of(asked.grid.setting(0)) == "round"


def test_the_gap_takes_the_place_of_both_limits_and_catches_follow() -> None:
    long = scene(rows=("b.........",), floats="slack = 0.0\nlongest_gap = 2\nlongest_cm = 0.6")
    asked = study({"longest_gap": [3, 9], "catches": ["none", "planned"]}, long)
    rows = rows_of(asked)
    settings = [asked.grid.setting(number) for number in range(asked.grid.count)]
    over = {(one.longest_gap, one.catches): rows[n]["floats_over_limit"] for n, one in enumerate(settings)}
    assert over == {(3, "none"): 1, (9, "none"): 0, (3, "planned"): 0, (9, "planned"): 0}
    floats = {(one.longest_gap, one.catches): rows[n]["floats"] for n, one in enumerate(settings)}
    assert floats[3, "planned"] > floats[3, "none"] == floats[9, "planned"]


def test_stiffness_is_multiplied_and_bending_alone_changes_the_pucker() -> None:
    asked = study({"stretch_stiffness": [1, 2], "bending_stiffness": [1, 3]})
    plain, bent, stretched, both = (fabric_of(job_of(asked, n, None)).stiffness for n in range(4))
    assert bent == plain.bent(3.0)
    assert stretched == replace(
        plain,
        stretch_across=2 * plain.stretch_across,
        stretch_up=2 * plain.stretch_up,
        shear=2 * plain.shear,
    )
    assert both == stretched.bent(3.0)


@pytest.mark.parametrize("case", ["repeat", "round"])
def test_a_warm_start_comes_to_the_rest_of_a_cold_one(case: str) -> None:
    asked = study({"slack": ["-0.08:0.04:0.02"]}, scene(case=case, across=6))
    rows = rows_of(asked)
    assert rows[0]["draw_in_percent"] > 2.0
    for number in range(asked.grid.count):
        cold = comparing.solve(job_of(asked, number, None)).row
        for key in ("draw_in_percent", "pucker_mm", "greatest_tension_cN", "width_cm"):
            assert rows[number][key] == pytest.approx(cold[key], rel=5e-4, abs=3e-4), (number, key)  # the force left


def test_each_starts_where_the_one_before_it_in_its_chain_came_to_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = study({"slack": [-0.04, 0.0, -0.02, 0.02], "catches": ["none", "planned"]})
    came_to: dict[int, Any] = {}
    began: dict[int, Any] = {}

    def watched(job: comparing.Job, fabric: Fabric) -> Equilibrium:
        if job.number in (0, 6):  # the tightest of the first chain, the third of the second
            raise NoEquilibriumError(f"{job.scene.title}: no equilibrium found: it was told so")
        began[job.number] = job.start
        found = rest_of(job, fabric=fabric)
        came_to[job.number] = found.state
        return found

    monkeypatch.setattr(comparing, "rest_of", watched)
    rows = rows_of(asked)
    assert began[3] is None
    assert began[7] is None
    for one, before in ((1, 3), (2, 1), (5, 7), (4, 5)):
        np.testing.assert_array_equal(began[one].x_nc, came_to[before].x_nc)
    assert [rows[n]["at_rest"] for n in range(8)] == [n not in (0, 6) for n in range(8)]
    assert rows[0] == {
        "at_rest": False,
        "status": "no rest found",
        "remark": "no equilibrium found: it was told so",
    }


def test_what_cannot_be_worked_is_a_row_that_says_so() -> None:
    rows = rows_of(study({"case": ["repeat", "round"]}, scene(rows=("b..",), across=1)))
    assert rows[0]["at_rest"]
    assert rows[1]["status"] == "can't be worked"
    assert "at least 2 rows and 6 stitches" in rows[1]["remark"]


@pytest.mark.usefixtures("each_solved_once")
@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("at", range(6))
def test_wherever_it_is_stopped_it_goes_on_with_the_same_bits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: int, after: bool
) -> None:
    asked = study({"slack": [-0.06, -0.03, 0.0], "catches": ["none", "scene"]})
    straight = rows_of(asked, tmp_path / "straight")
    solved: list[int] = []
    solve, add = comparing.solve, Store.add

    def noted(job: comparing.Job) -> comparing.Settled:
        solved.append(job.number)
        return solve(job)

    def stopping(store: Store, key: str, row: Any) -> None:
        stop = len(store.rows) == at and len(solved) == at + 1
        if stop and not after:
            raise KeyboardInterrupt
        add(store, key, row)
        if stop:
            raise KeyboardInterrupt

    monkeypatch.setattr(comparing, "solve", noted)
    monkeypatch.setattr(Store, "add", stopping)
    path = tmp_path / "rows"
    with pytest.raises(KeyboardInterrupt), Kept(path, identity(asked)) as store:
        list(compare(asked, store))
    monkeypatch.setattr(Store, "add", add)
    assert rows_of(asked, path) == straight
    assert len(solved) == asked.grid.count + (0 if after else 1)
    assert sorted(one.name for one in tmp_path.iterdir()) == ["rows", "straight"]


@pytest.mark.usefixtures("each_solved_once")
def test_a_study_of_another_scene_grid_or_version_is_refused(tmp_path: Path) -> None:
    path, asked = tmp_path / "rows", study({"slack": [0.0]})
    rows_of(asked, path)
    before = path.read_bytes()
    for other, differs in (
        (study({"slack": [0.1]}), "grid"),
        (study({"slack": [0.0]}, scene(floats="slack = 0.01")), "scenes"),
        (replace(asked, version="9"), "version"),
    ):
        with pytest.raises(InputError, match=rf"the rows of another study \(not the same: {differs}\)"):
            Kept(path, identity(other))
    assert path.read_bytes() == before


FOUR = {"slack": [-0.06, -0.04, -0.02, 0.0]}
"""One chain of settings 3, 2, 1, 0: from loose to tight."""


def begun(asked: Study, path: Path, settings: int) -> None:
    """Solve so many settings of a study, then stop."""
    with Kept(path, identity(asked)) as store:
        going = compare(asked, store)
        for _ in range(settings):
            next(going)
        going.close()  # type: ignore[attr-defined]


def noted(monkeypatch: pytest.MonkeyPatch) -> list[tuple[int, bool]]:
    """Return where each setting that is solved from now on is noted, and whether it had a shape to start from."""
    solved: list[tuple[int, bool]] = []
    solve = comparing.solve

    def noting(job: comparing.Job) -> comparing.Settled:
        solved.append((job.number, job.start is not None))
        return solve(job)

    monkeypatch.setattr(comparing, "solve", noting)
    return solved


SPOILT: dict[str, Callable[[Path], object]] = {
    "gone": lambda path: path.unlink(),
    "empty": lambda path: path.write_bytes(b""),
    "cut": lambda path: path.write_bytes(path.read_bytes()[:-100]),
    "a byte changed": lambda path: path.write_bytes(path.read_bytes()[:-1] + b"?"),
    "something else": lambda path: path.write_text("a shopping list", encoding="utf-8"),
    "a folder": lambda path: (path.unlink(), path.mkdir()),
    "that of another setting": lambda path: path.write_bytes(path.with_name("other").read_bytes()),
}


@pytest.mark.usefixtures("each_solved_once")
@pytest.mark.parametrize("how", SPOILT)
def test_a_chain_whose_shape_is_lost_is_gone_through_again_to_the_same_bits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: str
) -> None:
    asked, path = study(FOUR), tmp_path / "rows"
    straight = rows_of(asked)
    begun(asked, path, 1)
    (earlier,) = (tmp_path / "rows.shapes").iterdir()
    other = earlier.read_bytes()
    begun(asked, path, 1)
    (shape,) = (tmp_path / "rows.shapes").iterdir()
    assert shape != earlier
    shape.with_name("other").write_bytes(other)
    SPOILT[how](shape)
    solved = noted(monkeypatch)
    with Kept(path, identity(asked)) as store:
        assert once_more(asked, store) == 2
        told = list(compare(asked, store))
        assert dict(store.rows) == straight
    assert told == [1, 0]
    assert solved == [(3, False), (2, True), (1, True), (0, True)]


def test_it_starts_from_the_last_shape_that_is_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked, path = study(FOUR), tmp_path / "rows"
    straight = rows_of(asked)
    monkeypatch.setattr(Shapes, "drop", lambda shapes, number: None)  # as after a power cut, each before it went
    begun(asked, path, 3)
    (tmp_path / "rows.shapes" / "2.shape").write_bytes(b"")
    solved = noted(monkeypatch)
    with Kept(path, identity(asked)) as store:
        assert once_more(asked, store) == 1
        list(compare(asked, store))
        assert dict(store.rows) == straight
    assert solved == [(1, True), (0, True)]


@pytest.mark.usefixtures("each_solved_once")
@pytest.mark.parametrize(
    ("lost", "more", "solved"),
    [
        ([3], 0, [(3, False)]),
        ([2], 1, [(3, False), (2, True)]),
        ([0], 3, [(3, False), (2, True), (1, True), (0, True)]),
        ([3, 1], 1, [(3, False), (2, True), (1, True)]),
        ([3, 2, 1, 0], 0, [(3, False), (2, True), (1, True), (0, True)]),
    ],
)
def test_rows_that_were_lost_are_solved_again_to_the_same_bits(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lost: list[int], more: int, solved: list[tuple[int, bool]]
) -> None:
    asked, path = study(FOUR), tmp_path / "rows"
    straight = rows_of(asked, path)
    lines = path.read_bytes().splitlines(keepends=True)
    damaged = [line[:90] + b"\n" if any(b'"key": "%d"' % one in line for one in lost) else line for line in lines]
    path.write_bytes(b"".join(damaged))
    found = noted(monkeypatch)
    with Kept(path, identity(asked)) as store:
        assert store.store is not None
        assert store.store.damaged == len(lost)
        assert once_more(asked, store) == more
        assert sorted(compare(asked, store)) == sorted(lost)
        assert dict(store.rows) == straight
    assert found == solved
    assert sorted(one.name for one in tmp_path.iterdir()) == ["rows", "rows.damaged"]


@pytest.mark.usefixtures("each_solved_once")
def test_a_row_that_was_lost_in_the_middle_leaves_the_shape_to_go_on_from(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, path = study(FOUR), tmp_path / "rows"
    straight = rows_of(asked)
    begun(asked, path, 3)
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join([*lines[:2], b"?\n", *lines[3:]]))  # of setting 2
    found = noted(monkeypatch)
    begun(asked, path, 1)
    assert rows_of(asked, path) == straight
    assert found == [(3, False), (2, True), (0, True)]


@pytest.mark.usefixtures("each_solved_once")
def test_what_a_desktop_leaves_among_the_shapes_stays_and_stops_nothing(tmp_path: Path) -> None:
    asked, path = study(FOUR), tmp_path / "rows"
    shapes = tmp_path / "rows.shapes"
    (shapes / "folder").mkdir(parents=True)
    (shapes / "7.shape").mkdir()
    for name in (".DS_Store", "Thumbs.db", "desktop.ini", "notes.shape"):
        (shapes / name).write_bytes(b"?")
    (shapes / "2.shape.part").write_bytes(b"left by a power cut")
    straight = rows_of(asked)
    for _ in range(2):
        assert rows_of(asked, path) == straight
    left = sorted(one.name for one in shapes.iterdir())
    assert left == [".DS_Store", "7.shape", "Thumbs.db", "desktop.ini", "folder", "notes.shape"]


@pytest.mark.usefixtures("each_solved_once")
def test_a_disk_too_full_for_a_shape_is_one_line_and_the_rows_stay(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, path = study(FOUR), tmp_path / "rows"
    straight = rows_of(asked)
    begun(asked, path, 1)
    before = path.read_bytes()

    def full(file: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as disk:
        disk.setattr(os, "fsync", full)
        with pytest.raises(InputError, match=r"rows\.shapes: given 'No space left on device'; .*; make room"):
            begun(asked, path, 1)
    assert path.read_bytes() == before
    assert [one.name for one in (tmp_path / "rows.shapes").iterdir()] == ["4.shape"]
    assert rows_of(asked, path) == straight


@pytest.mark.usefixtures("each_solved_once")
def test_memory_does_not_hold_shapes_unless_asked_to() -> None:
    asked = study({"slack": [-0.06, 0.0]})
    for hold in (False, True):
        with Kept(None, identity(asked), hold=hold) as store:
            list(compare(asked, store))
            assert len(store.held) == (2 if hold else 0)


def test_another_version_on_a_worker_is_refused() -> None:
    with pytest.raises(InputError, match="--cluster: given workers with fabricsim"):
        comparing.solve(replace(job_of(study({"slack": [0.0]}), 0, None), version="9"))


@pytest.mark.parametrize(
    ("given", "line"),
    [
        ({"inside_out": [True]}, "--inside-out: given with the case 'repeat'"),
        ({"slack_by_yarn": {"q": [0.0]}}, "--slack-of: given 'q', which is no yarn of 'Little check'"),
        (
            {"gauge": [10.0]},
            "--gauge: given '10.0', with which 'Little check' has 190 stitches and 255 rows to 10 cm; allowed: at",
        ),
    ],
)
def test_what_cannot_be_asked_of_a_scene_is_refused_at_once(given: dict[str, object], line: str) -> None:
    with pytest.raises(InputError, match=line):
        study(given)


def test_a_scene_twice_is_refused() -> None:
    with pytest.raises(InputError, match="every scene once"):
        study({"slack": [0.0]}, scene(), scene())
