"""The fewest changes of a chart that meet what is wanted of it: an integer program proposes, each proposal is tried.

The program reckons with single changes that add up; what it proposes is brought to rest in full. One that misses is
ruled out and the next asked for: of as many changes the one that is reckoned to lose least comes first. Where enough of
one count have missed, a higher count is asked: few of a large chart, whose changes are told in the right order, a
hundred of a tiny one, whose rows lie so near each other that what one makes of the next counts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from statistics import mean, pstdev
from time import monotonic

from fabricsim.design.catches.integer_program import Rules, minimum
from fabricsim.design.catches.plan import listed_holds, with_catches
from fabricsim.design.counted.chart_in_text import printed_rows
from fabricsim.design.counted.edits import Edit, changed
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import floats
from fabricsim.design.rows.squares import Hold, Square
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.row_bands import RowBand
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.fabric.measures import widths
from fabricsim.study.change.charted import ChartAtRest, at_rest_as_charted
from fabricsim.study.change.moves import ChangeGround, Move, Window

AT_A_COUNT, FEWEST_AT_A_COUNT, STITCHES_AT_A_COUNT = 100, 4, 2400
"""Proposals of one count that are tried before a higher count is asked: at most, at least, and how many stitches those
of one count may have together (chosen: a second or two)."""
MOST_COUNT, MOST_SHARE = 16, 1 / 8
"""Count beyond which no change is proposed, or such a share of the stitches where that is more (chosen: a chart that
takes more is better drawn anew)."""
LEAST_TRIES = 24
"""Proposals that may be brought to rest for one answer, or twice those of one count (chosen: some seconds)."""
MARGIN = 0.15
"""Share of what is to be won back by which an estimate may miss before a proposal is not even tried (chosen)."""
SECONDS = 5.0
"""That the program may take for one proposal (chosen: most take hundredths)."""
NEAREST_TRIES = 6
"""Proposals that are tried only to tell how near an aim out of reach changes come (chosen)."""
SURE = 2.5
"""Standard deviations by which estimates of one count have to miss otherwise than they did for one to do that is not
even tried (chosen)."""
EASED = 4
"""Times that an aim out of reach is brought half the way nearer, to tell how far changes go (chosen)."""
SEEN = 0.5
"""What changes count on top for how much they are seen, all of a proposal together at the most: of as many changes
those between yarns of like lightness come first (chosen: less than one change)."""
HAIR = 1e-6
"""What a lost share of the width counts beside a change (chosen: it decides between equals alone)."""
AS_GOOD = 5e-5
"""Share of the width by which an aim may be missed: half of the last digit printed of it."""


@dataclass(frozen=True)
class Proposal:
    """Changes: of the chart (``edit``), catches (``holds``), and ``looser`` floats by so many per cent; what they
    ``count``; and what came of them in the chart as an endless fabric: the share ``lost``; floats ``over`` the limits
    in the whole piece. ``bands``: rows worked otherwise; then ``lost`` is that of the piece."""

    edit: Edit
    holds: tuple[Hold, ...]
    looser: int
    counts: int
    lost: float
    over: int
    bands: tuple[RowBand, ...] = ()

    @property
    def changes(self) -> tuple[Edit, tuple[Hold, ...], int]:
        """What is changed of the chart and of how it is carried, to know one from another by."""
        return self.edit, self.holds, self.looser


@dataclass(frozen=True)
class Wanted:
    """What is wanted of the chart as an endless fabric: at most this share ``lost``, or any; and with ``within`` no
    float over the limits."""

    lost: float | None = None
    within: bool = True

    def met(self, one: Proposal) -> bool:
        """Return whether a proposal meets all of it."""
        return (self.lost is None or one.lost <= self.lost + AS_GOOD) and not (self.within and one.over)


@dataclass(frozen=True)
class Searched:
    """The ``proposal`` that meets what is wanted, or None; then ``nearest``: of those tried the one that misses least;
    ``tried``: how many were brought to rest."""

    proposal: Proposal | None
    nearest: Proposal | None
    tried: int


def most_changes(ground: ChangeGround) -> int:
    """Return the count beyond which no change of a chart is proposed."""
    return max(MOST_COUNT, int(MOST_SHARE * len(ground.chart_ij) * len(ground.chart_ij[0])))


def changed_scene(scene: Scene, edit: Edit, holds: Sequence[Hold], looser: int, bands: Sequence[RowBand] = ()) -> Scene:
    """Return a bare ``scene`` with these changes. Raises InputError where they can't be made."""
    chart_ij = changed(tuple(tuple(row) for row in scene.chart_rows()), edit)
    rows = tuple(printed_rows(chart_ij, scene.symbols))
    other = scene
    if edit:
        chart = scene.chart.model_copy(update={"rows": rows, "file": None, "image": None})
        other = scene.model_copy(update={"chart": chart})
    if holds:
        other = with_catches(other, listed_holds(scene) | set(holds))
    if looser:
        other = other.model_copy(update={"floats": other.floats.model_copy(update=slack_keys(scene, looser))})
    if bands:
        other = other.model_copy(update={"bands": tuple(bands)})
    return other


