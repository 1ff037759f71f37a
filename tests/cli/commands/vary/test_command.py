"""The vary command, for people, programs and spreadsheets; what it draws, keeps and refuses."""

from __future__ import annotations

import csv
import inspect
import io
import json
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.cli.commands.vary import command as vary_command
from fabricsim.cli.commands.vary.options import SpreadOptions
from fabricsim.cli.commands.vary.words import part_said
from fabricsim.cli.shell.options import Load
from fabricsim.design.scene.knitter import Knitter, LearntFactor, LearntSlack, knitter_text
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.study.hands.prior import EVEN, Hands, hands_of
from fabricsim.study.vary import pieces as pieces_of
from fabricsim.study.vary import variation
from tests.cli.remembered import remembered
from tests.support.little import assert_refused, little

ONE_ROW = ("b.....", "......")


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "scene.toml"
    path.write_text(little(ONE_ROW, floats="slack = -0.03"), encoding="utf-8")
    return path


@pytest.fixture(autouse=True, scope="module")
def knitted_once() -> Iterator[None]:
    with remembered(variation, "vary"):
        yield


def said(scene: Path, capsys: pytest.CaptureFixture[str], *options: str) -> str:
    assert main(["vary", str(scene), "--processes", "1", *options]) == 0
    return capsys.readouterr().out


