"""A knitter who works from written rows alone, short or in full words, and knows nothing of how they were made."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

HEAD = re.compile(r"(Rnds?|Rows?) (\d+)(?:-(\d+))?(?: \((RS|WS)\))?: (.*)\. \[(\d+)\] sts?( each)?\.")
STAR = re.compile(
    r"(?:(?P<first>.*), )?\*(?P<again>.*); rep from \* to (?:end|last (?P<left>\d+) sts?)(?:, (?P<last>.*))?"
)
RUN = re.compile(r"([kp])(\d+) (\w+)(?: \(catch ([^)]*)\))?(?:, |$)")
IN_FULL = re.compile(r"(Round|Row) (\d+)(?:, (right|wrong) side)?: (.*)")
RUN_IN_FULL = re.compile(r"(knit|purl) (\d+) with (\w+)(?: \(catch ([^)]*)\))?(?:, |$)")


@dataclass
class Needle:
    """One row as it was worked: the yarn of each stitch, how it was made, and (stitch from 0, yarn) of every catch."""

    yarns: list[str] = field(default_factory=list)
    made: list[str] = field(default_factory=list)
    caught: set[tuple[int, str]] = field(default_factory=set)

    def work(self, runs: Sequence[tuple[str, str, str, str | None]]) -> None:
        for make, number, yarn, catches in runs:
            for places, held in read_catches(catches, int(number)):
                self.caught.update((len(self.yarns) + place - 1, each) for place in places for each in held)
            self.yarns += [yarn] * int(number)
            self.made += [make] * int(number)


def read_catches(text: str | None, stitches: int) -> list[tuple[list[int], list[str]]]:
    """Read ``CC1 and CC2 behind the 3rd and 6th of these; CC3 behind it``."""
    found = []
    for part in text.split("; ") if text else []:
        held, _, where = part.partition(" behind ")
        places = [1] if where == "it" else [int(number) for number in re.findall(r"(\d+)(?:st|nd|rd|th)", where)]
        assert places
        assert all(1 <= place <= stitches for place in places)
        found.append((places, re.split(r", | and ", held)))
    return found


def runs_of(pattern: re.Pattern[str], text: str | None) -> list[tuple[str, str, str, str | None]]:
    """Read a list of runs to its very end."""
    at, found = 0, []
    while text and at < len(text):
        run = pattern.match(text, at)
        assert run, text[at:]
        found.append((run[1], run[2], run[3], run[4]))
        at = run.end()
    return found


def read_short(lines: Sequence[str]) -> list[Needle]:
    """Work the rows written short; every count given must be that of the stitches on the needle."""
    worked: list[Needle] = []
    for line in lines:
        head = HEAD.fullmatch(line)
        assert head, line
        word, first, last, side, body, total, each = head.groups()
        assert int(first) == len(worked) + 1
        assert (last is not None) == (each is not None) == word.endswith("s")
        rows = range(int(first), int(last or first) + 1)
        like = re.fullmatch(r"as (?:rnds|rows) (\d+)-(\d+)", body)
        if like:
            assert int(like[2]) - int(like[1]) == len(rows) - 1
            worked += worked[int(like[1]) - 1 : int(like[2])]
            continue
        for row in rows:
            needle = Needle()
            both = re.fullmatch(r"all (\w+), k RS rows, p WS rows", body)
            plain = re.fullmatch(r"([kp]) all (\w+)", body)
            star = STAR.fullmatch(body)
            if both:
                needle.work([("k" if row % 2 else "p", total, both[1], None)])
            elif plain:
                needle.work([(plain[1], total, plain[2], None)])
            elif star:
                needle.work(runs_of(RUN, star["first"]))
                while len(needle.yarns) < int(total) - int(star["left"] or 0):
                    needle.work(runs_of(RUN, star["again"]))
                assert int(total) - len(needle.yarns) == int(star["left"] or 0)
                needle.work(runs_of(RUN, star["last"]))
            else:
                needle.work(runs_of(RUN, body))
            assert len(needle.yarns) == int(total)
            assert side is None or set(needle.made) == {"k" if side == "RS" else "p"}
            worked.append(needle)
    return worked


def read_in_full(lines: Sequence[str]) -> list[Needle]:
    """Work the rows written in full words."""
    worked: list[Needle] = []
    for line in lines:
        head = IN_FULL.fullmatch(line)
        assert head, line
        assert int(head[2]) == len(worked) + 1
        needle = Needle()
        plain = re.fullmatch(r"(Knit|Purl) all (\d+) stitch(?:es)? with (\w+)\.", head[4])
        if plain:
            needle.work([(plain[1].lower(), plain[2], plain[3], None)])
        else:
            *said, total = head[4].removesuffix(".").split(". ")
            for sentence in said:
                text = sentence.removeprefix("Then ")
                text = text[0].lower() + text[1:]
                times = re.match(r"work (?:(twice)|(\d+) times): ", text)
                for _ in range((2 if times[1] else int(times[2])) if times else 1):
                    needle.work(runs_of(RUN_IN_FULL, text[times.end() :] if times else text))
            assert re.fullmatch(rf"{len(needle.yarns)} stitch(es)? in all", total)
        assert head[3] is None or set(needle.made) == {"knit" if head[3] == "right" else "purl"}
        worked.append(needle)
    return worked


def chart_of(worked: Sequence[Needle], yarn_of: Mapping[str, int], *, flat: bool) -> list[list[int]]:
    """Return the chart that was knitted, row 0 at the bottom, column 0 at the left of the face."""
    return [
        [yarn_of[yarn] for yarn in (one.yarns if flat and row % 2 else reversed(one.yarns))]
        for row, one in enumerate(worked)
    ]


def catches_of(worked: Sequence[Needle], yarn_of: Mapping[str, int], *, flat: bool) -> set[tuple[int, int, int]]:
    """Return (row, column, yarn caught) of every catch."""
    return {
        (row, place if flat and row % 2 else len(one.yarns) - 1 - place, yarn_of[yarn])
        for row, one in enumerate(worked)
        for place, yarn in one.caught
    }