def slack_keys(scene: Scene, looser: int) -> dict[str, object]:
    """Return the keys of ``floats`` that make all of them so many per cent looser: one slack, or one for each yarn
    where they differ."""
    slacks = [round(slack + 0.01 * looser, 6) for slack in scene.slack_of_yarns]
    if len(set(slacks)) == 1 and not scene.floats.slack_by_yarn:
        return {"slack": slacks[0]}
    return {"slack_by_yarn": dict(zip(scene.symbols, slacks, strict=True))}


def floats_over(scene: Scene) -> int:
    """Return how many floats of the whole piece pass the limits."""
    return len(faults(floats(scene), scene.limits))


def tried(scene: Scene, edit: Edit, holds: Sequence[Hold], looser: int, counts: int, start: ChartAtRest) -> Proposal:
    """Return changes brought to rest in full. Raises NoEquilibriumError, and InputError where they can't be made."""
    other = changed_scene(scene, edit, holds, looser)
    lost = widths(at_rest_as_charted(other, start.rest).rest).overall
    return Proposal(edit, tuple(holds), looser, counts, lost, floats_over(other))


def search(
    ground: ChangeGround,
    moves: Sequence[Move],
    wanted: Wanted,
    *,
    not_these: Sequence[Proposal] = (),
    tell: Callable[[str], None] = lambda said: None,
) -> Searched:
    """Return the fewest of the ``moves`` that give what is ``wanted``; none of them like one of ``not_these``."""
    base, aim = ground.looser[0], wanted.lost
    nearest: Proposal | None = None
    solved = eased = 0
    refused: list[frozenset[int]] = []
    known = {one.changes for one in not_these}
    least, at_count, errors = 0, 0, list[float]()
    highest = most_changes(ground)
    at_most = STITCHES_AT_A_COUNT // (len(ground.chart_ij) * len(ground.chart_ij[0]))
    at_most = min(max(at_most, FEWEST_AT_A_COUNT), AT_A_COUNT)
    while solved < (NEAREST_TRIES if eased else max(LEAST_TRIES, 2 * at_most)):
        chosen = _program(moves, ground.windows if wanted.within else frozenset(), refused, (least, highest), base, aim)
        if chosen is None:
            if solved or aim is None or eased == EASED:
                break
            eased, aim, least = eased + 1, 0.5 * (aim + base), 0  # out of reach: what comes nearest is to be told
            continue
        picked = [moves[number] for number in sorted(chosen)]
        counts = sum(one.counts for one in picked)
        refused.append(chosen)
        edit = tuple(sorted(pair for one in picked for pair in one.edit))
        holds = tuple(sorted(one.hold for one in picked if one.hold is not None))
        looser = sum(one.looser for one in picked)
        if (edit, holds, looser) in known:
            continue
        tell(f"tried {solved}")
        try:
            one = tried(ground.scene, edit, holds, looser, counts, ground.charted)
        except (NoEquilibriumError, InputError):
            continue
        solved += 1
        if wanted.met(one):
            return Searched(one, one, solved)
        if nearest is None or _missed(one, wanted) < _missed(nearest, wanted):
            nearest = one
        if counts != least:
            at_count, errors = 0, []
        at_count, least = at_count + 1, counts
        told = base + sum(each.lost for each in picked)
        errors.append(one.lost - told)
        if aim is not None and len(errors) >= FEWEST_AT_A_COUNT and told > aim - mean(errors) + SURE * pstdev(errors):
            at_count = at_most  # those still to come are reckoned to lose more than this one
        if at_count >= at_most:
            least, at_count = counts + 1, 0
    return Searched(None, nearest, solved)


