"""The calibrate command, and what becomes of the file that it writes."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack, knitter_text, read_knitter
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.design.swatch.measured import Measured, read_measured
from fabricsim.errors import NoEquilibriumError
from fabricsim.study.calibrate import learning
from fabricsim.study.hands.prior import hands_of
from fabricsim.units import MM
from tests.cli.remembered import remembered
from tests.support.little import little

ROWS = ("b.....", "..b...")
WIDTHS = """
[plain]
stitches = 36
width_cm = 19.0
uncertain_cm = 0.1
[colourwork]
stitches = 36
width_cm = 17.6
uncertain_cm = 0.1
"""
MORE = (
    WIDTHS
    + """
[stretched]
section = "plain"
stitches = 36
width_cm = 21
grams = 20
strip_cm = 8
[[floats]]
gap = 5
yarn_cm = 2.95
yarn = "b"
uncertain_cm = 0.04
[[floats]]
gap = 1
yarn_cm = 0.98
yarn = "."
uncertain_cm = 0.02
"""
)


def files(tmp_path: Path, measured: str, scene: str | None = None) -> list[str]:
    (tmp_path / "scene.toml").write_text(scene or little(ROWS, floats="longest_gap = 6"), encoding="utf-8")
    (tmp_path / "swatch.toml").write_text(measured, encoding="utf-8")
    return ["calibrate", str(tmp_path / "scene.toml"), "--measured", str(tmp_path / "swatch.toml")]


def test_from_swatch_to_forecast(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    hands = tmp_path / "my_hands.toml"
    assert main([*files(tmp_path, MORE), "--out", str(hands)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Little check\n")
    assert "Your floats come out " in said
    assert " % too short (" in said
    assert "95 times in 100)" in said
    assert "Those of ink come out " in said
    assert "Against stretch your fabric is " in said
    assert "How stiff your fabric is against bending can't be told from this" in said
    assert "not against hand-knits" in " ".join(said.split())
    assert f'Written to {hands}. Name it in a scene that lies beside it, above [chart]: knitter = "my_hands.toml"' in (
        said.replace("\n", " ").replace("  ", " ")
    )
    learnt = read_knitter(hands, "x")
    assert learnt.swatch == "Little check"
    assert learnt.slack.low < learnt.slack.value < learnt.slack.high
    assert learnt.unevenness is not None
    assert learnt.short_mm is not None
    assert hands_of(read_scene(tmp_path / "scene.toml")).goes_with == (0.0, 0.0)
    scene = tmp_path / "scene.toml"
    scene.write_text('knitter = "my_hands.toml"\n' + scene.read_text(encoding="utf-8"), encoding="utf-8")
    read = read_scene(scene)
    assert read.slack_of_yarns == (learnt.slack_by_yarn["milk"].value, learnt.slack_by_yarn["ink"].value)
    assert learnt.slack_goes is not None
    with_short = learnt.slack_goes.with_short_mm / MM
    assert hands_of(read).goes_with == (learnt.slack_goes.with_unevenness, with_short)
    # all together as far as the file says; what goes with the others is no doubt of its own
    whole = (learnt.slack.high - learnt.slack.low) / (2 * 1.96)
    assert hands_of(read).slack < hands_of(read).all_slack <= whole * (1.0 + 1e-9)
    assert main(["preview", str(scene), "--out", str(tmp_path / "p"), "--width", "200", "--draft"]) == 0
    assert "By the knitter's file my_hands.toml: floats " in capsys.readouterr().out
    summary = json.loads((tmp_path / "p" / "summary.json").read_text(encoding="utf-8"))
    assert summary["knitter"]["slack"]["percent"] == pytest.approx(100 * learnt.slack.value)


def test_calibrating_by_a_scene_that_names_a_file_leaves_that_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Or else what is learnt would be told on top of what was learnt before."""
    once = LearntFactor(value=1.5, low=1.0, high=2.0, known="measured")
    slack = LearntSlack(value=-0.2, low=-0.25, high=-0.1, known="measured")
    hands = Knitter(slack=slack, stretch=once, bending=once, weight=once, bending_against_stretch=2.0)
    words = files(tmp_path, WIDTHS)
    scene = tmp_path / "scene.toml"
    (tmp_path / "hands.toml").write_text(knitter_text(hands), encoding="utf-8")
    scene.write_text('knitter = "hands.toml"\n' + scene.read_text(encoding="utf-8"), encoding="utf-8")
    asked: list[Scene] = []

    def respond(given: Scene, *_: object) -> object:
        asked.append(given)
        raise NoEquilibriumError("not asked for")

    monkeypatch.setattr("fabricsim.study.calibrate.learning.Responses", respond)
    assert main(words) == 3
    assert asked[0].hands is None
    assert asked[0].slack_of_yarns == (0.0, 0.0)


