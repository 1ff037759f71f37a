"""Bars of long work, on a terminal."""

from __future__ import annotations

import pytest

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
