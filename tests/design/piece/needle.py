"""A knitter who has nothing but the printed pattern: she casts on, works every line stitch by stitch, and binds off.

She knows the words of the trade and nothing of how the pattern was made. Every stitch on her needle remembers the
yarn that made it; every line is held against the count in its brackets, and every stitch of the row before must be
worked, once.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

LINE = re.compile(
    r"(?P<name>Cast on|Bind off|Draw together|(?:Upper rib|Rib|Next) (?:rnd|row)s?|Rnds?|Rows?)"
    r"(?: (?P<first>\d+)(?:-(?P<last>\d+))?)?(?: \((?P<side>[^)]*)\))?: (?P<todo>.*)\. "
    r"\[(?P<left>\d+)\] sts?(?P<each> each)?\."
)
STAR = re.compile(
    r"(?:(?P<lead>.*?), )?\*(?P<unit>.*?); rep from \* "
    r"(?P<how>to end|to last (?P<of>\d* ?)sts?|once more|\d+ more times)(?:, (?P<tail>.*))?"
)
TOKEN = re.compile(
    r"\((?P<inner>[^()]*)\) (?P<often>twice|\d+ times)|"
    r"(?P<make>k2tog|ssk|cdd|m1l|m1r|m1|[kp]\d+)(?: (?P<yarn>[MC]C\d*))?(?P<catch> \(catch [^)]*\))?"
)
TAKEN = {"k2tog": 2, "ssk": 2, "cdd": 3, "m1": 0, "m1l": 0, "m1r": 0}
"""How many stitches each works up, where it is not one."""
WORKED = re.compile(r"Cast on|Bind off|Draw together|Upper rib |Rib (rnd|row)|Next |Rnds? \d|Rows? \d")


@dataclass
class Row:
    """One row as it was worked: what each stitch is (k, p, m1, k2tog) and of which yarn, in the order of working."""

    made: list[tuple[str, str]] = field(default_factory=list)
    used: int = 0


@dataclass
class Needle:
    """What hangs on the needle, and all that has been worked."""

    stitches: list[str] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    sections: list[str] = field(default_factory=list)
    sides: list[str] = field(default_factory=list)
    cast_on: int = 0
    ended: str = ""
    last: int = 0

    @property
    def yarns(self) -> Counter[str]:
        """Stitches made of each yarn, the cast-on left out."""
        return Counter(yarn for row in self.rows for _, yarn in row.made)


def lines_of(text: str) -> list[str]:
    """Return the lines of a printed pattern that are worked, those that go on put together."""
    return [line for line in text.replace("\n    ", " ").splitlines() if WORKED.match(line)]


def knit(text: str, *, flat: bool = False) -> Needle:
    """Knit a printed pattern from cast-on to the last stitch."""
    needle, rows_of = Needle(), {}
    lines = lines_of(text)
    assert lines[0].startswith("Cast on: ")
    for at, line in enumerate(lines):
        found = LINE.fullmatch(line)
        assert found, line
        name, left = found["name"], int(found["left"])
        assert needle.ended == "", line
        if name == "Cast on":
            assert at == 0
            number, yarn = re.match(r"(\d+) sts? with (\w+)", found["todo"]).groups()  # type: ignore[union-attr]
            needle.stitches, needle.cast_on = [yarn] * int(number), int(number)
            assert left == int(number)
            continue
        if name in ("Bind off", "Draw together"):
            many = re.search(r"(?:all|the last) (\d+) sts?", line)
            assert many
            assert int(many[1]) == len(needle.stitches), line
            assert left == 0
            needle.ended, needle.last, needle.stitches = name, len(needle.stitches), []
            continue
        if flat and name.lower().endswith("rib rows"):
            _rib_flat(needle, found, lines[at + 1] if at + 1 < len(lines) else "")
            continue
        first = int(found["first"] or 1)
        numbers = range(first, int(found["last"] or first) + 1)
        assert (len(numbers) > 1) == bool(found["each"]), line
        for number in numbers:
            side = found["side"] or ("WS" if flat and number % 2 == 0 else "RS")
            like = re.fullmatch(r"as (?:rnds|rows) (\d+)-(\d+)", found["todo"])
            if like:
                assert int(like[2]) - int(like[1]) == len(numbers) - 1
                steps = rows_of[int(like[1]) + number - first]
            else:
                steps = found["todo"]
            if name in ("Rnd", "Rnds", "Row", "Rows"):
                rows_of[number] = steps
            _work(needle, steps, left, side)
            needle.numbers.append(number)
            needle.sections.append(name.rstrip("s"))
            needle.sides.append(side)
    assert needle.ended, "the pattern never ends"
    return needle


def _rib_flat(needle: Needle, found: re.Match[str], following: str) -> None:
    """Work a rib told by its sides: odd rows on the right side, even rows on the wrong side."""
    if (found["side"] or "").startswith("even"):
        return
    other = LINE.fullmatch(following)
    assert other, following
    assert (found["side"], other["side"]) == ("odd, RS", "even, WS")
    for number in range(int(found["first"]), int(found["last"]) + 1):
        line, side = (found, "RS") if number % 2 else (other, "WS")
        _work(needle, line["todo"], int(line["left"]), side)
        needle.numbers.append(number)
        needle.sections.append(found["name"].rstrip("s"))
        needle.sides.append(side)


def _work(needle: Needle, todo: str, left: int, side: str) -> None:
    """Work one row."""
    row, waiting = Row(), len(needle.stitches)
    yarn_of_all = None
    found = re.fullmatch(r"(.*), all (\w+)", todo)
    if found:
        todo, yarn_of_all = found[1], found[2]
    plain = re.fullmatch(r"([kp]) all (\w+)", todo)
    both = re.fullmatch(r"all (\w+), k RS rows, p WS rows", found[0] if found else todo)
    if both:
        row.made, row.used = [("p" if side == "WS" else "k", both[1])] * waiting, waiting
    elif plain:
        row.made, row.used = [(plain[1], plain[2])] * waiting, waiting
    else:
        for make, yarn in _steps(todo, waiting):
            used = TAKEN.get(make, 1)
            row.made.append((make, yarn or yarn_of_all or ""))
            row.used += used
    assert row.used == waiting, (todo, row.used, waiting)
    assert len(row.made) == left, (todo, len(row.made), left)
    assert all(yarn for _, yarn in row.made), todo
    needle.stitches = [yarn for _, yarn in row.made]
    needle.rows.append(row)


def _steps(todo: str, waiting: int) -> Iterator[tuple[str, str | None]]:
    star = STAR.fullmatch(todo)
    if star is None:
        yield from _tokens(todo)
        return
    lead, unit = list(_tokens(star["lead"] or "")), list(_tokens(star["unit"]))
    tail, how = list(_tokens(star["tail"] or "")), star["how"]
    yield from lead
    if how == "once more":
        times = 2
    elif more := re.fullmatch(r"(\d+) more times", how):
        times = 1 + int(more[1])
    else:
        stop = 0 if how == "to end" else int((star["of"] or "1").strip() or 1)
        assert stop == _used(tail), todo
        times, rest = divmod(waiting - stop - _used(lead), _used(unit))
        assert rest == 0, todo
    for _ in range(times):
        yield from unit
    yield from tail


def _used(steps: Sequence[tuple[str, str | None]]) -> int:
    return sum(TAKEN.get(make, 1) for make, _ in steps)


def _tokens(text: str) -> Iterator[tuple[str, str | None]]:
    at = 0
    while at < len(text):
        found = TOKEN.match(text, at)
        assert found, text[at:]
        if found["inner"]:
            often = 2 if found["often"] == "twice" else int(found["often"].split()[0])
            for _ in range(often):
                yield from _tokens(found["inner"])
        elif found["make"] in TAKEN:
            yield found["make"], found["yarn"]
        else:
            for _ in range(int(found["make"][1:])):
                yield found["make"][0], found["yarn"]
        at = found.end()
        assert at == len(text) or text.startswith(", ", at), text[at:]
        at += 2
