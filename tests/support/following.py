"""A knitter who follows a round in words and counts what is on the needle, before and after."""

from __future__ import annotations

import re

TIMES = {"twice": 2}
REST = 1_000_000


def follow(words: str) -> tuple[int, int]:
    """Return the stitches used up and made by a round such as ``*k8, m1; rep from * to end. [90 sts]``.

    A repeat to the end runs until the promised count is made; whoever asks must hold what was used up against the count
    before. Fails if the round doesn't end at the count in brackets.
    """
    found = re.fullmatch(r"(.*)\. \[(\d+) sts\]", words)
    assert found, words
    way, promised = found[1], int(found[2])
    used, made = 0, 0
    starred = re.fullmatch(r"(?:(.*?), )?\*(.*); rep from \* ([^,]*)(?:, (.*))?", way)
    if starred is None:
        used, made = _steps(way)
    else:
        lead, unit, how, tail = starred.groups()
        ends = [_steps(part) for part in (lead, tail) if part]
        used, made = sum(one[0] for one in ends), sum(one[1] for one in ends)
        unit_used, unit_made = _steps(unit)
        if how == "once more":
            again = 2
        elif more := re.fullmatch(r"(\d+) more times", how):
            again = 1 + int(more[1])
        else:
            assert how == "to end" or how.startswith("to last"), how
            again, rest = divmod(promised - made, unit_made)
            assert rest == 0, words
        used, made = used + again * unit_used, made + again * unit_made
    assert made == promised, words
    return used, made


def _steps(text: str) -> tuple[int, int]:
    used = made = 0
    for bracketed, how, plain in re.findall(r"\(([^)]*)\) (twice|\d+ times)|([^,()]+)", text):
        if bracketed:
            times = TIMES.get(how) or int(how.split()[0])
            inner = _steps(bracketed)
            used, made = used + times * inner[0], made + times * inner[1]
        elif step := plain.strip():
            one = {"m1": (0, 1), "k2tog": (2, 1)}.get(step) or (int(step.removeprefix("k")),) * 2
            used, made = used + one[0], made + one[1]
    return used, made
