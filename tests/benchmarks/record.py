"""One record of the benchmark: a piece of work timed, with its answer and its peak memory beside the seconds."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from fabricsim.fabric.equilibrium import Equilibrium
from tests.benchmarks.memory import Watch

Result = TypeVar("Result")


def record(
    benchmark: Any, work: str, by: str, size: int, run: Callable[[], Result], *, rounds: int = 1, warmup: int = 0
) -> Result:
    """Return what ``run`` gives, timed ``rounds`` times after ``warmup`` untimed ones.

    ``work``, ``by`` (who did it) and ``size`` (its stitches) name the record in the table and in the ratios.
    """
    watch = Watch()
    result: Result = benchmark.pedantic(run, rounds=rounds, warmup_rounds=warmup)
    benchmark.extra_info.update(work=work, by=by, size=size, **watch.read())
    return result


def record_rest(
    benchmark: Any, work: str, size: int, run: Callable[[], Equilibrium], *, rounds: int = 1, warmup: int = 0
) -> Equilibrium:
    """Return the equilibrium that ``run`` finds, recorded with what it took; it must be at rest."""
    rest = record(benchmark, work, "fabricsim", size, run, rounds=rounds, warmup=warmup)
    effort = rest.effort
    benchmark.extra_info.update(
        steps=effort.steps,
        factorisations=effort.factorisations,
        status=effort.status.name,
        residual=effort.residual,
    )
    assert effort.status.at_rest
    return rest
