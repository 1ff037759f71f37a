"""Bars of long work, on a terminal."""

from __future__ import annotations

import pytest

from fabricsim.cli.shell import progress
from fabricsim.cli.shell.progress import Watch


@pytest.mark.parametrize(("in_turn", "shown"), [(False, ["slack 1 %", "slack 0 %", "face"]), (True, ["face"])])
def test_of_stages_that_follow_each_other_the_last_is_shown(
    in_turn: bool, shown: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")  # a terminal, to rich
    with Watch(in_turn) as watch:
        for number, name in enumerate(("slack 1 %", "slack 0 %")):
            solving = watch.stage(name, number, 2)
            solving(1, 1e-4)
        watch.drawing("face")
        solving(2, 1e-6)  # a stage whose bar has gone may still tell of its steps
        texts = [task.description for task in watch._bars.tasks]
    assert [next(name for name in shown if name in text) for text in texts] == shown


def test_of_solves_over_and_over_each_begins_the_bar_anew_and_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    with Watch(in_turn=True) as watch:
        solving = watch.again_and_again("the swatch")
        (bar,) = watch._bars.tasks
        seen = []
        for step, force in ((1, 1e-1), (2, 1e-8), (1, 1e-2), (2, 1e-4)):
            solving(step, force)
            seen.append((bar.description, round(bar.completed)))
    first, second = (f"bringing to rest: the swatch, solve {number}" for number in (1, 2))
    assert seen == [(first, 1), (first, 8), (second, 2), (second, 4)]


def test_elsewhere_solves_over_and_over_are_told_now_and_then(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    clock = iter((0.0, 5.0, 11.0, 11.0, 12.0))
    monkeypatch.setattr(progress, "monotonic", lambda: next(clock))
    with Watch() as watch:
        solving = watch.again_and_again("the swatch")
        for _ in range(3):
            solving(1, 1.0)
    assert capsys.readouterr().err.splitlines() == [
        "bringing to rest: the swatch ...",
        "bringing to rest: the swatch, solve 2 ...",
    ]


def test_a_search_moves_a_bar_on_a_terminal_and_is_silent_elsewhere(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    with Watch() as watch:
        watch.searching("looking for the best places")
    assert capsys.readouterr() == ("", "")
    monkeypatch.setenv("FORCE_COLOR", "1")
    with Watch() as watch:
        watch.searching("looking for the best places")
        assert [(one.description, one.total) for one in watch._bars.tasks] == [("looking for the best places", None)]
