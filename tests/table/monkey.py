"""``python -m tests.table.monkey MINUTES [SEED]``: a served table under hands that do anything at all.

Sends messages at random, right ones and wrong ones, from two tabs that come and go, with pauses in which the table
ponders; tells at the end how many were answered, what the server complained of, and how its memory went.
"""

from __future__ import annotations

import base64
import random
import sys
import tempfile
from collections import Counter
from pathlib import Path
from time import monotonic, sleep
from typing import Any

from websockets.exceptions import ConnectionClosed

from fabricsim.table.jobs.menu import MENU
from tests.table.test_drafts import SMALL
from tests.table.visiting import Served, Visitor, served

QUICK = ["floats", "catches", "mend", "rounds", "chart", "difficulty", "colours", "yarn"]
PAUSES = (0.0, 0.0, 0.0, 0.02, 0.2, 3.0)


def memory_mb(process: int) -> float:
    """Return the memory of a process, MB; 0 where the system does not tell."""
    try:
        lines = Path(f"/proc/{process}/status").read_text(encoding="ascii").splitlines()
        return sum(int(line.split()[1]) for line in lines if line.startswith("VmRSS")) / 1024
    except OSError:
        return 0.0


def given(name: str, data: bytes) -> dict[str, str]:
    return {"name": name, "data": base64.b64encode(data).decode()}


def anything(rng: random.Random) -> dict[str, Any]:
    """Return a message, most of them such as a page sends."""
    n = rng.randrange
    box = {"row": n(20), "column": n(20), "rows": 1 + n(8), "columns": 1 + n(8)}
    return rng.choice(
        [
            {"kind": "paint", "squares": [(n(14), n(14), n(3)) for _ in range(1 + n(6))], "stroke": n(3)},
            {"kind": "paint", "squares": [(n(3), n(3), n(2))]},
            {"kind": "set", "values": {"floats.slack": rng.uniform(-0.1, 0.1)}, "stroke": n(4)},
            {"kind": "set", "values": {"floats.unevenness": rng.uniform(0, 0.1)}},
            {"kind": "set", "values": {"floats.catches": rng.choice(["none", "planned", [], "x"])}},
            {"kind": "set", "values": {"chart.across": n(12), "chart.up": n(3)}},
            {"kind": "set", "values": {"worked": rng.choice(["flat", "round"])}},
            {"kind": "set", "values": {"simulation.case": rng.choice(["repeat", "swatch", "round", None])}},
            {"kind": "set", "values": {"gauge.stitches": rng.choice([0, 18, 20, 24, "x"])}},
            {"kind": "set", "values": {"yarns.0.colour": rng.choice(["#aabbcc", "teal", "no colour"])}},
            {"kind": "motif", "do": rng.choice(["mirror across", "mirror up", "turn"]), "box": box},
            {"kind": "motif", "do": "shift", "box": box, "by": (n(9) - 4, n(9) - 4)},
            {"kind": "motif", "do": "copy", "box": box, "to": (n(20), n(20))},
            {"kind": "size", "rows": 1 + n(14), "stitches": 1 + n(14), "yarn": n(3)},
            {"kind": "add yarn", "name": "one more", "colour": "rust" if n(2) else "#a04020"},
            {"kind": "take yarn away", "yarn": n(4), "instead": n(3)},
            {"kind": "undo"},
            {"kind": "undo"},
            {"kind": "redo"},
            {"kind": "advice", "id": rng.choice(["catch", "stitch 1", "loosen", "repeat"])},
            {"kind": "advice", "id": rng.choice(["way 1", "way 2", "begin 3", "laid 1"])},
            {"kind": "seek", "what": rng.choice(["costs", "changes", "places"]), "may_lose": rng.uniform(0, 9)},
            {"kind": "leave"},
            {"kind": "take", "id": n(30)},
            {"kind": "second", "id": rng.choice([None, n(30)])},
            {"kind": "look", "case": rng.choice([None, "repeat", "swatch", "round"]), "steps": rng.choice([8, 12])},
            {"kind": "open", "files": rng.choice([[], [given("s.toml", SMALL.encode())], [given("x", b"?")]])},
            {
                "kind": "drop",
                "file": rng.choice([given("m.txt", b"x..\n.x.\n"), given("m.png", b"no"), given("m", b"q")]),
            },
            {"kind": "resume", "id": rng.choice([None, "none"])},
            {"kind": "keep"},
            {"kind": "text"},
            {"kind": "job", "command": rng.choice([*QUICK, "table", *MENU]), "options": {}},
            {"kind": "stop", "job": n(400)},
            {"kind": "stop", "job": n(400)},
            {"kind": rng.choice(["", "hello", "paint", "nonsense"])},
        ]
    )


def heard(page: Visitor, told: Counter[str]) -> None:
    """Hear whatever waits."""
    while True:
        try:
            data = page.socket.recv(0.001)
        except TimeoutError:
            return
        message = page.read(data)
        kind = "shape" if isinstance(message, tuple) else message.kind
        told[kind] += 1
        words = getattr(message, "words", "") or getattr(message, "text", "")
        if isinstance(words, str) and "fault of fabricsim" in words:
            told[f"FAULT: {words[:300]}"] += 1


def play(one: Served, minutes: float, rng: random.Random) -> Counter[str]:
    """Play until the time is up; return what was told."""
    told: Counter[str] = Counter()
    end, noted = monotonic() + 60.0 * minutes, 0.0
    while monotonic() < end:
        with one.visit() as first, one.visit() as second:
            for _ in range(rng.randrange(20, 200)):
                page = rng.choice([first, first, second])
                page.ask(**anything(rng))
                sleep(rng.choice(PAUSES))
                heard(first, told)
                heard(second, told)
                if monotonic() > noted + 30.0:
                    noted = monotonic()
                    print(
                        f"{end - noted:6.0f} s left, {memory_mb(one.process.pid):6.1f} MB, {sum(told.values())} told",
                        flush=True,
                    )
                if monotonic() > end:
                    break
    return told


def main(minutes: float, seed: int) -> None:
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as one:
        try:
            told = play(one, minutes, random.Random(seed))
        except ConnectionClosed as problem:
            print(f"closed: {problem}")
            told = Counter()
        status, complaints = one.end()
    print(f"ended with {status}; it complained: {complaints!r}")
    for kind, count in told.most_common():
        print(f"{count:8} {kind}")


if __name__ == "__main__":
    main(float(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0)
