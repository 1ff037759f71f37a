"""CasADi and Ipopt on the same two nets: the peer to beat. Left out where CasADi is not installed."""

from __future__ import annotations

from typing import Any

import pytest

from tests.benchmarks.nets import NETS
from tests.benchmarks.peer_record import record_peer

pytest.importorskip("casadi")


@pytest.mark.parametrize("name", NETS)
@pytest.mark.parametrize("size", [30, 60, 100])
def test_casadi(benchmark: Any, name: str, size: int) -> None:
    from tests.benchmarks.casadi_peer import by_casadi

    record_peer(benchmark, "CasADi + Ipopt", by_casadi, name, size)
