"""How rows are written: short, as patterns are, or in full words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from textwrap import wrap

from fabricsim.cli.words.counts import count, listed, ordinal
from fabricsim.design.counted.rounds import Line, Passage, Run, WorkedRow
from fabricsim.design.scene.made import Made
from fabricsim.design.sizes.spread import TIMES

SHORT = {"round": "rnd", "row": "row"}
"""How patterns shorten a row (common practice)."""
IN_FULL: dict[Made, str] = {
    "k": "knit",
    "p": "purl",
    "k2tog": "knit 2 together",
    "ssk": "slip, slip, knit the two together",
    "cdd": "slip 2 together, knit 1, pass both over",
    "m1": "make 1",
    "m1l": "make 1 left",
    "m1r": "make 1 right",
}
"""What stitches are made by, in full words."""
BOND = "\0"
"""What holds words together until they are printed."""
TOGETHER = re.compile(
    r"[kp]\d+ [MC]C|([Kk]nit|[Pp]url) \d+ with|(round|row|rnd) \d+|last \d+ sts?|rep from \*|\[\d+\] \w+"
)
"""What is not to be parted at the end of a line."""


def passage_text(passage: Passage, called: Mapping[int, str], unit: str) -> str:
    """Return rows as patterns write them: ``Rnd 6: *k3 MC, k1 CC; rep from * to end. [96] sts.``"""
    rows, short = passage.rows, SHORT[unit]
    first = rows[0]
    stitches = first.line.stitches
    total = f"[{stitches}] {'st' if stitches == 1 else 'sts'}{' each' if len(rows) > 1 else ''}."
    head = numbers(first.row, len(rows), short.capitalize())
    if passage.like is not None:
        return f"{head}: as {numbers(passage.like, len(rows), short)}. {total}"
    if len({one.wrong_side for one in rows}) > 1:
        return f"{head}: all {called[first.line.runs[0].yarn]}, k RS rows, p WS rows. {total}"
    side = "" if unit == "round" else f" ({'WS' if first.wrong_side else 'RS'})"
    return f"{head}{side}: {line_text(first.line, called, 'p' if first.wrong_side else 'k')}. {total}"


def line_text(line: Line, called: Mapping[int, str], make: str) -> str:
    """Return one row, ``make``: k or p; ``*k3 MC, k1 CC; rep from * to end``."""
    if line.plain_yarn is not None:
        return f"{make} all {called[line.plain_yarn]}"

    def written(runs: Sequence[Run]) -> str:
        return ", ".join(f"{_short_run(run, called, make)}{_catches(run, called)}" for run in runs)

    if not line.times:
        return written(line.before)
    left = sum(run.takes for run in line.after)
    until = f"to last {left} {'st' if left == 1 else 'sts'}" if left else "to end"
    parts = [written(line.before), f"*{written(line.again)}; rep from * {until}", written(line.after)]
    return ", ".join(part for part in parts if part)


def _short_run(run: Run, called: Mapping[int, str], make: str) -> str:
    """Return a run as patterns write it: ``k3 MC``, ``m1l MC``, ``(k2tog CC) twice``."""
    if run.made == "k":
        return f"{make}{run.stitches} {called[run.yarn]}"
    one = f"{run.made} {called[run.yarn]}"
    return one if run.stitches == 1 else f"({one}) {TIMES.get(run.stitches, f'{run.stitches} times')}"


def bound(text: str, bond: str = "\N{NO-BREAK SPACE}") -> str:
    """Return ``text`` with a ``bond`` in place of the spaces where no line is to end."""
    return TOGETHER.sub(lambda found: found[0].replace(" ", bond), text)


def hanging(text: str, width: int) -> list[str]:
    """Return ``text`` as lines of at most ``width``, all but the first set in; what is worked stays with its number."""
    lines = wrap(bound(text, BOND), width, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False)
    return [line.replace(BOND, " ") for line in lines]


def row_in_words(one: WorkedRow, named: Mapping[int, str], unit: str) -> tuple[str, str]:
    """Return one row in full words, (what it is called, what to do): ``Round 6``, ``Knit 3 with sail, ...``."""
    make, line = "purl" if one.wrong_side else "knit", one.line
    head = f"{unit.capitalize()} {one.row + 1}" + (
        "" if unit == "round" else f", {'wrong' if one.wrong_side else 'right'} side"
    )
    total = f"{count(line.stitches, 'stitch')} in all."
    if line.plain_yarn is not None:
        return head, f"{make.capitalize()} all {count(line.stitches, 'stitch')} with {named[line.plain_yarn]}."

    def written(runs: Sequence[Run]) -> str:
        return ", ".join(f"{_full_run(run, make)} with {named[run.yarn]}{_catches(run, named)}" for run in runs)

    said = [written(line.before)] if line.before else []
    if line.times:
        work = f"work {'twice' if line.times == 2 else f'{line.times} times'}: {written(line.again)}"
        said.append(f"then {work}" if said else work)
    if line.after:
        said.append(f"then {written(line.after)}")
    return head, f"{'. '.join(part[0].upper() + part[1:] for part in said)}. {total}"


def _full_run(run: Run, make: str) -> str:
    """Return a run in full words, its yarn left out: ``knit 3``, ``knit 2 together, twice``."""
    if run.made == "k":
        return f"{make} {run.stitches}"
    often = "" if run.stitches == 1 else f", {TIMES.get(run.stitches, f'{run.stitches} times')},"
    return f"{IN_FULL[run.made]}{often}"


def _catches(run: Run, called: Mapping[int, str]) -> str:
    """Return which yarns to catch behind which stitches of a run, in brackets."""
    where: dict[tuple[int, ...], list[str]] = {}
    for yarn in sorted({yarn for _, yarn in run.caught}):
        where.setdefault(tuple(at for at, each in run.caught if each == yarn), []).append(called[yarn])
    if not where:
        return ""
    catches = (
        f"{listed(yarns)} behind "
        + ("it" if run.stitches == 1 else f"the {listed([ordinal(at) for at in places])} of these")
        for places, yarns in where.items()
    )
    return f" (catch {'; '.join(catches)})"


def numbers(first: int, rows: int, word: str) -> str:
    """Return rows by their numbers: ``Rnd 6``, ``Rnds 6-18``."""
    return f"{word} {first + 1}" if rows == 1 else f"{word}s {first + 1}-{first + rows}"
