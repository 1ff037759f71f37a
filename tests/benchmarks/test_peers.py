"""The program and its peers on the same two nets, to the same residual, from the same start."""

from __future__ import annotations

from typing import Any

import pytest

from tests.benchmarks.nets import NETS
from tests.benchmarks.peer_record import record_peer
from tests.benchmarks.peers import by_fabricsim, by_lbfgs, by_mujoco

each_net = pytest.mark.parametrize("name", NETS)


@each_net
@pytest.mark.parametrize("size", [30, 60, 100])
def test_fabricsim(benchmark: Any, name: str, size: int) -> None:
    record_peer(benchmark, "fabricsim", by_fabricsim, name, size)


@each_net
@pytest.mark.parametrize("size", [30, 60, 100])
def test_lbfgs(benchmark: Any, name: str, size: int) -> None:
    record_peer(benchmark, "L-BFGS-B", by_lbfgs, name, size, slow=True)


@each_net
@pytest.mark.parametrize("size", [30, 60])
def test_mujoco(benchmark: Any, name: str, size: int) -> None:
    record_peer(benchmark, "MuJoCo", by_mujoco, name, size, slow=True)
