"""What rows are called and how they are written: short, as patterns are, or in full words."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from textwrap import wrap

from fabricsim.cli.shell.page import Page
from fabricsim.cli.words.counts import count, listed, ordinal, row_word
from fabricsim.cli.words.strands import strands_said
from fabricsim.design.counted.rounds import Line, Passage, Run, WorkedRow, passages
from fabricsim.design.floats.found import carry_ups
from fabricsim.design.scene.model import Scene

SHORT = {"round": "rnd", "row": "row"}
"""How patterns shorten a row (common practice)."""
BOND = "\0"
"""What holds words together until they are printed."""
TOGETHER = re.compile(
    r"[kp]\d+ [MC]C|([Kk]nit|[Pp]url) \d+ with|(round|row|rnd) \d+|last \d+ sts?|rep from \*|\[\d+\] \w+"
)
"""What is not to be parted at the end of a line."""
CATCH = "Catch: twist the yarn named once round the yarn that you work with, so that the stitch holds it."


def letters(scene: Scene) -> dict[int, str]:
    """Return what the yarns in use are called for short: MC the first of them, CC the other, or CC1, CC2 and so on."""
    used = sorted({yarn for yarn_j in scene.piece_rows() for yarn in yarn_j})
    others = used[1:]
    return {used[0]: "MC", **{yarn: f"CC{at if others[1:] else ''}" for at, yarn in enumerate(others, start=1)}}


def names(scene: Scene) -> dict[int, str]:
    """Return the names of the yarns, with their symbols where two share a name."""
    known = [yarn.name for yarn in scene.yarns]
    return {
        at: yarn.name if known.count(yarn.name) == 1 else f"{yarn.name} ({yarn.symbol})"
        for at, yarn in enumerate(scene.yarns)
    }


def size_words(scene: Scene) -> str:
    """Return how large the piece is: ``90 stitches x 39 rounds; the chart's 10 stitches 9 times across``."""
    rows, across = scene.piece_rows(), scene.chart.across
    size = f"{count(len(rows[0]), 'stitch')} x {count(len(rows), row_word(scene))}"
    wide = count(scene.stitches_per_repeat, "stitch")
    return f"{size}; the chart's {wide} {count(across, 'time')} across." if across > 1 else f"{size}."


def comings_and_goings(scene: Scene, called: Mapping[int, str], word: str) -> list[str]:
    """Return where each yarn is joined and broken, if not at the first and last row: ``CC: join in rnd 6.``"""
    yarn_ij, carried = scene.piece_rows(), carry_ups(scene)
    said = []
    for yarn in letters(scene):
        rows = [row for row, yarn_j in enumerate(yarn_ij) if yarn in yarn_j]
        breaks = [one for one in carried if one.yarn == yarn and one.advice == "break and rejoin"]
        ways = [
            f"join in {word} {rows[0] + 1}" if rows[0] > 0 else "",
            *(f"break after {word} {one.from_row + 1}, join again in {word} {one.to_row + 1}" for one in breaks),
            f"break after {word} {rows[-1] + 1}" if rows[-1] < len(yarn_ij) - 1 else "",
        ]
        if any(ways):
            said.append(f"{called[yarn]}: {', '.join(way for way in ways if way)}.")
    return said


def tell(page: Page, scene: Scene, rows: Sequence[WorkedRow]) -> None:
    """Print the key, then row after row as patterns write them."""
    called = letters(scene)
    page.say(scene.title, bold=True, wrap=True)
    for sentence in (size_words(scene), *key(scene, rows), ""):
        page.say(sentence, wrap=True)
    for passage in passages(scene, rows):
        _say_hanging(page, passage_text(passage, called, row_word(scene)))


def tell_in_full(page: Page, scene: Scene, rows: Sequence[WorkedRow]) -> None:
    """Print every row by itself in full"""
    named = names(scene)
    page.say(scene.title, bold=True, wrap=True)
    for sentence in before_reading(scene, rows):
        page.say(sentence, wrap=True)
    for one in rows:
        head, text = row_in_words(one, named, row_word(scene))
        page.say("")
        _say_hanging(page, f"{head}: {text}")


def _say_hanging(page: Page, text: str) -> None:
    for line in hanging(text, page.width):
        page.say(line)


# ---- short ---------------------------------------------------------------------------------------


