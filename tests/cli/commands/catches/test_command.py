"""``fabricsim catches``: the plan for a knitter, a program and a spreadsheet, its map, and the scene written anew."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from PIL import Image

from fabricsim.cli import main
from fabricsim.design.catches.plan import held_in_piece, plan_of
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import floats, floats_of_repeat
from fabricsim.design.scene.read import read_scene
from tests.support.little import assert_refused, little

ROWS = ("b.........", "..........", "b.........")
LIMIT = "longest_gap = 5\nlongest_cm = 9.0"


def written(tmp_path: Path, rows: tuple[str, ...] = ROWS, floats: str = LIMIT, **more: object) -> Path:
    path = tmp_path / "scene.toml"
    path.write_text(little(rows, floats=floats, **more), encoding="utf-8")  # type: ignore[arg-type]
    return path


def run(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    assert main(["catches", *map(str, words)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert "safe" not in out.lower()
    return out


def told(capsys: pytest.CaptureFixture[str], *words: object) -> str:
    """Return what is said, its lines joined."""
    return " ".join(run(capsys, *words).split())


def test_for_a_knitter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, written(tmp_path))
    assert said.startswith(
        "Little check 2 catches in the chart keep every float within your limit of 5 stitches or 9 cm"
    )
    # one float a round, from the first repeat to the second
    assert "(5 stitches at this gauge): 2 in the piece." in said
    assert "floats over your limit, in the piece 2 0" in said
    assert "longest open float 9 stitches, 4.7 cm 5 stitches, 2.6 cm" in said
    assert "stitches count from the right of the chart" in said
    # two rows apart, so one is a stitch off the middle: ten stitches, the tenth is ink
    for line in ("Round 1: catch ink behind stitch", "Round 3: catch ink behind stitch"):
        assert line in said
    assert "(5th of 9 milk)" in said
    assert "No plan has fewer catches, and by the rules of placing none with as few is better placed (proven)." in said
    assert "lift the float" not in said
    assert "Caution: a float can snag" in said


def test_for_a_program(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path, floats=LIMIT + "\ncatches = [{ row = 1, stitch = 5 }]")
    said = json.loads(run(capsys, path, "--json"))
    assert (said["schema_version"], said["command"], said["planned"], said["listed"]) == (1, "catches", 1, 1)
    assert said["limits"] == {"longest_gap_stitches": 5, "longest_gap_cm": 9.0, "longest_open_stitches": 5}
    assert said["catches"][0] == {
        "row": 1,
        "stitch": 5,
        "yarns_caught": "b",
        "behind_yarn": ".",
        "repeat": "every",
        "stitch_of_its_colour": 5,
        "stitches_of_its_colour": 9,
        "listed": True,
    }
    assert said["catches"][1]["row"] == 3
    assert said["catches"][1]["stitch"] != 5
    assert said["before"]["over"] == 1
    assert said["before"]["longest_gap"] == 9
    assert (said["after"]["over"], said["after"]["longest_gap"], said["after"]["catches"]) == (0, 5, 2)
    assert (said["fewest_proven"], said["places_proven"]) == (True, True)
    assert (said["stacked"], said["left_open"], said["very_long"]) == ([], [], [])


def test_for_a_spreadsheet_into_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, out = written(tmp_path), tmp_path / "new" / "plan.csv"
    assert "Written to" in run(capsys, path, "--out", out)
    lines = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8"))))
    assert [line["row"] for line in lines] == ["1", "3"]
    assert run(capsys, path, "--csv") == out.read_text(encoding="utf-8")


def test_nothing_to_catch(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, written(tmp_path, ("b....",)))
    assert "No float needs a catch: none passes your limit of 5 stitches" in said
    assert "Round" not in said


def test_where_nothing_may_stay_open(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path)
    path.write_text('item = "baby mittens"\n' + little(ROWS), encoding="utf-8")
    said = told(capsys, path)
    assert "No float may stay open here. Catching every stitch is not the cure" in said
    assert "Line the piece" in said
    assert "ink in round 1 from stitch 1 (9)" in said
    assert "No catches are planned" in said
    given = json.loads(run(capsys, path, "--json"))
    assert given["catches"] == []
    assert {"yarn": "b", "row": 1, "stitch": 9}.items() <= given["left_open"][0].items() or given["left_open"]
    narrow = written(tmp_path, floats="longest_cm = 0.3")
    assert "Your limit of 0.3 cm is less than one stitch (0.53 cm)." in told(capsys, narrow)


def test_what_cannot_be_helped_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, written(tmp_path, ("b...........", "b...........")))
    assert "1 catch lies straight above another, which may show as a line" in said
    assert "stitch 6 of rounds 1 and 2" in said
    assert "2 floats of the chart run behind more than 5 cm uncaught, in rounds 1, 2" in said
    assert "lift the float on the next round, or work a backing column every 2 to 4 stitches" in said


def test_when_the_time_runs_out_it_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = tuple("".join(".b"[(column * row // 7 + column // 9) % 2] for column in range(240)) for row in range(60))
    said = told(capsys, written(tmp_path, rows, floats="longest_gap = 2", across=1), "--seconds", "0.000001")
    assert "time ran out" in said
    assert "(proven)" not in said.replace("fewer catches (proven)", "")


def test_flat_rows_turn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = told(capsys, written(tmp_path, worked="flat"))
    assert "Wrong-side rows run left to right (even rows)." in said
    assert "Row 1: catch ink behind stitch" in said


# ---- the scene written anew ----------------------------------------------------------------------


def test_the_copy_lists_the_plan_and_plans_nothing_more(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path, new = written(tmp_path, floats=LIMIT + '\ncatches = "planned"  # to be seen to'), tmp_path / "new.toml"
    assert "A copy of the scene with these catches is in" in run(capsys, path, "--write", new)
    old, read = read_scene(path), read_scene(new)
    assert held_in_piece(read).keys() == held_in_piece(old).keys()
    assert not read.floats.plan_catches
    assert not faults([*floats(read), *floats_of_repeat(read)], read.limits)
    assert not plan_of(read).planned
    assert new.read_text(encoding="utf-8").count("# to be seen to") == 1
    changed = path.read_text(encoding="utf-8").splitlines()
    kept = [line for line in changed if not line.startswith("catches")]
    assert set(kept) <= set(new.read_text(encoding="utf-8").splitlines())


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--write", "{scene}"), "--write: given '{scene}', which is read here; allowed: another file"),
        (("--write", "plan.txt"), "--write: given 'plan.txt'; allowed: a file that ends in .toml"),
        (("--map", "plan.gif"), "--map: given 'plan.gif'; allowed: a file that ends in .png or .svg or .pdf"),
        (("--map", "{folder}"), "--map: given '{folder}'; allowed: a file that ends in .png"),
        (("--seconds", "0"), "--seconds: given 0; allowed: above 0, at most 86400"),
        (("--json", "--csv"), "--csv: given together with --json"),
    ],
)
def test_bad_input(tmp_path: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], line: str) -> None:
    path = written(tmp_path)
    said = {"scene": path, "folder": tmp_path}
    assert_refused(["catches", path, *(word.format(**said) for word in words)], line.format(**said), path, capsys)


def test_a_chart_beside_the_scene_keeps_its_copy_beside_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path)
    text = path.read_text(encoding="utf-8").replace(
        'rows = ["b.........", "..........", "b........."]', 'file = "c.txt"'
    )
    path.write_text(text, encoding="utf-8")
    (tmp_path / "c.txt").write_text("\n".join(ROWS), encoding="utf-8")
    assert main(["catches", str(path), "--write", str(tmp_path / "sub" / "new.toml")]) == 2
    assert "in the scene's own folder, where its chart lies" in capsys.readouterr().err
    run(capsys, path, "--write", tmp_path / "new.toml")
    read = read_scene(path)
    assert held_in_piece(read_scene(tmp_path / "new.toml")).keys() == held_in_piece(read, plan_of(read).caught).keys()


def test_a_scene_that_cannot_be_changed_is_left(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path)
    text = path.read_text(encoding="utf-8").replace(f"[floats]\n{LIMIT}\n", "")
    path.write_text("floats = { longest_gap = 5 }\n" + text, encoding="utf-8")
    line = f"{path}: floats: given written in a way in which the catches can't be listed"
    assert_refused(["catches", path, "--write", tmp_path / "new.toml"], line, path, capsys)


# ---- the map -------------------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", [".png", ".svg", ".pdf"])
def test_the_map_is_a_picture_and_the_same_each_time(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], suffix: str
) -> None:
    path = written(tmp_path)
    files = [tmp_path / f"{name}{suffix}" for name in "ab"]
    for file in files:
        assert f"The map of the back is in {file}." in run(capsys, path, "--map", file)
    assert files[0].read_bytes() == files[1].read_bytes()
    assert len(files[0].read_bytes()) > 5000
    if suffix == ".png":
        with Image.open(files[0]) as picture:
            assert picture.size[0] > 500
