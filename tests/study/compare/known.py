"""Settings of comparisons that several tests bring to rest are solved once."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fabricsim.design.scene.read import scene_hash
from fabricsim.study.compare import chains

SOLVED: dict[tuple[object, ...], chains.Settled] = {}
"""What was solved, by all that it depends on."""


def solve_each_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a job that any test of this process solved be known: another shape to start from, to the last bit, is
    another job."""
    solve = chains.solve

    def known(job: chains.Job) -> chains.Settled:
        start = [] if job.start is None else [job.start.x_nc.tobytes()]
        if job.start is not None and job.start.period_a is not None:
            start.append(job.start.period_a.tobytes())
        key = (scene_hash(job.scene), replace(job, scene=None, start=None), *start)  # type: ignore[arg-type]
        if key not in SOLVED:
            SOLVED[key] = solve(job)
        return SOLVED[key]

    monkeypatch.setattr(chains, "solve", known)
