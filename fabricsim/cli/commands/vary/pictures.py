"""The picture of ``vary``: its numbers in the units and words of a knitter."""

from __future__ import annotations

import numpy as np

from fabricsim.cli.commands.vary.data import OUTPUT_WORDS
from fabricsim.cli.commands.vary.words import input_words
from fabricsim.cli.words.counts import count
from fabricsim.lengths import fine_per_unit, fine_unit
from fabricsim.study.vary.variation import Variation


def picture_of(found: Variation, suffix: str) -> bytes:
    """Return a file that ends in ``suffix``: how far the pieces differ, and in bars what brings that in, if asked."""
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.plots.variation import Spreading, VarianceShares, variation_figure

    outcomes, written, shares = found.outcomes, found.even.outcome, found.shares
    assert written is not None  # every float alike comes to rest where uneven ones do
    spreadings = [
        Spreading("narrower, per cent", np.array([100.0 * one.lost for one in outcomes]), 100.0 * written.lost),
        Spreading(
            f"pucker, {fine_unit()}",
            np.array([one.pucker / fine_per_unit() for one in outcomes]),
            written.pucker / fine_per_unit(),
        ),
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
