"""What a knitter's file says, in a knitter's words."""

from __future__ import annotations

from typing import Any

from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntLength, LearntShare, LearntSlack
from fabricsim.design.scene.model import Scene

SURE = "95 times in 100"


def slack_said(learnt: LearntSlack) -> str:
    """Return a slack with its ends: ``6 % too short (3 to 9 %)``."""
    if learnt.known == "at least":
        return f"at least {_end(learnt.low)}"
    value, ends = learnt.value, (learnt.low, learnt.high)
    if value < 0.0 and max(ends) <= 0.0:
        return f"{-100 * value:.0f} % too short ({abs(100 * ends[1]):.0f} to {-100 * ends[0]:.0f} %)"
    if min(ends) >= 0.0:
        return f"{100 * value:.0f} % slack ({100 * ends[0]:.0f} to {100 * ends[1]:.0f} %)"
    return f"{_end(value)} ({_end(ends[0])} to {_end(ends[1])})"


def _end(slack: float) -> str:
    """Return a slack alone: ``6 % too short``, ``6 % slack``."""
    return (
        "just long enough"
        if abs(slack) < 0.005
        else f"{abs(100 * slack):.0f} % {'too short' if slack < 0 else 'slack'}"
    )


def factor_said(learnt: LearntFactor) -> str:
    """Return a factor with its ends: ``1.3 times (0.9 to 1.9)``."""
    return f"{learnt.value:.2g} times ({learnt.low:.2g} to {learnt.high:.2g})"


def uneven_said(learnt: LearntShare) -> str:
    """Return an unevenness with its ends: ``4 % from float to float (3 to 7 %)``."""
    low, value, high = (100.0 * one for one in (learnt.low, learnt.value, learnt.high))
    return f"{value:.2g} % from float to float ({low:.2g} to {high:.2g} %)"


def short_said(learnt: LearntLength) -> str:
    """Return by how much floats fall short, with its ends: ``0.6 mm each (0.2 to 1 mm)``."""
    return f"{learnt.value:.1f} mm each ({learnt.low:.1f} to {learnt.high:.1f} mm)"


def hands_used(scene: Scene, *, other_slack: bool = False) -> list[str]:
    """Return the sentence that says which knitter's file is used and what it holds; none without one.

    ``other_slack``: the slack was asked for, so that of the file does not count.
    """
    hands = scene.hands
    if hands is None:
        return []
    said = []
    if hands.slack.known == "not told" and not hands.slack_by_yarn:
        said.append("it can't tell the slack")
    elif other_slack or not scene.slack_is_learnt:
        said.append("its slack is not used, since another one is given")
    else:
        said.append(f"floats {slack_said(hands.slack)}")
        said += [f"those of {name} {slack_said(one)}" for name, one in hands.slack_by_yarn.items()]
    if hands.unevenness is not None and hands.unevenness.known != "not told" and scene.floats.unevenness is None:
        said.append(f"uneven by {uneven_said(hands.unevenness)}")
    if hands.short_mm is not None and hands.short_mm.known != "not told" and scene.floats.short_mm is None:
        said.append(f"short by {short_said(hands.short_mm)}")
    for what, learnt in (("stiff to stretch", hands.stretch), ("stiff to bend", hands.bending)):
        if learnt.known != "not told":
            said.append(f"{factor_said(learnt)} as {what} as was assumed")
    if hands.weight.known != "not told":
        said.append(f"{factor_said(hands.weight)} as heavy")
    return [f"By the knitter's file {scene.knitter}: {'; '.join(said)}."]


def for_programs(hands: Knitter | None) -> dict[str, Any] | None:
    """Return a knitter's file for JSON, units in the keys; None for None."""
    if hands is None:
        return None
    return {
        "swatch": hands.swatch,
        "slack": slack_keys(hands.slack),
        "slack_by_yarn": {name: slack_keys(one) for name, one in hands.slack_by_yarn.items()},
        "unevenness": None if hands.unevenness is None else slack_keys(hands.unevenness),
        "short": None if hands.short_mm is None else short_keys(hands.short_mm),
        "stretch": factor_keys(hands.stretch),
        "bending": factor_keys(hands.bending),
        "bending_against_stretch_factor": hands.bending_against_stretch,
        "weight": factor_keys(hands.weight),
    }


def short_keys(learnt: LearntLength) -> dict[str, Any]:
    return {"mm": learnt.value, "low_mm": learnt.low, "high_mm": learnt.high, "known": learnt.known}


def slack_keys(learnt: LearntSlack | LearntShare) -> dict[str, Any]:
    return {
        "percent": 100.0 * learnt.value,
        "low_percent": 100.0 * learnt.low,
        "high_percent": 100.0 * learnt.high,
        "known": learnt.known,
    }


def factor_keys(learnt: LearntFactor) -> dict[str, Any]:
    return {
        "factor": learnt.value,
        "low_factor": learnt.low,
        "high_factor": learnt.high,
        "known": learnt.known,
    }
