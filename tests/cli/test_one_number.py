"""One number, one owner: what several commands say of one scene is the same."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from fabricsim.cli import main
from fabricsim.study.forecast import forecast
from fabricsim.study.forecast.middle import AS_THE_MIDDLE
from tests.support.little import little

ROUND = little(across=6, floats="slack = -0.03\nlongest_gap = 2", case="round") + "[sizes]\nbodies = [19.0, 24.0]\n"
FLAT = little(worked="flat", across=2, floats='slack = -0.02\ncatches = "planned"\nlongest_gap = 2', case="swatch")
THREE = little(rows=("..b.c.", ".bcb..", "b...b."), across=6, floats="unevenness = 0.05\nshort_mm = 0.3", case="round")
THREE += "\n"
YARN = '[[yarns]]\nsymbol = "c"\nname = "clay"\ncolour = "#9a4b2c"\ntex = 500\n[gauge]'
SCENES = {
    "hat in the round": ROUND.replace('worked = "round"', 'worked = "round"\nitem = "hat"', 1),
    "flat swatch with planned catches": FLAT,
    "three colours, hands unknown": THREE.replace("[gauge]", YARN, 1),
}

HAIR = 5e-3
"""Per cent, cm and mm by which the same shape may differ with the way in, as floats may cut in by a hundredth of a
thickness (0.02 mm) before they lie on the back: a twentieth of what is printed."""


KNOWN: dict[tuple[str, ...], dict[str, Any]] = {}
"""What was answered, by the scene's text and the words: each question is asked once in all of these tests."""