def key(scene: Scene, rows: Sequence[WorkedRow]) -> list[str]:
    """Return the sentences that say what the short forms mean, those that occur."""
    called, unit = letters(scene), row_word(scene)
    yarns = [
        f"{short} = {scene.yarns[yarn].name} ({scene.yarns[yarn].symbol} in the chart)"
        for yarn, short in called.items()
    ]
    forms = ["k = knit", *(["p = purl"] if scene.worked == "flat" else [])]
    if unit == "round":
        forms.append("rnd = round")
    else:
        forms.append("RS = right side, WS = wrong side")
    starred = any(one.line.times for one in rows)
    forms += [*(["rep from * = repeat what stands after the star"] if starred else []), "sts = stitches"]
    said = [f"{', '.join(yarns)}.", f"{', '.join(forms)}."]
    if scene.worked == "flat":
        said.append("Odd rows are right-side rows, read from right to left on the chart; even rows from left to right.")
    below = strands_said(scene, called)
    said += [below] if below else []
    if any(run.caught for one in rows for run in one.line.runs):
        said.append(CATCH)
    return [*said, *comings_and_goings(scene, called, SHORT[unit])]


def passage_text(passage: Passage, called: Mapping[int, str], unit: str) -> str:
    """Return rows as patterns write them: ``Rnd 6: *k3 MC, k1 CC; rep from * to end. [96] sts.``"""
    rows, short = passage.rows, SHORT[unit]
    first = rows[0]
    stitches = first.line.stitches
    total = f"[{stitches}] {'st' if stitches == 1 else 'sts'}{' each' if len(rows) > 1 else ''}."
    head = _numbers(first.row, len(rows), short.capitalize())
    if passage.like is not None:
        return f"{head}: as {_numbers(passage.like, len(rows), short)}. {total}"
    if len({one.wrong_side for one in rows}) > 1:
        return f"{head}: all {called[first.line.runs[0].yarn]}, k RS rows, p WS rows. {total}"
    side = "" if unit == "round" else f" ({'WS' if first.wrong_side else 'RS'})"
    return f"{head}{side}: {line_text(first.line, called, 'p' if first.wrong_side else 'k')}. {total}"


def line_text(line: Line, called: Mapping[int, str], make: str) -> str:
    """Return one row, ``make``: k or p; ``*k3 MC, k1 CC; rep from * to end``."""
    if line.plain_yarn is not None:
        return f"{make} all {called[line.plain_yarn]}"

    def written(runs: Sequence[Run]) -> str:
        return ", ".join(f"{make}{run.stitches} {called[run.yarn]}{_catches(run, called)}" for run in runs)

    if not line.times:
        return written(line.before)
    left = sum(run.stitches for run in line.after)
    until = f"to last {left} {'st' if left == 1 else 'sts'}" if left else "to end"
    parts = [written(line.before), f"*{written(line.again)}; rep from * {until}", written(line.after)]
    return ", ".join(part for part in parts if part)


def bound(text: str, bond: str = "\N{NO-BREAK SPACE}") -> str:
    """Return ``text`` with a ``bond`` in place of the spaces where no line is to end."""
    return TOGETHER.sub(lambda found: found[0].replace(" ", bond), text)


def hanging(text: str, width: int) -> list[str]:
    """Return ``text`` as lines of at most ``width``, all but the first set in; what is worked stays with its number."""
    lines = wrap(bound(text, BOND), width, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False)
    return [line.replace(BOND, " ") for line in lines]


# ---- in full -------------------------------------------------------------------------------------


def before_reading(scene: Scene, rows: Sequence[WorkedRow]) -> list[str]:
    """Return what to know before the rows, in full words."""
    named = names(scene)
    used = [named[yarn] for yarn in letters(scene)]
    said = [size_words(scene).replace(" x ", " by "), f"{'Yarns' if used[1:] else 'Yarn'}: {listed(used)}."]
    if scene.worked == "flat":
        said.append("Right-side rows are knitted, wrong-side rows are purled.")
    below = strands_said(scene, named)
    said += [below] if below else []
    if any(run.caught for one in rows for run in one.line.runs):
        said.append(CATCH)
    return [*said, *comings_and_goings(scene, named, row_word(scene))]


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
        return ", ".join(f"{make} {run.stitches} with {named[run.yarn]}{_catches(run, named)}" for run in runs)

    said = [written(line.before)] if line.before else []
    if line.times:
        work = f"work {'twice' if line.times == 2 else f'{line.times} times'}: {written(line.again)}"
        said.append(f"then {work}" if said else work)
    if line.after:
        said.append(f"then {written(line.after)}")
    return head, f"{'. '.join(part[0].upper() + part[1:] for part in said)}. {total}"


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


def _numbers(first: int, rows: int, word: str) -> str:
    """Return rows by their numbers: ``Rnd 6``, ``Rnds 6-18``."""
    return f"{word} {first + 1}" if rows == 1 else f"{word}s {first + 1}-{first + rows}"
