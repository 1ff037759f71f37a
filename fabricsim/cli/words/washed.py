"""What washing and blocking do to a piece, in words and to programs."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np

from fabricsim.arrays import Mask
from fabricsim.cli.words.counts import count, listed
from fabricsim.cli.words.fabric import row_said
from fabricsim.cli.words.shares import SAID, percent
from fabricsim.lengths import long, long_number
from fabricsim.study.washed.blocking import ALL, NOTHING, Blocked
from fabricsim.study.washed.washing import PLAIN_MOVES, STRANDED_GAINED, Washed
from fabricsim.units import CENTINEWTON, CM

CRUMPLED = 0.1
"""Share by which a piece must be lower than its plain fabric tells for it to have folded (chosen: far more than floats
that pull across make of it)."""
CRUMPLES = ". So tight it folds up where nothing holds it: lay it flat to dry, and go by what it can follow"
OVER_WORDS = {"board": "", "head": " over a head", "hand": " over a mitten board"}
MOST_NAMED = 3
"""Rows that are named at most (chosen)."""


def no_single_rest(width: float) -> str:
    """Return what is to be known of the width at rest of any knitting, here forecast to be so much (m)."""
    low, high = (width * (1.0 + sign * PLAIN_MOVES) for sign in (-1.0, 1.0))
    return (
        "Knitted fabric has no single width at rest: its loops rub, and keep some of how they were last pulled. Plain "
        f"swatches moved by up to {percent(PLAIN_MOVES)} either way by wetting and drying alone, which here would be "
        f"{long_number(low)} to {long(high)}; what is forecast lies amid that."
    )


def rest_band(width: float) -> dict[str, Any]:
    """Return the same to programs."""
    return {
        "percent": 100.0 * PLAIN_MOVES,
        "low_cm": width * (1.0 - PLAIN_MOVES) / CM,
        "high_cm": width * (1.0 + PLAIN_MOVES) / CM,
    }


def washed_figures(found: Washed, unit: str) -> list[tuple[str, str]]:
    """Return the labelled lines that tell how a piece comes out of the wash, and of its pins; ``unit``: what it calls a
    row."""
    before, after = found.before.widths.width, found.measured.widths.width
    floats = len(found.after.mesh.floats)
    lines = [
        (
            "Washed",
            f"plain fabric comes out {_both(found.wider, found.taller)}; this {_both(found.follows, found.follows_up)}"
            f", {long(before)} to {long(after)}"
            + (f", {found.measured.pull.taut:,} of {floats:,} floats taut then" if floats else "")
            + (CRUMPLES if found.follows_up < found.taller - CRUMPLED else ""),
        )
    ]
    if floats:
        lines.append(("Follows", _follows(found, unit)))
    if found.blocked is not None:
        lines.append(("Blocked", _blocked(found, found.blocked, unit)))
    return lines


def _follows(found: Washed, unit: str) -> str:
    """Return how far it can follow plain fabric, and what holds it back."""
    way = found.following
    if way.all_the_way:
        return f"laid flat it can follow plain fabric all the way, to {long(way.plain)}: every float is long enough"
    loss_i = np.round(1.0 - way.widest_i / way.plain_i, 6)
    order = [int(row) for row in np.argsort(-loss_i, kind="stable")[:MOST_NAMED] if loss_i[row] >= SAID]
    said = (
        f"laid flat it can follow plain fabric to {long(way.width)} of {long(way.plain)}; {way.short_f.sum():,} floats "
        "hold it back"
    )
    if order and np.ptp(way.widest_i / way.plain_i) >= SAID:
        names = [row_said(found.after.scene, found.after.mesh, row) for row in order]
        rows = listed([name.removeprefix(f"{unit} ") for name in names])
        most = f"{unit}{'s' if len(order) > 1 else ''} {rows}"
        said += f", most in {most} ({percent(float(loss_i[order[0]]), 1)} narrower there)"
    which = _which(found, way.short_f)
    return f"{said}; {which}" if which else said


def _which(found: Washed, of_f: Mask) -> str:
    """Return which floats those are, in a few words: how long most of them are and of what yarn."""
    table, yarns = found.after.mesh.floats, found.after.scene.yarns
    kinds = Counter(zip(table.gap_f[of_f].tolist(), table.yarn_f[of_f].tolist(), strict=True))
    (gap, yarn), many = min(kinds.items(), key=lambda one: (-one[1], one[0]))
    those = "all" if many == of_f.sum() else f"{many:,} of them"
    return f"{those} are of {yarns[yarn].name}, behind {count(gap, 'stitch')}"


def _blocked(found: Washed, block: Blocked, unit: str) -> str:
    """Return how it lies on its pins, and once they are out."""
    own, springs = found.measured.widths.width, found.springs
    at = f"pinned to {long(block.pinned)}{OVER_WORDS[block.over]}"
    if block.why_not:
        return f"{at} it found no rest, so far is it pulled: {block.why_not}"
    if block.rest is None:
        return f"{at}, no wider than it lies: nothing pulls on it"
    assert springs is not None
    low, high = springs
    said = f"{at} it is {_both(high / own - 1.0, block.taller)} than it lies"
    if np.ptp(block.width_i) >= SAID * own:
        said += (
            f", {long_number(float(block.width_i.min()))} to {long(float(block.width_i.max()))} from {unit} to {unit}"
        )
    hardest = block.hardest
    if hardest is not None:
        mesh = block.rest.mesh
        row = row_said(block.rest.scene, mesh, int(mesh.row_n[mesh.floats.node_f2[hardest, 0]]))
        pull = float(block.rest.tension_f[hardest]) / CENTINEWTON
        said += (
            f"; {int(block.taut_f.sum()):,} of {len(block.taut_f):,} floats are taut there, the hardest in {row} pulls "
            f"with {pull:.1f} cN"
        )
    said += f". Once the pins are out it is {long_number(low)} (springs back whole) to {long(high)} wide (keeps all)"
    if high / own - 1.0 > STRANDED_GAINED:
        said += f"; the most reported to have stayed in stranded work is {percent(STRANDED_GAINED, 1)}"
    if found.half is not None and high > found.half:
        said += "; so wide most floats are straight, and loops or ends give way first: pin it less wide"
    return said


def _both(wider: float, taller: float) -> str:
    """Return how much wider and taller something is: ``5.6 % wider and 1.9 % shorter``."""
    return f"{_change(wider, 'wider', 'narrower')} and {_change(taller, 'taller', 'shorter')}"


def _change(share: float, more: str, less: str) -> str:
    if abs(share) < SAID:
        return f"no {more}"
    return f"{percent(abs(share), 1)} {more if share > 0.0 else less}"


def washed_for_programs(found: Washed) -> dict[str, Any]:
    """Return all of it for JSON, units in the keys."""
    springs, way, block = found.springs, found.following, found.blocked
    table, taut_f = found.after.mesh.floats, found.measured.pull.taut_f
    row_f = found.after.mesh.row_n[table.node_f2[:, 0]]
    rows = range(len(way.plain_i))
    low_i, high_i = (None, None) if block is None else block.springs(found.measured.widths.width_i)
    return {
        "plain_wider_percent": 100.0 * found.wider,
        "plain_taller_percent": 100.0 * found.taller,
        "width_before_cm": found.before.widths.width / CM,
        "width_cm": found.measured.widths.width / CM,
        "wider_percent": 100.0 * found.follows,
        "taller_percent": 100.0 * found.follows_up,
        "draw_in_percent": 100.0 * found.measured.widths.overall,
        "floats_taut": found.measured.pull.taut,
        "plain_width_cm": way.plain / CM,
        "follows_to_cm": way.width / CM,
        "first_floats_straight_at_cm": None if found.first is None else found.first / CM,
        "half_the_floats_straight_at_cm": None if found.half is None else found.half / CM,
        "pinned_to_cm": None if block is None else block.pinned / CM,
        "over": None if block is None else block.over,
        "pinned_cm": None if found.pinned is None else found.pinned / CM,
        "pinned_taller_percent": None if block is None else 100.0 * block.taller,
        "pinned_floats_taut": None if block is None else int(block.taut_f.sum()),
        "pinned_no_rest_because": None if block is None else block.why_not or None,
        "unpinned_low_cm": None if springs is None else springs[0] / CM,
        "unpinned_high_cm": None if springs is None else springs[1] / CM,
        "unpinned_low_owner": NOTHING,
        "unpinned_high_owner": ALL,
        "most_reported_to_have_stayed_percent": 100.0 * STRANDED_GAINED,
        "rows_from_the_bottom": [
            {
                "row": row + 1,
                "plain_cm": float(way.plain_i[row]) / CM,
                "width_cm": float(found.measured.widths.width_i[row]) / CM,
                "follows_to_cm": float(way.widest_i[row]) / CM,
                "floats_that_hold_it_back": int(way.short_f[row_f == row].sum()),
                "floats_taut": int(taut_f[row_f == row].sum()),
                **(
                    {}
                    if block is None or low_i is None or high_i is None
                    else {
                        "pinned_cm": float(block.width_i[row]) / CM,
                        "unpinned_low_cm": float(low_i[row]) / CM,
                        "unpinned_high_cm": float(high_i[row]) / CM,
                    }
                ),
            }
            for row in rows
        ],
    }
