"""What may be asked of ``vary``, checked before a single piece is knitted."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from fabricsim.cli.shell.cluster import check_cluster
from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.outputs import said_of, suffix_of
from fabricsim.design.scene.model import Scene
from fabricsim.errors import InputError
from fabricsim.units import PER_CENT

if TYPE_CHECKING:
    from fabricsim.study.vary.hands import Spreads
    from fabricsim.study.vary.variation import Sampling

MOST_RUNS = 100_000
"""More pieces than anyone waits for (chosen)."""
USUAL_RUNS, USUAL_ERROR = 400, 0.2
"""Pieces at most, and per cent of the width to which its mean is to be known (chosen: a tenth of what hands differ by,
which most scenes reach in about 100 pieces)."""
USUAL_PAIRS, MOST_PAIRS = 32, 4096
"""Pairs of hands behind the shares (chosen: the greatest comes out to a few per cent)."""
WIDEST = 20.0
"""Per cent: a hand that varies by more knits no fabric (chosen)."""
PLOTS = (".png", ".pdf", ".svg")


@dataclass(frozen=True)
class SpreadOptions:
    """How far hands vary, per cent, and up to how many times stiffer or softer fabric is; None for what is usual.

    Raises ``InputError`` for what no hands do, and where nothing varies.
    """

    floats: float | None = None
    rows: float | None = None
    mean: float | None = None
    gauge: float | None = None
    stiffness: float | None = None

    def __post_init__(self) -> None:
        _check("--float-spread", self.floats, 0, WIDEST, "per cent")
        _check("--row-spread", self.rows, 0, WIDEST, "per cent")
        _check("--mean-spread", self.mean, 0, WIDEST, "per cent")
        _check("--gauge-spread", self.gauge, 0, WIDEST, "per cent")
        _check("--stiffness-factor", self.stiffness, 1, 10, "times")
        if (self.floats, self.rows, self.mean, self.gauge, self.stiffness) == (0, 0, 0, 0, 1):
            raise InputError("--float-spread", "nothing that varies", "one spread above 0", "let something vary")

    def spreads(self, scene: Scene, load: Load) -> Spreads:
        """Return the spreads; how far all slack may be off by the knitter's file, if that says it and nobody else."""
        from fabricsim.study.vary.hands import Spreads

        mean = _learnt_spread(scene, load) if self.mean is None else self.mean
        given = {"floats": self.floats, "rows": self.rows, "slack": mean, "gauge": self.gauge}
        shares = {name: value * PER_CENT for name, value in given.items() if value is not None}
        return Spreads(**shares, **({} if self.stiffness is None else {"factor": self.stiffness}))


@dataclass(frozen=True)
class VaryOptions:
    """How a piece is knitted many times over: at most ``runs`` times, until its mean draw-in is known to ``error`` (per
    cent of the width); ``pairs`` of hands behind the shares of what matters, or None for no shares.

    Raises ``InputError`` for what can't be done.
    """

    load: Load
    spreads: SpreadOptions
    runs: int = USUAL_RUNS
    error: float = USUAL_ERROR
    seed: int = 0
    pairs: int | None = None
    plots: Path | None = None
    out: Path | None = None
    processes: int | None = None
    cluster: str | None = None

    def __post_init__(self) -> None:
        _check("--runs", self.runs, 1, MOST_RUNS, "pieces")
        _check("--error", self.error, 1e-3, 10, "per cent")
        _check("--seed", self.seed, 0, 2**63, "of any number")
        _check("--processes", self.processes, 1, 1000, "processors")
        check_cluster(self.cluster)
        pairs = self.pairs
        if pairs is not None and not (2 <= pairs <= MOST_PAIRS and pairs & (pairs - 1) == 0):
            raise InputError("--share-pairs", str(pairs), f"2, 4, 8, 16 ... up to {MOST_PAIRS}", "take one of them")
        if self.plots is not None:
            with said_of("--plots"):
                suffix_of(self.plots, PLOTS)

    def asked(self, scene: Scene) -> Sampling:
        """Return the same for the study."""
        from fabricsim.study.vary.variation import Sampling

        spreads = self.spreads.spreads(scene, self.load)
        return Sampling(self.runs, self.error * PER_CENT, self.seed, spreads, self.pairs)


def check_floats(scene: Scene, load: Load) -> None:
    """Raise ``InputError`` for a scene in which there is nothing to carry."""
    from fabricsim.design.floats.found import floats, floats_of_repeat

    found = floats_of_repeat(scene) if load.case == "repeat" else floats(scene)
    if not found:
        raise InputError(
            scene.where("chart"), "no floats", "a chart with two colours in a row", "nothing varies without floats"
        )


def _learnt_spread(scene: Scene, load: Load) -> float | None:
    """Return how far the slack of all floats may be off, per cent, if a knitter's file says it; else None."""
    from fabricsim.study.calibrate.posterior import DEVIATIONS
    from fabricsim.study.forecast.doubt import Doubt, doubt_of

    doubt, usual = doubt_of(scene, other_slack=load.slack is not None), Doubt()
    if (doubt.tighter, doubt.looser) == (usual.tighter, usual.looser):
        return None
    return 0.5 * (doubt.looser - doubt.tighter) / DEVIATIONS / PER_CENT


def _check(option: str, given: float | None, least: float, most: float, unit: str) -> None:
    if given is not None and not (isfinite(given) and least <= given <= most):
        raise InputError(option, f"{given:g}", f"{least:g} to {most:,g} {unit}", "change the number")
