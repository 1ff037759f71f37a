"""How a fabric is sent: its frame from made-up arrays, its looks on the way, and what is kept of a rest."""

from __future__ import annotations

import hashlib
import json
import zlib
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import StoppedError
from fabricsim.table.messages.fabrics import TellWorking
from fabricsim.table.messages.frames import unframed
from fabricsim.table.solving import kept, settling
from fabricsim.table.solving.drawing import shape_of
from fabricsim.table.solving.order import Order
from fabricsim.table.solving.settling import Settling, Showing
from fabricsim.table.solving.shape import TOPOLOGY, Shape
from tests.table.serving.stand_ins import SAID
from tests.table.solving.made_up import ORDER, WireHeard, measured

KINDS = {"first": "i4", "yarn": "u1", "stitch": "i4", "float": "i4", "cell": "i4", "ends": "i4", "floats": "i4"}


def a_drawing() -> Any:
    """Return yarn that was drawn of nothing: a stitch or two."""
    arrays = {name: np.arange(number, number + 2, dtype=KINDS[name]) for number, name in enumerate(TOPOLOGY)}
    return SimpleNamespace(
        arrays={"point": np.ones((1, 3), np.float32), **arrays},
        tiling=SimpleNamespace(origin_n=np.array([2, 0])),
        thickness=0.002,
        stitch_mm=(5.0, 4.0),
        window_mm=(0.0, 1.0, 2.0, 3.0),
    )


def apart(drawn: Any) -> Any:
    """Return a drawing as if its yarn had given way."""
    arrays = {**drawn.arrays, "point": drawn.arrays["point"] + 1.0}
    return SimpleNamespace(**{**vars(drawn), "arrays": arrays})


EQUILIBRIUM: Any = SimpleNamespace(mesh=SimpleNamespace(case="swatch"), effort=SimpleNamespace(steps=5))


def test_a_shape_says_what_it_is_of_in_millimetres() -> None:
    drawn = a_drawing()
    shape = shape_of(
        EQUILIBRIUM, drawn, apart=True, rest=False, revision=4, step=2, measures=measured(), which="second"
    )
    same = hashlib.blake2b(b"".join(drawn.arrays[name].tobytes() for name in TOPOLOGY), digest_size=4)
    assert shape.head == {
        "revision": 4, "which": "second", "case": "swatch", "rest": False, "apart": True, "step": 2,
        "topology": int.from_bytes(same.digest(), "little"), "thickness_mm": 2.0, "stitch_mm": (5.0, 4.0),
        "window_mm": (0.0, 1.0, 2.0, 3.0),
    }  # fmt: skip
    assert shape.topology == shape.head["topology"]
    height = shape.arrays.pop("height")
    assert (height.tolist(), height.dtype) == ([-3.0, 1.0], np.float32)
    assert shape.arrays == drawn.arrays
    assert "height" not in drawn.arrays
    other = shape_of(EQUILIBRIUM, drawn, apart=False, rest=True, revision=4)
    assert (other.head["which"], other.head["step"], other.topology, "height" in other.arrays) == (
        "first", 0, shape.topology, False,
    )  # fmt: skip
    drawn.arrays["ends"][0] += 1
    assert shape_of(EQUILIBRIUM, drawn, apart=False, rest=True, revision=4).topology != shape.topology


def test_a_frame_has_what_stays_the_same_only_where_it_is_whole() -> None:
    shape = shape_of(EQUILIBRIUM, a_drawing(), apart=True, rest=True, revision=4)
    head, arrays = unframed(shape.framed(whole=True))
    assert list(arrays) == ["point", *TOPOLOGY]
    assert {name: getattr(head, name) for name in shape.head} == shape.head
    head, arrays = unframed(shape.framed(whole=False, revision=9))
    assert (list(arrays), head.revision) == (["point"], 9)


def look(step: int, *, settled: bool = False) -> Any:
    return SimpleNamespace(step=step, settled=settled, fabric=SimpleNamespace(name=f"look {step}", **vars(EQUILIBRIUM)))


class Watch:
    """A clock that goes on by itself as often as it is looked at, by the seconds it is given."""

    def __init__(self, *seconds: float) -> None:
        self.seconds = list(seconds)
        self.now = 0.0

    def __call__(self) -> float:
        self.now += self.seconds.pop(0)
        return self.now


def test_looks_are_told_all_and_drawn_as_often_as_there_is_time(monkeypatch: pytest.MonkeyPatch) -> None:
    wire = WireHeard()
    drawn: list[tuple[str, int, bool]] = []

    def draw(fabric: Any, steps: int, *, apart: bool) -> Any:
        drawn.append((fabric.name, steps, apart))
        return a_drawing()

    along: list[str] = []
    carried: Any = SimpleNamespace(along=lambda fabric: along.append(fabric.name) or a_drawing())
    monkeypatch.setattr(settling, "drawn_yarn", draw)
    # begun at 1; looked at 2 (the settled and the first one are timed too), drawn in 3 seconds, then not before 6 more
    monkeypatch.setattr(settling, "perf_counter", Watch(1, 1, 1, 1, 3, 5.5, 0.5, 3, 6, 1))
    showing = Showing(ORDER, wire, carried)
    for step, settled in ((0, False), (1, True), (2, False), (3, False), (4, False), (5, False)):
        showing.look(look(step, settled=settled))
    shapes = [one.head["step"] for one in wire.told if isinstance(one, Shape)]
    told = [one for one in wire.told if isinstance(one, TellWorking)]
    assert told == [TellWorking(revision=3, on="rest", step=step) for step in range(6)]
    assert (shapes, along, drawn) == ([2, 4, 5], ["look 2"], [("look 4", 12, False), ("look 5", 12, False)])
    assert showing.last is not None
    assert showing.last.name == "look 5"  # type: ignore[attr-defined]


