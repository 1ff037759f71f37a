"""What containers may use: made-up files of the system, of both versions, laid out as Linux lays them out."""

from __future__ import annotations

import os
from math import inf
from pathlib import Path

import pytest

from fabricsim import cores
from fabricsim.cgroups import memory_left, processors_allowed
from fabricsim.render.basics import memory

TWO = "31 23 0:28 / /sys/fs/cgroup rw,nosuid - cgroup2 cgroup2 rw,nsdelegate\n"
ONE = (
    "32 31 0:29 {outermost} /sys/fs/cgroup/cpu,cpuacct rw - cgroup cgroup rw,cpu,cpuacct\n"
    "35 31 0:32 {outermost} /sys/fs/cgroup/memory rw - cgroup cgroup rw,memory\n"
)


def machine(folder: Path, groups: str, mounts: str, files: dict[str, str]) -> Path:
    """Return the root of a made-up system."""
    told = {"proc/self/cgroup": groups, "proc/self/mountinfo": "24 1 0:22 / / rw - ext4 /dev/vda1 rw\n" + mounts}
    for name, text in {**told, **{f"sys/fs/cgroup/{name}": text for name, text in files.items()}}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="ascii")
    return folder


def test_the_least_of_all_groups_around_the_process_counts(tmp_path: Path) -> None:
    files = {
        "cpu.max": "max 100000\n",
        "user/cpu.max": "150000 100000\n",
        "user/job/cpu.max": "400000 100000\n",
        "other/cpu.max": "1000 100000\n",
        "user/memory.max": "1000000\n",
        "user/memory.current": "700000\n",
        "user/memory.stat": "anon 600000\ninactive_file 90000\nactive_file 10000\n",
        "user/job/memory.max": "max\n",
        "user/job/memory.current": "500000\n",
    }
    system = machine(tmp_path, "0::/user/job\n", TWO, files)
    assert processors_allowed(system) == 1.5
    assert memory_left(system) == 390_000


def test_in_a_container_that_sees_only_itself(tmp_path: Path) -> None:
    system = machine(tmp_path, "0::/\n", TWO, {"cpu.max": "50000 100000", "memory.max": "64", "memory.current": "99"})
    assert processors_allowed(system) == 0.5
    assert memory_left(system) == 0


@pytest.mark.parametrize("outermost", ["/", "/box"])
def test_version_1_with_the_group_inside_the_mount_or_mounted_itself(tmp_path: Path, outermost: str) -> None:
    inside = "box/" if outermost == "/" else ""
    files = {
        f"cpu,cpuacct/{inside}cpu.cfs_quota_us": "250000\n",
        f"cpu,cpuacct/{inside}cpu.cfs_period_us": "100000\n",
        f"memory/{inside}memory.limit_in_bytes": "5000\n",
        f"memory/{inside}memory.usage_in_bytes": "3000\n",
        f"memory/{inside}memory.stat": "inactive_file 1\ntotal_inactive_file 200\n",
    }
    system = machine(tmp_path, "4:memory:/box\n2:cpu,cpuacct:/box\n0::/\n", ONE.format(outermost=outermost), files)
    assert processors_allowed(system) == 2.5
    assert memory_left(system) == 2_200


@pytest.mark.parametrize(
    ("groups", "mounts", "files"),
    [
        ("0::/\n", TWO, {"cpu.max": "max 100000\n", "memory.max": "max\n", "memory.current": "5\n"}),
        ("2:cpu,cpuacct:/\n", ONE.format(outermost="/"), {"cpu,cpuacct/cpu.cfs_quota_us": "-1\n"}),
        ("0::/\n", TWO, {"cpu.max": "nonsense\n", "memory.max": "\n"}),
        ("", "", {}),
    ],
)
def test_where_nothing_is_limited(tmp_path: Path, groups: str, mounts: str, files: dict[str, str]) -> None:
    system = machine(tmp_path, groups, mounts, files)
    assert processors_allowed(system) == memory_left(system) == inf
    assert processors_allowed(tmp_path / "no system") == memory_left(tmp_path / "no system") == inf


@pytest.mark.parametrize(("allowed", "used"), [(inf, 6), (2.5, 2), (0.5, 1), (64.0, 6)])
def test_as_many_whole_processors_as_both_let(monkeypatch: pytest.MonkeyPatch, allowed: float, used: int) -> None:
    monkeypatch.setattr(os, "sched_getaffinity", lambda process: set(range(6)), raising=False)
    monkeypatch.setattr(cores, "processors_allowed", lambda: allowed)
    assert cores.usable_cores() == used


def test_free_memory_is_what_is_left_to_the_container(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(memory, "memory_left", lambda: 12_345.0)
    assert memory.free_memory() == 12_345
    monkeypatch.setattr(memory, "memory_left", lambda: inf)
    assert memory.free_memory() > 1 << 24
