"""How much memory a picture may take where the system tells it, and where it doesn't."""

from __future__ import annotations

import os
from math import inf
from pathlib import Path

import pytest

from fabricsim.render.basics import memory

TOLD = "MemTotal:       4000000 kB\nMemFree:         500000 kB\nMemAvailable:   1234567 kB\n"


def test_what_is_free_is_what_the_system_says_or_half_of_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told = tmp_path / "meminfo"
    monkeypatch.setattr(memory, "Path", lambda name: told)
    monkeypatch.setattr(memory, "memory_left", lambda: inf)
    told.write_text(TOLD)
    assert memory.free_memory() == 1024 * 1_234_567
    told.unlink()
    monkeypatch.setattr(os, "sysconf", {"SC_PAGE_SIZE": 4096, "SC_PHYS_PAGES": 1_000_001}.__getitem__)
    assert memory.free_memory() == 2048 * 1_000_001
    monkeypatch.delattr(os, "sysconf")  # as on Windows
    assert memory.free_memory() == 2 << 30