def _missed(one: Proposal, wanted: Wanted) -> tuple[int, float]:
    """Return how far a proposal misses what is wanted: floats over the limits first."""
    return (one.over if wanted.within else 0, 0.0 if wanted.lost is None else max(0.0, one.lost - wanted.lost))


def _program(
    moves: Sequence[Move],
    windows: frozenset[Window],
    refused: Sequence[frozenset[int]],
    between: tuple[int, int],
    base: float,
    aim: float | None,
) -> frozenset[int] | None:
    """Return the numbers of the moves that cost least and are reckoned to do; None if none do."""
    rules = Rules()
    by_window: dict[Window, list[int]] = {}
    by_square: dict[Square, list[int]] = {}
    for number, move in enumerate(moves):
        for window in move.covers:
            by_window.setdefault(window, []).append(number)
        for square in move.squares:
            by_square.setdefault(square, []).append(number)
    for window in sorted(windows):
        rules.add(dict.fromkeys(by_window.get(window, []), 1.0), low=1.0)
    for numbers in by_square.values():
        if len(numbers) > 1:
            rules.add(dict.fromkeys(numbers, 1.0), high=1.0)
    looser = [number for number, move in enumerate(moves) if move.looser]
    if looser:
        rules.add(dict.fromkeys(looser, 1.0), high=1.0)
    for number, move in enumerate(moves):
        for window in sorted(move.makes):  # what it makes another must break
            others = [other for other in _breaking(moves, window, by_square) if other != number]
            rules.add({**dict.fromkeys(others, 1.0), number: -1.0}, low=0.0)
    lost = {number: move.lost for number, move in enumerate(moves)}
    if aim is not None and base > aim:
        rules.add(lost, high=aim - base + MARGIN * (base - aim))
    counts = {number: float(move.counts) for number, move in enumerate(moves)}
    rules.add(counts, low=float(max(between[0], 1)), high=float(between[1]))
    for chosen in refused:
        # this very set, no more and no less: one that holds it and others may yet do
        without = {number: -1.0 for number in range(len(moves)) if number not in chosen}
        rules.add({**without, **dict.fromkeys(chosen, 1.0)}, high=len(chosen) - 1.0)
    if not moves:
        return None
    worst = max(abs(one) for one in lost.values()) or 1.0
    most = float(between[1])  # a stitch counts one at least, and is seen as one at the most: from black to white
    cost = [
        counts[number] + SEEN * move.seen / most + HAIR * (1.0 + lost[number] / worst)
        for number, move in enumerate(moves)
    ]
    found = minimum(cost, len(moves), rules, monotonic() + SECONDS)
    if found.values is None:
        return None
    return frozenset(number for number in range(len(moves)) if found.values[number] > 0.5)


def _breaking(moves: Sequence[Move], window: Window, by_square: dict[Square, list[int]]) -> Iterator[int]:
    """Yield the moves that put the window's yarn, or a catch of it, onto one of its squares."""
    yarn, squares = window
    for square in squares:
        for number in by_square.get(square, ()):
            move = moves[number]
            held = move.hold is not None and move.hold.yarn == yarn
            if held or (square, yarn) in move.edit:
                yield number
