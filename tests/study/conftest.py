"""Processes that tests of studies begin."""

from __future__ import annotations

import pytest

from fabricsim.study import fork_server


@pytest.fixture
def already_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have processes forked of one that has loaded what studies need, as commands have them; it is begun once for all
    tests that ask for this, and nobody else's processes are forked of it."""
    monkeypatch.setattr(fork_server, "_begun", [])
    studies = ("change.changing", "motifs.mapping", "vary.variation")
    fork_server.begin_loading(*(f"fabricsim.study.{name}" for name in studies))
