"""Bars of long work, on a terminal."""

from __future__ import annotations

import pytest

from fabricsim.cli.shell import progress
from fabricsim.cli.shell.progress import Tally, Watch


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


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0.2, "about 1 s"), (89.9, "about 90 s"), (90.0, "about 2 min"), (89.4 * 60, "about 89 min"),
        (90.0 * 60, "about 1.5 hours"), (7200.0, "about 2.0 hours"),
    ],
)  # fmt: skip
def test_a_time_is_as_exact_as_a_guess_can_be(seconds: float, said: str) -> None:
    assert progress._time(seconds) == said


def test_elsewhere_a_tally_tells_now_and_then_how_long_the_others_take(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    clock = iter((0.0, 4.0, 11.0, 20.9, 30.0))
    monkeypatch.setattr(progress, "monotonic", lambda: next(clock))
    with Tally("settings", 8, 3) as tally:
        for _ in range(4):
            tally.one_more()
    # 5 are left of 8: two take 11 s, so the other three take 16.5
    assert capsys.readouterr().err.splitlines() == [
        "settings: 8, 3 of them already done ...",
        "settings: 5 of 8, about 16 s left ...",
        "settings: 7 of 8, about 8 s left ...",
    ]
    clock = iter((0.0,))
    with Tally("pieces", 4):
        pass
    assert capsys.readouterr().err == "pieces: 4 ...\n"


def test_on_a_terminal_a_tally_is_a_bar(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    with Tally("settings", 8, 3) as tally:
        tally.one_more()
        (bar,) = tally._bars.tasks
        assert (bar.description, bar.completed, bar.total) == ("settings", 4, 8)
        assert tally._bars.live.is_started
    assert not tally._bars.live.is_started


def test_bars_are_shown_while_work_is_on_and_counts_are_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    with Watch() as watch:
        assert watch._bars.live.is_started
        done = watch.counting("pieces", 1200)
        done(7)
        (bar,) = watch._bars.tasks
        assert (bar.description, bar.completed, bar.total) == ("pieces: 7 of up to 1,200", 7, 1200)
    assert not watch._bars.live.is_started
    monkeypatch.delenv("FORCE_COLOR")
    capsys.readouterr()
    with Watch() as quiet:
        quiet.counting("pieces", 1200)(7)
        quiet.stage("slack 1 %", 0, 1)
        quiet.stage("slack 1 %", 1, 3)
        quiet.drawing("face")
    assert capsys.readouterr().err.splitlines() == [
        "pieces: up to 1,200 ...", "bringing to rest: slack 1 % ...", "bringing to rest: slack 1 % (2 of 3) ...",
        "drawing: face ...",
    ]  # fmt: skip


def test_a_solve_that_nobody_waits_for_ends_at_its_next_step(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    with Watch() as watch:
        solving = watch.stage("one", 0, 1)
        solving(1, 1e-3)
        solving(2, 1e-2)
        (bar,) = watch._bars.tasks
        assert bar.completed == pytest.approx(3.0)  # never back
        solving(3, 1e-30)
        assert bar.completed == progress.REST
    with pytest.raises(KeyboardInterrupt):
        solving(4, 1.0)
