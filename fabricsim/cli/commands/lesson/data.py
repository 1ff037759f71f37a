"""What ``lesson`` says to programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from fabricsim.cli.commands.lesson.options import LessonOptions
from fabricsim.cli.commands.lesson.words import figures
from fabricsim.cli.commands.lesson.worn import WornStep, worn_for_programs
from fabricsim.study.forecast.sweep import Step, Sweep
from fabricsim.units import CENTINEWTON, CM, MM


def for_programs(
    found: Sweep,
    both: tuple[Step, Step] | None,
    options: LessonOptions,
    files: Sequence[tuple[Path, int]],
    seconds: Mapping[str, float],
    worn: Sequence[WornStep] = (),
) -> dict[str, Any]:
    """Return what was made: ``files`` with their sizes in bytes, the steps, one of them also with uneven floats (of
    ``both`` the second), how some sit that are ``worn``, and how many ``seconds`` each part took."""
    return {
        "command": "lesson",
        "title": found.steps[0].rest.scene.title,
        "case": options.load.case,
        "files": [{"path": str(path), "bytes": size} for path, size in files],
        "steps": [_measured(step) for step in reversed(found.steps)],
        "uneven": None if both is None else _measured(both[1]),
        **({"worn": worn_for_programs(worn)} if worn else {}),
        "no_rest": [{"slack_percent": 100.0 * slack, "because": why} for slack, why in found.lost],
        "seconds": dict(seconds),
    }


def _measured(step: Step) -> dict[str, Any]:
    """Return the numbers of a step for a program."""
    measures = step.measures
    return {
        "slack_percent": 100.0 * step.slack,
        "width_cm": measures.widths.width / CM,
        "draw_in_percent": 100.0 * measures.widths.overall,
        "pucker_mm": measures.pucker.peak_to_valley / MM,
        "floats": len(step.rest.mesh.floats),
        "taut": measures.pull.taut,
        "greatest_tension_cN": measures.pull.greatest / CENTINEWTON,
        "said": dict(figures(step)),
    }
