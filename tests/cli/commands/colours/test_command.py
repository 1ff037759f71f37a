"""``fabricsim colours`` as its users meet it."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.render.basics.eyes import SEEN, grey, seen
from tests.support.little import RINGS, assert_refused, little

MILK, INK = (0xEE, 0xEA, 0xE0), (0x1D, 0x2B, 0x4F)


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(little())
    return path


def run(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    assert main(["colours", *map(str, words)]) == 0
    return capsys.readouterr().out


def told(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    """Return what is said in one line."""
    return " ".join(run(capsys, *words).split())


def pair(path: Path, capsys: pytest.CaptureFixture[str], one: str, other: str) -> dict[str, Any]:
    path.write_text(little().replace("#eeeae0", one).replace("#1d2b4f", other))
    said = json.loads(run(capsys, path, "--json"))
    assert len(said["pairs"]) == 1
    found: dict[str, Any] = said["pairs"][0]
    return found


def test_black_and_white_are_as_far_apart_as_can_be(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = pair(path, capsys, "#000000", "#ffffff")
    assert found["contrast_ratio"] == pytest.approx(21.0)  # WCAG 2.2
    assert found["lightness"] == [0.0, 100.0]
    assert found["difference"] == pytest.approx(100.0)
    assert found["in_grey"] == "clear"
    assert not any(left["hard_to_tell"] for left in found["colour_blind"].values())


def test_red_and_green_as_light_as_each_other_are_muddy_and_hard_for_the_red_and_green_blind(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = pair(path, capsys, "#a0653f", "#6b7a3f")
    assert found["in_grey"] == "muddy"
    assert found["difference"] > 25
    hard = {eye: left["hard_to_tell"] for eye, left in found["colour_blind"].items()}
    assert hard == {"protan": True, "deutan": True, "tritan": False}
    out = run(capsys, path)
    assert "milk and ink: muddy in grey." in out
    assert "milk and ink: hard to tell apart for red-blind and green-blind eyes." in out
    # the same colour twice: the worst that can be
    assert pair(path, capsys, "#808080", "#808080")["difference"] == 0.0
    assert "hard to tell apart for anybody" in run(capsys, path)


@pytest.mark.parametrize(("other", "verdict"), [("#d0d0d0", "muddy"), ("#aaaaaa", "fair"), ("#999999", "clear")])
def test_the_verdict_in_grey_is_by_the_gap(
    other: str, verdict: str, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = pair(path, capsys, "#efefef", other)  # L* 94.5 against 83.6, 69.6 and 63.2
    assert found["in_grey"] == verdict
    low, high = {"muddy": (0, 15), "fair": (15, 30), "clear": (30, 100)}[verdict]  # trade, memory
    assert low <= found["lightness_gap"] < high


def test_the_motif_should_be_carried_below(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = told(capsys, path)
    assert "milk is carried below, so it stands out more; but ink makes the motif (27 % of the stitches of both)" in out
    assert "Carry ink below milk for a clear motif, and never swap." in out
    assert 'For that write below = "b" under [floats]; nothing else in the scene need change.' in out
    said = json.loads(run(capsys, path, "--json"))
    assert (said["strands_from_below"], said["advised_from_below"]) == ([".", "b"], ["b", "."])
    path.write_text(little(floats='slack = 0.0\nbelow = "b"'))
    out = told(capsys, path)
    assert "ink is carried below, so it stands out more, and it makes the motif (27 %" in out
    assert "write below" not in out
    turned = [row.replace(".", "x").replace("b", ".").replace("x", "b") for row in RINGS]
    path.write_text(little(turned))
    out = told(capsys, path)
    assert "milk is carried below, so it stands out more, and it makes the motif (27 %" in out
    assert "good as it is" in out
    path.write_text(little(["b.b.", ".b.b"]))
    assert "They share their rounds about evenly" in told(capsys, path)
    path.write_text(little(["....", "bbbb"], worked="flat"))
    assert "milk and ink: never in one row" in told(capsys, path)


def test_tables_read_as_they_should(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = [line.split() for line in run(capsys, path).splitlines()]
    said = json.loads(run(capsys, path, "--json"))["pairs"][0]
    light = [f"{value:.1f}" for value in said["lightness"]]
    touch = said["touch_side_by_side"] + said["touch_one_above_other"]
    first, second = [line for line in lines if line[:3] == ["milk", "and", "ink"]]
    gap, contrast = f"{said['lightness_gap']:.1f}", f"{said['contrast_ratio']:.1f}"
    beside = ["clear", contrast, "to", "1", f"{said['difference']:.0f}"]
    assert first[3:] == [str(touch), "times", light[0], "and", light[1], gap, *beside]
    left = [said["colour_blind"][eye] for eye in SEEN]
    assert second[3:] == [
        word for one in left for word in (f"{one['lightness_gap']:.0f}", "and", f"{one['difference']:.0f}")
    ]
    assert ["yarns", "red-blind", "green-blind", "blue-blind"] in lines


def test_one_yarn_is_nothing_to_compare(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path.write_text(little(["....", "...."]))
    assert run(capsys, path) == "Little check\nOne yarn only: there is nothing to tell apart.\n"
    assert json.loads(run(capsys, path, "--json"))["pairs"] == []


def test_for_a_spreadsheet(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = next(csv.DictReader(io.StringIO(run(capsys, path, "--csv"))))
    said = json.loads(run(capsys, path, "--json"))["pairs"][0]
    assert (line["yarn"], line["other_yarn"], line["in_grey"]) == ("milk", "ink", "clear")
    assert float(line["contrast_ratio"]) == pytest.approx(said["contrast_ratio"], abs=0.005)
    assert float(line["tritan_difference"]) == pytest.approx(said["colour_blind"]["tritan"]["difference"], abs=0.05)
    assert (line["carried_below"], line["makes_the_motif"]) == ("milk", "ink")
    run(capsys, path, "--out", "table.csv")
    assert Path("table.csv").read_text() == run(capsys, path, "--csv")


def test_the_picture_shows_the_chart_to_five_pairs_of_eyes(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = run(capsys, path, "--out", "eyes.png")
    assert out.startswith("Little check\n\nYarns that meet")
    assert out.endswith("The picture is in eyes.png.\n")
    shown = np.asarray(Image.open("eyes.png").convert("RGB")).astype(int)
    wanted = [np.array([MILK, INK]), grey([MILK, INK]), *(seen([MILK, INK], eye) for eye in SEEN)]
    edges = np.linspace(0, shown.shape[1], 6).astype(int)
    for colours, left, right in zip(wanted, edges, edges[1:], strict=False):
        panel = shown[:, left:right].reshape(-1, 3)
        for colour in colours:
            assert (np.abs(panel - np.rint(colour)).max(axis=1) <= 1).sum() > 5_000
    run(capsys, path, "--out", "again.png")
    assert Path("again.png").read_bytes() == Path("eyes.png").read_bytes()


def test_a_picture_of_odd_names_and_odd_charts(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kinds = (["b"], ("png", "svg", "pdf")), ([".b" * 60], ("svg",)), (["."] * 80 + ["b"] * 80, ("png",))
    for rows, suffixes in kinds:
        path.write_text(little(rows, names=("$x_1$ \\frac", "編 \U0001faa1 & <b>"), title="$\\alpha$"))
        for suffix in suffixes:
            run(capsys, path, "--out", f"odd.{suffix}")
    with Image.open("odd.png") as picture:
        assert picture.size[1] < 2_000  # a tall chart is drawn narrower


def test_a_picture_is_not_a_table(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = "--out: given 'it.png' with --json; allowed: a picture, or the table; leave out --json"
    assert_refused(("colours", path, "--json", "--out", "it.png"), line, path, capsys, whole=True)


def test_nothing_is_ever_called_safe(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "safe" not in run(capsys, path).lower()