class Settled:
    """An order that is settled where every solve is a stand-in; ``begun``: from where each was."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.wire, self.begun, self.settling = WireHeard(), list[Any](), Settling()
        self.rests = True
        found = SimpleNamespace(measures=measured())
        patch.setattr(settling, "UsualPiece", SimpleNamespace(of=self._piece))
        patch.setattr(settling, "settle", self._settle)
        patch.setattr(settling, "drawn_yarn", lambda fabric, steps, *, apart: a_drawing())
        patch.setattr(settling, "drawn_apart", lambda fabric, drawn: apart(drawn))
        patch.setattr(
            settling, "CarriedYarn", SimpleNamespace(of=lambda drawn: SimpleNamespace(along=lambda fabric: drawn))
        )
        self.found = found

    def _piece(self, order: Order) -> Any:
        return SimpleNamespace(knitted=order.text, told=lambda rest: self.found)

    def _settle(self, knitted: str, start: Any, *, look: Any, stop: Any) -> Any:
        self.begun.append(None if start is None else start.name)
        assert stop() == self.wire.late
        name = f"rest {len(self.begun)}"
        if look is not None:
            look(globals()["look"](7))
        return SimpleNamespace(name=name, **vars(EQUILIBRIUM)) if self.rests else None

    def of(self, **other: Any) -> list[Any]:
        self.wire.told.clear()
        self.settling(replace(ORDER, **other), self.wire, self._said)
        return [
            (one.head["step"], one.head["rest"], one.head["apart"], "height" in one.arrays)
            if isinstance(one, Shape)
            else one
            for one in self.wire.told
        ]

    def _said(self, found: object, revision: int, which: str, *, likely: bool) -> Any:
        assert found is self.found
        return (revision, which, likely)


def test_an_order_is_told_from_its_looks_to_its_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    settled = Settled(monkeypatch)
    on_the_way = [TellWorking(revision=3, on="rest", step=7), (7, False, False, False)]
    rest = [(5, True, False, True), (3, "first", False), (5, True, True, True)]
    idle = TellWorking(revision=3, on="idle")
    assert settled.of() == [*on_the_way, *rest, idle]
    points = [one.arrays["point"][0, 0] for one in settled.wire.told if isinstance(one, Shape)]
    assert points == [1.0, 1.0, 2.0]  # what is sent last is the rest's own yarn, kept apart
    assert settled.of(shows="rest") == [*rest, idle]
    assert settled.of(shows="nothing") == [idle]
    beside = settled.of(which="second")
    assert beside[3] == (3, "second", False)
    assert settled.begun == [None, "rest 1", "rest 2", None]  # each kind goes on from its own last


def test_what_is_overtaken_is_gone_on_from_where_it_was_last_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    settled = Settled(monkeypatch)
    settled.of()
    settled.rests = False
    with pytest.raises(StoppedError, match="a newer change has come"):
        settled.of()
    settled.rests = True
    settled.of()
    assert settled.begun == [None, "rest 1", "look 7"]


def a_rest() -> Shape:
    return shape_of(EQUILIBRIUM, a_drawing(), apart=True, rest=True, revision=0, measures=measured())


@pytest.fixture
def written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Have the made-up order kept in a folder; return that."""
    (tmp_path / "kept").mkdir()
    for name, data in kept.written(ORDER, a_rest(), SAID).items():
        (tmp_path / "kept" / name).write_bytes(data)
    monkeypatch.setattr(kept.resources, "files", lambda package: tmp_path / ("" if package == kept.PACKAGE else "none"))
    return tmp_path / "kept"


def test_what_is_kept_is_read_back_under_the_revision_that_asks(written: Path) -> None:
    said = SAID.model_copy(update={"revision": 8})
    found = kept.kept_rest(replace(ORDER, revision=8))
    assert found is not None
    assert found[1] == kept.kept_said(replace(ORDER, revision=8)) == said
    shape = a_rest()
    assert found[0].head == {**shape.head, "revision": 8}
    assert {name: one.tolist() for name, one in found[0].arrays.items()} == {
        n: a.tolist() for n, a in shape.arrays.items()
    }
    assert zlib.compress(shape.framed(whole=True), 9) == (written / "hat_band.shape").read_bytes()
    text = (written / "hat_band.json").read_text(encoding="utf-8")
    assert text.endswith("}\n")
    assert json.loads(text) == {
        "scene_hash": scene_hash(ORDER.scene), "case": "round", "steps": 12, "said": SAID.model_dump(mode="json"),
    }  # fmt: skip


def test_only_what_was_kept_is_taken_for_it(written: Path) -> None:
    drawn_otherwise = replace(ORDER, steps=8)
    assert kept.kept_rest(drawn_otherwise) is None
    assert kept.kept_said(drawn_otherwise) is not None
    for other in ({"case": "repeat"}, {"which": "second"}, {"text": ORDER.text.replace("-0.04", "-0.05")}):
        assert kept.kept_said(replace(ORDER, **other)) is None  # type: ignore[arg-type]
    for damaged in (b"", b"no shape", zlib.compress(b"\xff\xff\xff\xff{}")):
        (written / "hat_band.shape").write_bytes(damaged)
        assert kept.kept_rest(ORDER) is None
    (written / "hat_band.shape").unlink()
    assert kept.kept_rest(ORDER) is None
    for damaged in (b"{", b"{}"):
        (written / "hat_band.json").write_bytes(damaged)
        assert kept.kept_said(ORDER) is None
    (written / "hat_band.json").unlink()
    assert kept.kept_said(ORDER) is None