class Asked:
    """The commands about one scene."""

    def __init__(self, path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.path, self.capsys = path, capsys

    def said(self, *words: str) -> dict[str, Any]:
        question = (self.path.read_text(encoding="utf-8"), *words)
        if question not in KNOWN:
            assert main([words[0], str(self.path), *words[1:], "--json"]) == 0
            KNOWN[question] = json.loads(self.capsys.readouterr().out)
        return KNOWN[question]


def scene(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Asked:
    """Return whom to ask about one of the ``SCENES``, in a folder of its own, on one processor."""
    path = tmp_path / "scene.toml"
    path.write_text(SCENES[name], encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return Asked(path, capsys)


@pytest.mark.parametrize("name", SCENES, ids=lambda name: name.replace(" ", "_"))
def test_every_command_says_the_same_of_one_scene(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Width, draw-in and pucker with their likely ranges, floats over the limits, counts and metres.

    A preview also lets the slack in from loose to tight, which the others don't: the same shape but for a hair.
    """
    asked = scene(name, tmp_path, capsys, monkeypatch)
    preview = asked.said("preview", "--width", "200")
    drawn, pucker, floats = preview["draw_in"], preview["pucker"], preview["floats"]

    (row,) = asked.said("compare")["rows"]
    told = {
        "draw_in_percent": drawn["nominal_percent"],
        "draw_in_low_percent": drawn["low_percent"],
        "draw_in_high_percent": drawn["high_percent"],
        "width_cm": drawn["width_cm"],
        "pucker_mm": pucker["nominal_mm"],
        "pucker_low_mm": pucker["low_mm"],
        "pucker_high_mm": pucker["high_mm"],
        "floats": floats["count"],
        "taut_floats": floats["taut"],
        "floats_over_limit": floats["over_limit"],
    }
    assert {key: row[key] for key in told} == pytest.approx(told, abs=HAIR)

    vary = asked.said("vary", "--runs", str(forecast.PIECES))
    assert len(vary["runs"]) == forecast.PIECES
    lost = [one["draw_in_percent"] for one in vary["runs"] if one["at_rest"]]
    assert min(lost) == pytest.approx(drawn["low_percent"], abs=1e-4)
    assert max(lost) == pytest.approx(drawn["high_percent"], abs=1e-4)
    middle = vary["quantities"]["draw_in_percent"]["quantiles"][2]
    assert middle["at_percent"] == 50.0
    assert middle["value"] == pytest.approx(drawn["nominal_percent"], abs=100.0 * AS_THE_MIDDLE)

    assert asked.said("floats")["summary"]["over_limit"] == floats["over_limit"]

    if "item" in asked.path.read_text(encoding="utf-8"):
        return  # of a hat the yarn is that of rib and crown too
    used = {one["yarn"]: one["used_m"] for one in asked.said("yarn")["yarns"]}
    in_row = [row[key] for key in sorted(row) if key.startswith("yarn_") and row[key] is not None]
    assert in_row == pytest.approx(list(used.values()), rel=1e-6)


def test_sizes_begin_from_the_forecast_of_the_piece_as_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The size of as many stitches as the scene has draws in as the preview says, likely range and all."""
    asked = scene("hat in the round", tmp_path, capsys, monkeypatch)
    drawn = asked.said("preview", "--width", "200")["draw_in"]
    sizes = [one["counted"] for one in asked.said("sizes")["sizes"] if one["counted"] is not None]
    (own,) = [one for one in sizes if one["stitches"] == 36]
    assert own["drawn_in_percent"] == pytest.approx(drawn["nominal_percent"], abs=1e-4)
    assert own["finished_cm"] == pytest.approx(drawn["width_cm"], abs=1e-4)
    likely = [drawn["plain_width_cm"] * (1.0 - 0.01 * drawn[f"{end}_percent"]) for end in ("high", "low")]
    assert own["finished_likely_cm"] == pytest.approx(likely, abs=1e-3)


def test_a_report_says_the_same_on_every_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Draw-in, floats over the limits after catches, stitch counts and metres, in each of its parts and by their own
    commands."""
    asked = scene("flat swatch with planned catches", tmp_path, capsys, monkeypatch)
    assert main(["report", str(asked.path), "--out", "page.html"]) == 0
    capsys.readouterr()
    parts = json.loads(Path("page.json").read_text(encoding="utf-8"))["parts"]
    preview = asked.said("preview", "--width", "200")
    assert parts["preview"]["draw_in"] == pytest.approx(preview["draw_in"], abs=HAIR)
    told = ("low_mm", "nominal_mm", "high_mm")
    said, page = ([one["pucker"][key] for key in told] for one in (preview, parts["preview"]))
    assert page == pytest.approx(said, abs=HAIR)
    over = [
        preview["floats"]["over_limit"],
        parts["preview"]["floats"]["over_limit"],
        parts["floats"]["summary"]["over_limit"],
        parts["catches"]["after"]["over"],
    ]
    assert over == [0, 0, 0, 0]
    longest = [parts["floats"]["summary"]["longest_gap_stitches"], parts["difficulty"]["longest_gap_stitches"]]
    assert longest == [parts["catches"]["after"]["longest_gap"]] * 2
    assert parts["rounds"]["finished_cm"] == pytest.approx(preview["draw_in"]["width_cm"], abs=HAIR)
    assert parts["rounds"]["finished_is_forecast"]
    assert [parts[name]["stitches"] for name in ("preview", "yarn", "rounds")] == [preview["stitches"]] * 3
    assert parts["yarn"]["yarns"] == asked.said("yarn")["yarns"]


def test_a_lesson_shows_what_a_preview_says_of_floats_that_are_all_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """And of which none comes out shorter than it is meant to."""
    asked = scene("flat swatch with planned catches", tmp_path, capsys, monkeypatch)
    asked.path.write_text(FLAT.replace("slack = -0.02", "slack = -0.02\nshort_mm = 0"), encoding="utf-8")
    preview = asked.said("preview", "--even", "--width", "200")
    tight = asked.said("lesson", "--steps=-0.02,0.1", "--no-3d")["steps"][0]
    assert tight["slack_percent"] == pytest.approx(-2.0)
    assert tight["draw_in_percent"] == pytest.approx(preview["draw_in"]["nominal_percent"], abs=HAIR)
    assert tight["width_cm"] == pytest.approx(preview["draw_in"]["width_cm"], abs=HAIR)
    assert tight["pucker_mm"] == pytest.approx(preview["pucker"]["nominal_mm"], abs=HAIR)
    assert [tight["floats"], tight["taut"]] == [preview["floats"]["count"], preview["floats"]["taut"]]


def test_slack_is_the_forecast_asked_the_other_way_round(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Floats that may lose what the preview loses have the slack of the scene: to three tenths of a per cent, as what
    is asked for is no longer a part of what hands vary in, and the middle of sixteen pieces moves with that."""
    asked = scene("flat swatch with planned catches", tmp_path, capsys, monkeypatch)
    lost = asked.said("preview", "--width", "200")["draw_in"]["nominal_percent"]
    slack = asked.said("slack", "--may-lose", f"{lost:.6f}")["slack_for_width_percent"]
    assert slack["nominal"] == pytest.approx(-2.0, abs=0.3)
    assert slack["low"] <= -2.0 <= slack["high"]


def test_a_repeat_that_is_stretched_begins_as_wide_as_it_is_previewed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = scene("flat swatch with planned catches", tmp_path, capsys, monkeypatch)
    drawn = asked.said("preview", "--case", "repeat", "--width", "200")["draw_in"]
    at_rest = asked.said("stretch", "--draft", "--load", "1")["across"]["size_at_rest_cm"]
    lost = 100.0 * (1.0 - at_rest / (0.5 * drawn["plain_width_cm"]))
    assert lost == pytest.approx(drawn["nominal_percent"], abs=HAIR)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("hat in the round", ("sizes",)),
        ("flat swatch with planned catches", ("preview", "--width", "200")),
        ("flat swatch with planned catches", ("slack", "--may-lose", "1")),
    ],
    ids=lambda given: given if isinstance(given, str) else given[0],
)
def test_two_processors_say_what_one_says(
    name: str,
    words: tuple[str, ...],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    request: pytest.FixtureRequest,
) -> None:
    asked = scene(name, tmp_path, capsys, monkeypatch)
    alone = asked.said(*words)
    request.getfixturevalue("two_processors")
    assert main([words[0], str(asked.path), *words[1:], "--json"]) == 0
    several = json.loads(capsys.readouterr().out)
    assert {**several, "seconds": None} == {**alone, "seconds": None}
