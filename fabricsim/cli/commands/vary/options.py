"""What may be asked of ``vary``, checked before a single piece is knitted."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fabricsim.cli.shell.cluster import check_cluster
from fabricsim.cli.shell.options import Load
from fabricsim.cli.shell.outputs import said_of, suffix_of
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import MOST_SHORT_MM, MOST_UNEVEN
from fabricsim.design.scene.stitch_size import check_short
from fabricsim.errors import InputError
from fabricsim.units import MM, PER_CENT

if TYPE_CHECKING:
    from fabricsim.study.hands.prior import Hands
    from fabricsim.study.vary.variation import Sampling

MOST_RUNS = 100_000
"""More pieces than anyone waits for (chosen)."""
USUAL_RUNS, USUAL_ERROR = 400, 0.2
"""Pieces at most, and per cent of the width to which its mean is to be known (chosen: a tenth of what hands differ by,
which most scenes reach in about 100 pieces)."""
USUAL_PAIRS, MOST_PAIRS = 32, 4096
"""Pairs of hands behind the shares (chosen: the greatest comes out to a few per cent)."""
WIDEST = 100.0 * MOST_UNEVEN
"""Per cent: a hand that varies by more knits no fabric."""
PLOTS = (".png", ".pdf", ".svg")
MOST_SEED = 2**63 - 1
"""The greatest whole number that a file of pieces keeps exactly (derived)."""


@dataclass(frozen=True)
class SpreadOptions:
    """How far hands vary, per cent, up to how many times stiffer or softer fabric is, and by how many mm floats fall
    short; None for what is usual.

    Raises ``InputError`` for what no hands do, and where nothing varies.
    """

    floats: float | None = None
    rows: float | None = None
    mean: float | None = None
    gauge: float | None = None
    stiffness: float | None = None
    short_mm: float | None = None

    def __post_init__(self) -> None:
        _check("--float-spread", self.floats, 0, WIDEST, "per cent")
        _check("--row-spread", self.rows, 0, WIDEST, "per cent")
        _check("--mean-spread", self.mean, 0, WIDEST, "per cent")
        _check("--gauge-spread", self.gauge, 0, WIDEST, "per cent")
        _check("--stiffness-factor", self.stiffness, 1, 10, "times")
        _check("--short", self.short_mm, 0, MOST_SHORT_MM, "mm")
        if (self.floats, self.rows, self.mean, self.gauge, self.stiffness) == (0, 0, 0, 0, 1):
            raise InputError("--float-spread", "nothing that varies", "one spread above 0", "let something vary")

    def hands(self, scene: Scene, load: Load) -> Hands:
        """Return what is known of the hands that knit ``scene``, where nothing else was asked for.

        Raises ``InputError`` for floats that fall short by more than a stitch of ``scene``.
        """
        from dataclasses import replace

        from fabricsim.study.hands.prior import APART, ROWS_SHARE, hands_of

        known = hands_of(scene, other_slack=load.slack is not None)
        given = {"floats": self.floats, "rows": self.rows, "slack": self.mean, "gauge": self.gauge}
        shares: dict[str, Any] = {name: value * PER_CENT for name, value in given.items() if value is not None}
        if "floats" in shares and "rows" not in shares:
            shares["rows"] = ROWS_SHARE * shares["floats"]
        more: dict[str, Any] = {}
        if self.floats is not None:
            more["unevenness_log"] = 0.0
        if self.stiffness is not None:
            more |= {"factor": self.stiffness, "bending_factor": None}
        if self.short_mm is not None:
            check_short(scene.gauge, self.short_mm, "--short")
            more |= {"short": self.short_mm * MM, "short_spread": 0.0}
        if self.mean is not None:
            more["goes_with"] = APART
        return replace(known, **shares, **more)


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
        if not 0 <= self.seed <= MOST_SEED:
            raise InputError("--seed", str(self.seed), f"any whole number from 0 to {MOST_SEED}", "change the number")
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

        hands = self.spreads.hands(scene, self.load)
        return Sampling(self.runs, self.error * PER_CENT, self.seed, hands, self.pairs)


def check_floats(scene: Scene, load: Load) -> None:
    """Raise ``InputError`` for a scene in which there is nothing to carry."""
    from fabricsim.design.floats.of_scene import floats, floats_of_repeat

    found = floats_of_repeat(scene) if load.case == "repeat" else floats(scene)
    if not found:
        raise InputError(
            scene.where("chart"), "no floats", "a chart with two colours in a row", "nothing varies without floats"
        )


def _check(option: str, given: float | None, least: float, most: float, unit: str) -> None:
    if given is not None and not (isfinite(given) and least <= given <= most):
        raise InputError(option, f"{given:g}", f"{least:g} to {most:,g} {unit}", "change the number")
