"""The floats and carry-ups of what a scene knits: the whole piece, its repeat, its chart."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from fabricsim.design.catches.plan import Held, held_in_piece, held_in_repeat
from fabricsim.design.floats.carry_ups import CarryUp, find_carry_ups
from fabricsim.design.floats.found import Closing, Float, find_floats

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from fabricsim.design.rows.squares import Hold
    from fabricsim.design.scene.model import Scene


def floats(
    scene: Scene, *, slack: float | None = None, closing: Closing | None = None, farthest: int | None = None
) -> tuple[Float, ...]:
    """Return the floats of the whole piece as it is worked, with the scene's slack or this ``slack`` for all.

    ``closing`` and ``farthest`` are those of ``find_floats``; left out, the one is ``spiral`` in the round and
    ``edges`` flat. As it is worked, a steek is part of the rows; with a ``closing`` it is cut open and folded back.
    """
    beside = scene.beside if closing is None else (0, 0)
    found = find_floats(
        scene.knitted_rows() if closing is None else scene.piece_rows(),
        closing=closing or ("spiral" if scene.worked == "round" else "edges"),
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns if slack is None else [slack] * len(scene.yarns),
        catches=beside_steek(held_in_piece(scene), beside),
        repeat=scene.stitches_per_repeat,
        farthest=farthest,
        from_below=scene.strands_from_below,
        beside=beside,
    )
    return found if slack is not None else in_bands(scene, found, scene.chart_row_of)


def in_bands(scene: Scene, found: tuple[Float, ...], row_of: Callable[[int], int | None]) -> tuple[Float, ...]:
    """Return floats as much looser as the bands of the ``scene`` say; ``row_of``: the row of the chart, from 0, that a
    row of theirs shows, None for a plain one."""
    if not scene.bands:
        return found
    bands = [scene.band_of(row_of(one.row)) for one in found]
    return tuple(
        one if band is None else replace(one, slack=one.slack + band.looser)
        for one, band in zip(found, bands, strict=True)
    )


def beside_steek(held: Held, beside: tuple[int, int]) -> Held:
    """Return catches of a piece in its rows as knitted, with so many stitches of a steek at the right and the left."""
    left = beside[1]
    return {(row, column + left): yarns for (row, column), yarns in held.items()} if left else held


def floats_of_repeat(scene: Scene, *, slack: float | None = None) -> tuple[Float, ...]:
    """Return the floats of the chart alone, each row closing on itself, as in the endless repeat."""
    found = find_floats(
        scene.chart_rows(),
        closing="row",
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns if slack is None else [slack] * len(scene.yarns),
        catches=held_in_repeat(scene),
        from_below=scene.strands_from_below,
    )
    return found if slack is not None else in_bands(scene, found, lambda row: row)


def floats_of_chart(scene: Scene, holds: Collection[Hold] | None = None) -> tuple[Float, ...]:
    """Return the floats of one repeat of the chart as it lies in its piece.

    Repeated across, each row closes on itself, and the joins of rounds are left out; else they are those of the piece,
    from edge to edge or round after round, from the row below on (row -1) to the one above. ``holds``: catches in place
    of those of the ``scene``.
    """
    chart, yarn_ij, held = scene.chart, scene.chart_rows(), held_in_repeat(scene, holds)
    if chart.across > 1 or scene.worked == "flat":
        return find_floats(
            yarn_ij,
            closing="row" if chart.across > 1 else "edges",
            stitch_width=scene.gauge.stitch_width,
            slack_by_yarn=scene.slack_of_yarns,
            catches=held,
            from_below=scene.strands_from_below,
        )
    if scene.steek is not None:
        return _of_chart_by_steek(scene, held)
    piece_ij, below, rows = scene.piece_rows(), min(chart.plain_below, 1), len(yarn_ij)
    first = chart.plain_below - below
    found = find_floats(
        piece_ij[first : chart.plain_below + rows + 1],
        closing="spiral",
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns,
        from_below=scene.strands_from_below,
        catches={
            (row + below + above, column): yarns for (row, column), yarns in held.items()
            for above in ((0, rows) if chart.up > 1 and row == 0 else (0,))
        },
    )  # fmt: skip
    return tuple(replace(one, row=one.row - below) for one in found if one.row - below < rows)


def _of_chart_by_steek(scene: Scene, held: Held) -> tuple[Float, ...]:
    """Return the floats of a chart drawn once round, beside its steek: each as far as the chart goes."""
    (_, left), wide, yarn_ij = scene.beside, scene.stitches_per_repeat, scene.chart_rows()
    found = find_floats(
        scene.with_steek(yarn_ij, scene.chart.plain_below),
        closing="spiral",
        stitch_width=scene.gauge.stitch_width,
        slack_by_yarn=scene.slack_of_yarns,
        catches=beside_steek(held, scene.beside),
        from_below=scene.strands_from_below,
        beside=scene.beside,
    )
    made = []
    for one in found:
        if one.kind == "steek":
            continue
        start = min(one.start - left, wide)  # from the steek: as if from the stitch beside the chart
        gap = one.counted_gap
        span = (gap + 1) * scene.gauge.stitch_width
        made.append(replace(one, start=start, gap=gap, span=span, stitches=wide, in_steek=0))
    return tuple(made)


def carry_ups(scene: Scene) -> tuple[CarryUp, ...]:
    """Return the carry-ups of the whole piece as it is worked."""
    return find_carry_ups(
        scene.knitted_rows(),
        row_height=scene.gauge.row_height,
        stitch_width=scene.gauge.stitch_width,
        in_the_round=scene.worked == "round",
        limits=scene.limits,
    )