def test_for_people(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = said(scene, capsys, "--runs", "40", "--error", "1", "--float-spread", "4")
    text = " ".join(out.split())
    assert "What 30 pieces came to" in text
    assert "It took 30 pieces to know the mean draw-in to ±" in text
    assert "Half of all pieces come out" in text
    assert "The float that pulls hardest is most often one of" in text
    assert "come back in every repeat" in text
    assert "slack from float to float two in three within ±4 % yours" in text
    assert "slack from round to round two in three within ±2 % yours" in text  # half as far
    assert "how uneven the floats are as written yours" in text
    assert "slack of all floats alike within ±3 % chosen" in text
    assert "safe" not in text.lower()


def test_too_few_pieces_say_so(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = " ".join(said(scene, capsys, "--runs", "3").split())
    assert "After 3 pieces, as many as you allowed, the mean draw-in is known to ±" in text
    assert "you asked for ±0.2 %" in text
    text = " ".join(said(scene, capsys, "--runs", "1").split())
    assert "After 1 piece, as many as you allowed, the mean draw-in can't be said to be known" in text


def test_the_same_numbers_to_programs_and_spreadsheets(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(said(scene, capsys, "--runs", "4", "--seed", "3", "--share-pairs", "2", "--json"))
    assert (found["schema_version"], found["command"], found["seed"], found["pieces"]) == (2, "vary", 3, 4)
    table = list(csv.DictReader(io.StringIO(said(scene, capsys, "--runs", "4", "--seed", "3", "--csv"))))
    assert len(table) == len(found["runs"]) == 4
    for line, run in zip(table, found["runs"], strict=True):
        assert list(line) == list(run)
        for key in ("draw_in_percent", "width_cm", "pucker_mm", "stitch_width_factor"):
            assert float(line[key]) == pytest.approx(run[key], rel=1e-9, abs=1e-9)  # tables have ten digits
    for run in found["runs"]:
        plain = run["width_cm"] + run["draw_in_cm"]
        assert run["draw_in_percent"] == pytest.approx(100.0 * run["draw_in_cm"] / plain)
        assert plain == pytest.approx(12 / 1.9 * run["stitch_width_factor"])
    assert found["quantities"]["draw_in_percent"]["mean"] == pytest.approx(
        sum(run["draw_in_percent"] for run in found["runs"]) / 4
    )
    assert len(found["shares"]["of"]) == 3 * 7  # all but the gauge
    assert found["shares"]["pieces"] == 2 * 9


def test_pieces_are_kept_and_not_knitted_again(
    scene: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    out = scene.parent / "some" / "hands.csv"
    knit = pieces_of.knit

    def stopped(task: object) -> pieces_of.Piece:
        if len((out.parent / "hands.csv.pieces").read_text(encoding="utf-8").splitlines()) > 2:
            raise KeyboardInterrupt
        return knit(task)  # type: ignore[arg-type]

    monkeypatch.setattr(pieces_of, "knit", stopped)
    words = ["vary", str(scene), "--processes", "1", "--runs", "4", "--out", str(out)]
    assert main(words) == 130
    err = capsys.readouterr().err
    assert "2 pieces kept in" in err
    assert "the same command, or more --runs, goes on from there" in err
    assert not out.exists()
    monkeypatch.setattr(pieces_of, "knit", knit)
    assert main(words) == 0
    aloud = capsys.readouterr().out
    assert aloud == f"{said(scene, capsys, '--runs', '4')}Written to {out}.\n"
    assert out.read_text(encoding="utf-8") == said(scene, capsys, "--runs", "4", "--csv")
    assert main([*words, "--seed", "1"]) == 2
    assert "the rows of another study (not the same: seed)" in capsys.readouterr().err


def test_damaged_pieces_are_told_and_knitted_again_to_the_same_bytes(
    scene: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out, pieces = scene.with_name("hands.csv"), scene.with_name("hands.csv.pieces")
    words = ["vary", str(scene), "--processes", "1", "--runs", "4", "--out", str(out)]
    assert main(words) == 0
    straight = out.read_bytes()
    assert "4 pieces kept in" in capsys.readouterr().err
    lines = pieces.read_bytes().splitlines(keepends=True)
    damaged = b"".join([*lines[:2], lines[2][:-20] + b"\n", b'{"key": "piece 2"}\n', lines[4]])
    pieces.write_bytes(damaged)
    out.unlink()
    assert main(words) == 0
    told = f"fabricsim: 2 damaged lines in {pieces}: what was lost is worked out anew; the file as it was is kept in"
    assert f"{told} {pieces}.damaged\n" in capsys.readouterr().err
    assert out.read_bytes() == straight
    assert pieces.with_name("hands.csv.pieces.damaged").read_bytes() == damaged
    assert sorted(pieces.read_bytes().splitlines(keepends=True)) == sorted(lines)


@pytest.mark.parametrize("suffix", ["png", "pdf", "svg"])
def test_it_draws_what_it_found(scene: Path, suffix: str, capsys: pytest.CaptureFixture[str]) -> None:
    path = scene.parent / f"hands.{suffix}"
    with_bars = b""
    for _ in range(2):  # the same bytes each time
        out = said(scene, capsys, "--runs", "3", "--share-pairs", "2", "--plots", str(path))
        assert out.endswith(f"Drawn in {path}.\n")
        data = path.read_bytes()
        assert data.startswith({"png": b"\x89PNG", "pdf": b"%PDF", "svg": b"<?xml"}[suffix])
        assert with_bars in (b"", data)
        with_bars = data
    if suffix == "png":
        said(scene, capsys, "--runs", "3", "--plots", str(path))
        with Image.open(path) as without, Image.open(io.BytesIO(with_bars)) as picture:
            assert without.size[1] < picture.size[1]


def test_nothing_that_differs_can_be_drawn_too(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene.write_text(little(ONE_ROW, floats="slack = 0.9"), encoding="utf-8")
    path = scene.parent / "flat.png"
    text = said(scene, capsys, "--runs", "3", "--share-pairs", "2", "--gauge-spread", "0", "--plots", str(path))
    assert "In none of them any float pulls" in text
    assert "The draw-in hardly varies at all." in text
    assert path.exists()


@pytest.mark.parametrize(
    ("options", "line"),
    [
        (["--runs", "0"], "--runs: given 0; allowed: 1 to 100,000 pieces"),
        (["--runs", "1000000000"], "--runs: given 1e+09; allowed: 1 to 100,000 pieces"),
        (["--error", "0"], "--error: given 0; allowed: 0.001 to 10 per cent"),
        (["--error", "nan"], "--error: given nan; allowed: 0.001 to 10 per cent"),
        (["--float-spread", "-1"], "--float-spread: given -1; allowed: 0 to 30 per cent"),
        (["--row-spread", "31"], "--row-spread: given 31; allowed: 0 to 30 per cent"),
        (["--mean-spread", "inf"], "--mean-spread: given inf; allowed: 0 to 30 per cent"),
        (["--gauge-spread", "-0.1"], "--gauge-spread: given -0.1; allowed: 0 to 30 per cent"),
        (["--stiffness-factor", "0.5"], "--stiffness-factor: given 0.5; allowed: 1 to 10 times"),
        (["--short", "-1"], "--short: given -1; allowed: 0 to 20 mm"),
        (["--short", "nan"], "--short: given nan; allowed: 0 to 20 mm"),
        (
            ["--short", "5.3"],
            "--short: given 5.3 mm, with stitches 5.3 mm wide; allowed: less than the width of a stitch",
        ),
        (["--share-pairs", "12"], "--share-pairs: given 12; allowed: 2, 4, 8, 16 ... up to 4096"),
        (["--seed", "-1"], "--seed: given -1; allowed: any whole number from 0 to"),
        (["--processes", "0"], "--processes: given 0; allowed: 1 to 1,000 processors"),
        (["--plots", "hands.gif"], "--plots: given 'hands.gif'; allowed: a file that ends in .png or .pdf or .svg"),
        (["--json", "--csv"], "--csv: given together with --json"),
        (["--cluster", "tcp://studio"], "--cluster: given 'tcp://studio'; allowed: 'local', or the address of a dask"),
        (
            ["--float-spread=0", "--row-spread=0", "--mean-spread=0", "--gauge-spread=0", "--stiffness-factor=1"],
            "--float-spread: given nothing that varies",
        ),
    ],
)
def test_bad_input_is_one_line(scene: Path, options: list[str], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert_refused(["vary", scene, *options], line, scene, capsys)


def test_without_floats_nothing_varies(scene: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene.write_text(little(("bbb...", "......")[1:]), encoding="utf-8")
    assert_refused(["vary", scene], f"{scene}: chart: given no floats", scene, capsys)


def test_the_help_names_the_defaults_that_are_used() -> None:
    shown = {
        name: one.annotation for name, one in inspect.signature(vary_command.vary, eval_str=True).parameters.items()
    }
    bare, written = (
        Scene.model_validate(tomllib.loads(little(floats=""))),
        Scene.model_validate(tomllib.loads(little())),
    )
    usual = hands_of(written)
    short = [1e3 * (usual.short + sign * usual.short_spread / EVEN) for sign in (-1.0, 1.0)]
    for option, told in {
        "float_spread": f"{100.0 * usual.floats:g}",
        "row_spread": "half as far",
        "mean_spread": f"{100.0 * usual.slack:.1f}, {100.0 * hands_of(bare).slack:.0f} where it says no slack",
        "gauge_spread": f"{100.0 * usual.gauge:g}",
        "short": f"{short[0]:g} to {short[1]:g}",
        "stiffness_factor": f"{usual.factor:g}",
    }.items():
        assert shown[option].__metadata__[0].show_default == told
    assert usual.rows == 0.5 * usual.floats


@pytest.mark.parametrize(
    ("asked", "changed"),
    [
        (SpreadOptions(), {}),
        (SpreadOptions(floats=4.0), {"floats": 0.04, "rows": 0.02, "unevenness_log": 0.0}),
        (SpreadOptions(floats=4.0, rows=1.0), {"floats": 0.04, "rows": 0.01, "unevenness_log": 0.0}),
        (SpreadOptions(rows=1.0), {"rows": 0.01}),
        (SpreadOptions(mean=5.0), {"slack": 0.05}),
        (SpreadOptions(gauge=2.0), {"gauge": 0.02}),
        (SpreadOptions(stiffness=1.25), {"factor": 1.25, "bending_factor": None}),
        (SpreadOptions(short_mm=0.8), {"short": 0.0008, "short_spread": 0.0}),
        (SpreadOptions(short_mm=0.0), {"short": 0.0, "short_spread": 0.0}),
        (SpreadOptions(0.0, 0.0, 0.0, 0.0, 2.0), {"floats": 0.0, "rows": 0.0, "slack": 0.0, "unevenness_log": 0.0}),
    ],
)
def test_what_is_asked_for_takes_the_place_of_what_is_known(asked: SpreadOptions, changed: dict[str, float]) -> None:
    scene = Scene.model_validate(tomllib.loads(little()))
    for slack in (None, 0.05):
        known = replace(hands_of(scene, other_slack=slack is not None), bending_factor=None)
        found = asked.hands(scene, Load("repeat", slack=slack))
        assert found == replace(
            known, **{key: pytest.approx(value) if value else value for key, value in changed.items()}
        )


@pytest.mark.parametrize(
    ("share", "said"),
    [(1.0, "nearly all"), (0.82, "four fifths"), (0.74, "three quarters"), (0.52, "half"), (0.12, "a tenth")],
)
def test_shares_in_words(share: float, said: str) -> None:
    assert part_said(share) == said


def test_hands_that_were_measured_vary_as_much_as_was_measured(tmp_path: Path) -> None:
    def slack_spread(slack: float | None = None) -> float:
        return SpreadOptions().hands(read_scene(scene), Load("repeat", slack=slack)).slack

    once = LearntFactor(value=1.0, low=0.5, high=2.0, known="not told")
    slack = LearntSlack(value=-0.04, low=-0.06, high=-0.02, known="measured")
    hands = Knitter(swatch="x", slack=slack, stretch=once, bending=once, weight=once, bending_against_stretch=2.0)
    (tmp_path / "hands.toml").write_text(knitter_text(hands), encoding="utf-8")
    scene = tmp_path / "scene.toml"
    scene.write_text('knitter = "hands.toml"\n' + little(floats=""), encoding="utf-8")
    # ends at 1.96 standard deviations
    assert slack_spread() == pytest.approx(0.02 / 1.96)
    assert slack_spread(slack=0.05) == Hands().slack
    scene.write_text('knitter = "hands.toml"\n' + little(floats="slack = 0.0"), encoding="utf-8")
    assert slack_spread() == Hands().slack
    scene.write_text(little(floats=""), encoding="utf-8")
    assert slack_spread() == pytest.approx(0.10 / 3.0**0.5)  # anybody's, as nobody wrote it
