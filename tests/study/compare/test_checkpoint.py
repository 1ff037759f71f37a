"""Rows and shapes on the disk, from made-up ones: after every way to be stopped there is what to go on from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fabricsim.errors import InputError
from fabricsim.mechanics.assemble import State
from fabricsim.study.compare.checkpoint import Kept

CHAIN = (3, 1, 0, 2)
REST, NO_REST = {"at_rest": True}, {"at_rest": False}


def shape(number: int, *, period: bool = True) -> State:
    return State(np.full((2, 3), 1.5 * number), np.array([1.0, number]) if period else None)


def kept(tmp_path: Path, *rested: bool) -> Kept:
    """Return what is found again after so many of the chain were done, each at rest or not."""
    path = tmp_path / "rows"
    with Kept(path, {}) as store:
        for number, rests in zip(CHAIN, rested, strict=False):
            store.add(number, REST if rests else NO_REST, shape(number) if rests else None, CHAIN)
    return Kept(path, {})


def shapes(tmp_path: Path) -> list[str]:
    return sorted(one.name for one in (tmp_path / "rows.shapes").glob("*"))


@pytest.mark.parametrize(
    ("rested", "last"),
    [
        ((True,), 3),
        ((True, True), 1),
        ((True, False), 3),  # the one that found no rest leaves none, so the shape before it stays
        ((True, False, False), 3),
        ((True, True, False), 1),
        ((False, True), 1),
        ((False,), None),
    ],
)
def test_it_goes_on_from_the_last_that_came_to_rest(tmp_path: Path, rested: tuple[bool, ...], last: int | None) -> None:
    with kept(tmp_path, *rested) as found:
        assert found.rows == dict(zip(CHAIN, [REST if one else NO_REST for one in rested], strict=False))
        for number in CHAIN:
            state = found.shape(number)
            assert (state is not None) == (number == last)  # and no other is left lying about
            if state is not None:
                np.testing.assert_array_equal(state.x_nc, shape(number).x_nc)
                np.testing.assert_array_equal(state.period_a, shape(number).period_a)
        assert shapes(tmp_path) == ([] if last is None else [f"{last + 1}.shape"])


@pytest.mark.parametrize("rested", [(True, True, True, True), (True, True, True, False)])
def test_of_a_chain_that_is_done_no_shape_is_kept(tmp_path: Path, rested: tuple[bool, ...]) -> None:
    with kept(tmp_path, *rested) as found:
        assert [found.shape(number) for number in CHAIN] == [None] * len(CHAIN)
    assert shapes(tmp_path) == []


def test_a_shape_without_periods_comes_back_without(tmp_path: Path) -> None:
    with Kept(tmp_path / "rows", {}) as store:
        store.add(3, REST, shape(3, period=False), CHAIN)
        state = store.shape(3)
    assert state is not None
    assert state.period_a is None


def test_in_memory_shapes_are_held_where_asked_for() -> None:
    for hold in (False, True):
        with Kept(None, {}, hold=hold) as store:
            store.add(3, REST, shape(3), CHAIN)
            store.add(1, NO_REST, None, CHAIN)
            assert list(store.held) == ([3] if hold else [])
            assert store.shape(3) is (store.held[3] if hold else None)
    with Kept(None, {}) as store:  # unasked none is
        store.add(3, REST, shape(3), CHAIN)
        assert store.held == {}


def test_once_finished_the_folder_of_shapes_is_gone_and_rows_without_any_too(tmp_path: Path) -> None:
    with Kept(tmp_path / "rows", {}) as store:
        store.add(3, REST, shape(3), CHAIN)
        (tmp_path / "rows.shapes" / "9.shape.part").touch()  # what a power cut leaves
        store.finish()
        assert not (tmp_path / "rows.shapes").exists()
    assert (tmp_path / "rows").exists()
    with Kept(tmp_path / "none", {}):
        pass
    assert not (tmp_path / "none").exists()


def test_a_folder_that_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "rows.shapes").write_text("mine")
    with Kept(tmp_path / "rows", {}) as store, pytest.raises(InputError, match=r"a folder that can be written") as why:
        store.add(3, REST, shape(3), CHAIN)
    assert str(why.value).startswith(f"{tmp_path / 'rows.shapes'}: given '")
    assert "\n" not in str(why.value)
    assert (tmp_path / "rows.shapes").read_text() == "mine"
