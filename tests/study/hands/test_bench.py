"""Pieces from the bench, from made-up rests: from where each is let go, and what is found only once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.fabric.setup import Fabric, set_up
from fabricsim.mechanics.assemble import State
from fabricsim.study.hands import bench as benches
from fabricsim.study.hands.bench import OF_A_PIECE, Bench, at_rest, rest_of_first
from fabricsim.study.hands.hand import typical
from fabricsim.study.hands.knitting import in_hand
from fabricsim.study.hands.prior import Hands
from tests.support.scenes import scene_of


@dataclass(frozen=True)
class Lying:
    """A made-up rest, and how it came about."""

    mesh: Any
    x_nc: Any
    period_a: Any
    patience: Any = None
    told: Any = None


@pytest.fixture
def gone(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Fabric, Any, Any, Any]]:
    """What is let go: the fabric, from where, whom it tells, and with what patience."""
    every: list[tuple[Fabric, Any, Any, Any]] = []

    def come_to_rest(fabric: Fabric, start: Any, progress: Any = None, patience: Any = None) -> Any:
        every.append((fabric, start, progress, patience))
        return SimpleNamespace(number=len(every))

    monkeypatch.setattr(benches, "come_to_rest", come_to_rest)
    monkeypatch.setattr(benches, "_first", {})
    return every


@pytest.mark.parametrize("case", ["repeat", "swatch"])
def test_a_piece_is_let_go_from_another_drawn_out_to_its_own_gauge(case: Any, gone: list[Any]) -> None:
    plain = set_up(scene_of(["#.....", "......"]), case)
    x_nc = plain.mesh.rest_nc + np.array([0.0, 0.0, 0.001])
    wide = plain.with_stitches_scaled(1.25)
    at_rest(wide, Lying(plain.mesh, x_nc, plain.mesh.period_a), print)  # type: ignore[arg-type]
    ((fabric, start, told, patience),) = gone
    assert fabric is wide
    assert told is print
    assert patience is OF_A_PIECE
    np.testing.assert_allclose(start.x_nc, 1.25 * x_nc, rtol=1e-12)
    if case == "swatch":
        assert start.period_a is None
    else:
        np.testing.assert_allclose(start.period_a, 1.25 * np.asarray(plain.mesh.period_a), rtol=1e-12)


def bench_of(seed: int = 0, bend: float = 1.0, lifted: float = 0.0) -> Bench:
    plain = set_up(scene_of(["#.....", "......"]), "repeat")
    plain = plain.with_stiffness(plain.stiffness.bent(bend))
    hands, first = Hands(), typical(plain, seed)
    knitted = in_hand(plain, first, hands)
    x_nc = plain.mesh.rest_nc + np.array([0.0, 0.0, lifted])
    rest = SimpleNamespace(mesh=knitted.mesh, x_nc=x_nc, state=State(x_nc, plain.mesh.period_a))
    return Bench.of(plain, hands, first, rest)  # type: ignore[arg-type]


def test_the_first_piece_is_found_once_for_each_bench(gone: list[Any]) -> None:
    one, other = bench_of(), bench_of(lifted=0.001)
    first = rest_of_first(one)
    assert rest_of_first(one) is first
    assert rest_of_first(replace(one)) is first  # as it comes to another process: by its key
    ((fabric, start, _, patience),) = gone
    assert start is one.state
    assert patience is None  # it was found with all patience before
    np.testing.assert_array_equal(
        fabric.mesh.floats.length_f, in_hand(one.fabric, one.first, one.hands).mesh.floats.length_f
    )
    assert rest_of_first(other) is not first
    rest_of_first(one)
    assert len(gone) == 3  # only that of the last bench is kept


def test_the_key_of_a_bench_is_that_of_no_other() -> None:
    keys = [bench_of().key, bench_of(seed=1).key, bench_of(bend=1.5).key, bench_of(lifted=1e-9).key]
    assert len(set(keys)) == 4
    assert bench_of().key == keys[0]


def test_of_one_piece_of_many_less_patience_is_had() -> None:
    assert OF_A_PIECE.ramps == (1,)
    assert 40 < OF_A_PIECE.steps < 200