def test_for_programs_and_spreadsheets(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    evenly = little(ROWS, floats="unevenness = 0.0\nshort_mm = 0.0")  # less to learn
    words = files(tmp_path, WIDTHS, evenly)
    with remembered(learning, "calibrate"):
        assert main([*words, "--json"]) == 0
        said = json.loads(capsys.readouterr().out)
        assert main([*words, "--csv"]) == 0
        table = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert (said["schema_version"], said["command"], said["case"]) == (1, "calibrate", "repeat")
    assert said["knitter"]["stretch"]["known"] == "not told"
    assert [one["key"] for one in said["measurements"]] == ["plain.width_cm", "colourwork.width_cm"]
    assert said["measurements"][1]["measured"] == 17.6
    assert [one["key"] for one in table] == ["plain.width_cm", "colourwork.width_cm"]
    assert float(table[1]["fitted"]) == pytest.approx(17.6, abs=0.1)


def test_a_measurement_that_fits_no_other_is_called_doubtful(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    floats = "[[floats]]\ngap = 5\nyarn_cm = 3.4\nuncertain_cm = 0.1\n"
    evenly = little(ROWS, floats="unevenness = 0.0\nshort_mm = 0.0")  # else uneven hands might do it
    assert main(files(tmp_path, WIDTHS + floats, evenly)) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "doubtful: measure again" in said
    assert "can't be made to fit the others; don't trust the answer" in said


def test_what_no_hands_can_fit_gets_one_line_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    floats = "[[floats]]\ngap = 5\nyarn_cm = 4.2\nuncertain_cm = 0.01\n"
    out = tmp_path / "hands.toml"
    evenly = little(ROWS, floats="unevenness = 0.0\nshort_mm = 0.0")
    assert main([*files(tmp_path, WIDTHS + floats, evenly), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    line = said.err.splitlines()[-1]
    assert "swatch.toml: " in line
    assert "allowed: what hands can knit: beside the rest they come to " in line
    assert "measure again, and count the stitches" in line
    assert not out.exists()


def test_the_form_reads_as_nothing_measured(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files(tmp_path, "")
    form = tmp_path / "form.toml"
    make = ["calibrate", str(tmp_path / "scene.toml"), "--form", str(form)]
    assert main(make) == 0
    assert f"Written to {form}." in capsys.readouterr().out
    assert read_measured(form) == Measured()
    text = form.read_text(encoding="utf-8")
    keys = {line[2:].split("=")[0].strip() for line in text.splitlines() if line.startswith("# ") and "=" in line}
    assert keys >= {"width_cm", "height_cm", "pucker_mm", "grams", "strip_cm", "gap", "yarn_cm"}
    # filled in: every line of a key without its #, a number where there is none
    filled = []
    for line in text.splitlines():
        key, equals, value = line.removeprefix("# ").partition("=")
        if line == "# [[floats]]":
            filled.append("[[floats]]")
        elif line.startswith("# ") and equals and key.strip().isidentifier():
            number = value.partition("#")[0].strip()
            filled.append(f"{key}= {number or ('[31, 29.5, 33]' if key.strip() == 'yarn_mm' else '5.0')}")
        else:
            filled.append(line)
    form.write_text("\n".join(filled), encoding="utf-8")
    assert read_measured(form).colourwork.stitches == 12
    assert main(make) == 2  # what is filled in is never written over
    assert "which is there and is a TOML file; allowed: a new file; name another" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("measured", "line"),
    [
        ("", "given nothing that tells how the floats lie"),
        (
            WIDTHS.replace("17.6", "21"),
            "colourwork.width_cm: given 21; allowed: 13.3 to 19.3 cm, as 36 stitches are 19.0",
        ),
        (WIDTHS.replace("17.6", "-17.6"), "colourwork.width_cm: given -17.6; allowed: at least 0.1, at most 1,000"),
        (
            WIDTHS.replace("17.6", "nan"),
            "colourwork.width_cm: given nan; allowed: a number that is neither nan nor inf",
        ),
        (
            WIDTHS.replace("19.0", "24"),
            "plain.width_cm: given 24; allowed: 16.1 to 21.8 cm, as 36 of them are 18.9 cm at",
        ),
        (
            MORE.replace("width_cm = 21", "width_cm = 18.9"),
            "stretched.width_cm: given 18.9; allowed: more than the 19.0",
        ),
        (MORE.replace("grams = 20", "grams = -20"), "stretched.grams: given -20; allowed: at least 0.01, at most"),
        (
            MORE.replace("grams = 20\n", ""),
            "stretched: given stitches and width_cm and strip_cm without grams; allowed: ",
        ),
        (
            MORE.replace('yarn = "b"', 'yarn = "q"'),
            "floats (no. 1).yarn: given 'q'; allowed: the symbol of a yarn (., b)",
        ),
        (
            MORE.replace("yarn_cm = 2.95", "yarn_cm = 30"),
            "floats (no. 1).yarn_cm: given 30; allowed: 1.6 to 6.3 cm behind",
        ),
        (WIDTHS + "[weighed]\ngrams = 500\n", "weighed.grams: given 500; allowed: "),
        (
            WIDTHS + "[[floats]]\ngap = 5\nyarn_mm = [20, 60, 20, 60]\n",
            "floats (no. 1).yarn_mm: given lengths that differ by 73 %; allowed: up to 30 %",
        ),
        (
            WIDTHS + "[[floats]]\ngap = 5\nyarn_mm = [31, 2]\n",
            "floats (no. 1).yarn_mm: given 2; allowed: 15.8 to 63.3 mm behind 5 stitches",
        ),
        (WIDTHS + "[[floats]]\ngap = 5\n", "given neither yarn_cm nor yarn_mm; allowed: one of the two"),
        (WIDTHS.replace("width_cm", "wide_cm"), "plain: given the unknown key 'wide_cm'; allowed: stitches, width_cm"),
        (WIDTHS + "[", "given a file that isn't TOML"),
    ],
)
def test_what_cannot_be_gets_one_line_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], measured: str, line: str
) -> None:
    out = tmp_path / "hands.toml"
    assert main([*files(tmp_path, measured), "--out", str(out)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert len(said.err.splitlines()) == 1
    assert line in said.err
    assert not out.exists()


def test_files_that_were_read_are_not_written_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = files(tmp_path, WIDTHS)
    assert main([*words, "--out", str(tmp_path / "swatch.toml")]) == 2
    assert "which is read here" in capsys.readouterr().err
    assert main([*words, "--out", str(tmp_path / "hands")]) == 2
    assert "a file that ends in .toml" in capsys.readouterr().err
    assert main(words[:2]) == 2
    assert "make one with --form" in capsys.readouterr().err


def test_a_chart_without_floats(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(files(tmp_path, WIDTHS, little(("......", "bbbbbb")))) == 2
    assert "a chart without floats" in capsys.readouterr().err
