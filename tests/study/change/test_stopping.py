"""Ctrl-C while a way is looked for: the best that was tried of it is kept."""

from __future__ import annotations

from dataclasses import replace
from itertools import count
from typing import Any

import pytest

from fabricsim.study.change import changing, ways
from fabricsim.study.change.aims import Aims
from fabricsim.study.change.changing import change
from fabricsim.study.change.search import Proposal, Searched
from tests.support.scenes import scene_of

SCENE = scene_of(["#......#..", "...#......"], -0.06, chart={"across": 3})
AIMS = Aims(within=False, may_lose=0.001)


@pytest.mark.parametrize("tries", [1, 2])
def test_the_best_tried_of_a_way_that_was_stopped_is_kept(monkeypatch: pytest.MonkeyPatch, tries: int) -> None:
    """The second that is tried loses more, so the first is the best; before any was tried there is no way."""
    calls, lost = count(1), {0: 0.03, 1: 0.02, 2: 0.025}
    usual = ways.tried_scene

    def search(*given: Any, **more: Any) -> Searched:
        if next(calls) > tries:
            raise KeyboardInterrupt
        one = Proposal((), (), 1, 1, 0.0, 0)
        return Searched(one, one, 1)

    done = count(1)

    def tried(*given: Any, **more: Any) -> Any:
        return replace(usual(*given, **more), over=next(done))

    monkeypatch.setattr(ways, "search", search)
    monkeypatch.setattr(ways, "tried_scene", tried)
    monkeypatch.setattr(ways, "_order", lambda told, aims: (0, lost[told.over]))
    found = change(SCENE, AIMS, "repeat", kinds=["carrying", "stitches"])
    assert found.stopped
    (way,) = found.ways
    assert (way.kind, way.tried is not None and way.tried.over) == ("carrying", 1)


def test_stopped_before_anything_was_tried_there_is_no_way(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*given: Any, **more: Any) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr(ways, "search", stop)
    found = changing.change(SCENE, AIMS, "repeat", kinds=["carrying"])
    assert (found.stopped, found.ways) == (True, [])
