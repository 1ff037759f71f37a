"""The picture of ``vary``: its numbers in the units and words of a knitter."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from fabricsim.cli.commands.vary.data import OUTPUT_WORDS
from fabricsim.cli.commands.vary.words import input_words
from fabricsim.cli.words.counts import count
from fabricsim.lengths import fine_per_unit, fine_unit
from fabricsim.study.vary.pieces import Outcome
from fabricsim.study.vary.variation import Variation


def picture_of(found: Variation, suffix: str) -> bytes:
    """Return a file that ends in ``suffix``: how far the pieces differ, and in bars what brings that in, if asked."""
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.plots.variation import Spreading, VarianceShares, variation_figure

    outcomes, written, shares = found.outcomes, found.even.outcome, found.shares
    assert written is not None  # every float alike comes to rest where uneven ones do
    shown: dict[str, Callable[[Outcome], float]] = {
        "narrower, per cent": lambda one: 100.0 * one.lost,
        f"pucker, {fine_unit()}": lambda one: one.pucker / fine_per_unit(),
    }
    spreadings = [
        Spreading(label, np.array([of(one) for one in outcomes]), of(written), found.of(of).quantiles)
        for label, of in shown.items()
    ]
    bars = None
    if shares is not None:
        words = input_words(found.fabric.scene)
        bars = VarianceShares(
            [words[name] for name in shares.inputs],
            [OUTPUT_WORDS[name] for name in shares.outputs],
            100.0 * shares.alone,
            100.0 * shares.alone_error,
        )
    title = f"{found.fabric.scene.title}: {count(len(outcomes), 'piece')}"
    return figures_as(suffix, [variation_figure(spreadings, bars, title)], title)[0]
