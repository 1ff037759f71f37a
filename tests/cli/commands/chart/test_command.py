"""``fabricsim chart`` as its users meet it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageChops

from fabricsim.cli import main
from fabricsim.cli.commands.chart.words import sheet_of
from fabricsim.design.floats.on_paper import charted_piece, charted_repeat
from fabricsim.design.scene.read import read_scene
from tests.design.scenes import scene
from tests.support.little import assert_refused, little

ROWS = ("..bbbb..", ".b....b.", "..bbbb..", "........")
SCENE = little(ROWS, title="Little <check> & $x^2$ of Zoë", names=("milk $a_1$", "ink"), floats="longest_gap = 3")


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "check.toml"
    path.write_text(SCENE)
    return path


def _large(path: Path) -> None:
    path.write_text(little(["..bbbb.bb." * 8] * 12, across=1))


def _boxes(data: bytes) -> list[list[float]]:
    return [[float(part) for part in box.split()] for box in re.findall(rb"/MediaBox \[ ([\d. ]+) \]", data)]


# A4 in points, 72 to the inch: ISO 216 and ISO 32000
A4_POINTS = [0.0, 0.0, 210 / 25.4 * 72, 297 / 25.4 * 72]


def test_by_default_it_is_a_pdf_of_a4_named_after_the_scene(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["chart", str(path)]) == 0
    assert capsys.readouterr().out == (
        f"The chart is in {Path('charts') / 'check.pdf'}: 1 sheet of A4 upright, "
        "squares 12.0 x 8.9 mm; print it at 100 %.\n"
    )
    data = Path("charts/check.pdf").read_bytes()
    np.testing.assert_allclose(_boxes(data), [A4_POINTS], atol=0.01)
    assert b"/FontFile2" in data
    assert b"CreationDate" not in data
    assert "Little <check> & $x^2$ of Zoë".encode("utf-16-be") in data


@pytest.mark.parametrize("suffix", [".pdf", ".svg", ".png"])
def test_the_same_scene_gives_the_same_bytes(suffix: str, path: Path) -> None:
    for name in ("one", "other"):
        assert main(["chart", str(path), "--piece", "--out", name + suffix]) == 0
    data = Path(f"one{suffix}").read_bytes()
    assert data == Path(f"other{suffix}").read_bytes()
    assert not re.search(rb"20[2-9]\d-[01]\d-[0-3]\d", data)


def test_a_large_chart_is_one_pdf_of_several_pages(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _large(path)
    assert main(["chart", str(path), "--out", "large.pdf"]) == 0
    out = capsys.readouterr().out
    sheets = int(re.findall(r"(\d+) sheets of A4", out)[0])
    assert sheets > 1
    assert "side by side" in out
    boxes = _boxes(Path("large.pdf").read_bytes())
    assert len(boxes) == sheets
    assert all(np.allclose(sorted(box), sorted(A4_POINTS), atol=0.01) for box in boxes)


@pytest.mark.parametrize("suffix", [".svg", ".png"])
def test_and_a_numbered_picture_for_each_sheet(suffix: str, path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _large(path)
    assert main(["chart", str(path), "--out", f"large{suffix}", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["files"] == [f"large-{number}{suffix}" for number in range(1, said["sheets"] + 1)]
    assert sorted(file.name for file in path.parent.iterdir()) == sorted([path.name, *said["files"]])
    for file in said["files"]:
        if suffix == ".png":
            with Image.open(file) as picture:
                size = np.array(picture.size)
                assert picture.info["dpi"] == pytest.approx((300, 300), rel=1e-3)
            np.testing.assert_allclose(np.sort(size), np.array([210, 297]) / 25.4 * 300, atol=1.0)
        else:
            found = re.search(r'width="([\d.]+)pt" height="([\d.]+)pt"', Path(file).read_text(encoding="utf-8"))
            assert found is not None
            np.testing.assert_allclose(sorted(map(float, found.groups())), A4_POINTS[2:], atol=0.01)


def test_for_programs(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["chart", str(path), "--json", "--square", "--out", "it.png"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert {key: said[key] for key in ("command", "counted", "rows", "stitches", "sheets", "sheet_mm")} == {
        "command": "chart",
        "counted": "repeat",
        "rows": 4,
        "stitches": 8,
        "sheets": 1,
        "sheet_mm": [210.0, 297.0],
    }
    # behind bbbb twice; of b behind the four around the repeat's edge twice, and twice behind .... of the second row
    assert said["floats_over_limit"] == 5
    assert said["square_width_mm"] == said["square_height_mm"] == 12.0
    assert main(["chart", str(path), "--json", "--piece", "--out", "it.png"]) == 0
    assert json.loads(capsys.readouterr().out)["stitches"] == 16


def test_grey_has_no_colour(path: Path) -> None:
    path.write_text(SCENE.replace("#1d2b4f", "#c02020"))
    assert main(["chart", str(path), "--out", "colour.png"]) == 0
    assert main(["chart", str(path), "--grey", "--out", "grey.png"]) == 0
    assert _most_colour(Path("colour.png")) > 100
    assert _most_colour(Path("grey.png")) <= 16  # letters and lines are a little warm


def _most_colour(path: Path) -> int:
    """Return how far the channels of a pixel lie apart at most."""
    with Image.open(path) as picture:
        red, green, blue = picture.convert("RGB").split()
    pairs = ((red, green), (green, blue), (blue, red))
    return max(int(ImageChops.difference(one, other).getextrema()[1]) for one, other in pairs)  # type: ignore[arg-type]


def test_symbols_that_look_alike_give_way_to_marks_and_it_says_so(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = little(["lIIl"]).replace('symbol = "."', 'symbol = "l"').replace('symbol = "b"', 'symbol = "I"')
    path.write_text(text)
    assert main(["chart", str(path), "--out", "alike.svg"]) == 0
    assert "Plain marks stand for the yarns, as 'l' and 'I' look too alike in small print.\n" in capsys.readouterr().out
    assert main(["chart", str(path), "--symbols", "marks", "--out", "marks.svg"]) == 0
    assert "Plain marks" not in capsys.readouterr().out
    assert Path("marks.svg").read_bytes() == Path("alike.svg").read_bytes()


WRONG = {
    ("--out", "it.txt"): "--out: given 'it.txt'; allowed: a file that ends in .pdf or .svg or .png; name it it.pdf",
    ("--symbols", "runes"): "--symbols: given 'runes'; allowed: scene, marks; name one of them",
}


@pytest.mark.parametrize("words", WRONG, ids=" ".join)
def test_what_cannot_be_made_is_said_in_one_line(
    words: tuple[str, ...], path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert_refused(("chart", path, *words), WRONG[words], path, capsys, whole=True)


def test_a_key_that_fills_the_sheet_is_refused(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    signs = [chr(code) for code in range(0x4E00, 0x4E00 + 200)]
    yarns = "".join(f'[[yarns]]\nsymbol = "{s}"\nname = "{s}"\ncolour = "#123456"\ntex = 400\n' for s in signs)
    head, _, _ = little(["".join(signs)]).partition("[[yarns]]")
    path.write_text(head + yarns + "[gauge]\nstitches = 20\nrows = 26\n")
    assert_refused(("chart", path), "yarns: given so many that their key fills a sheet; allowed: ", path, capsys)


def test_what_is_for_a_baby_comes_with_a_caution(path: Path) -> None:
    for item, words in (("baby mittens", "none may be left open (8 floats in the repeat)"), ("hat", None)):
        path.write_text(little(ROWS, floats="slack = 0.0").replace("[chart]", f'item = "{item}"\n[chart]'))
        scene = read_scene(path)
        sheet, _ = sheet_of(scene, charted_repeat(scene), square=False, marks=False)
        said = f"{sheet.long} {sheet.foot}"
        assert ("cut off blood unseen" in said) == (words is not None)
        assert words is None or words in said
        assert "safe" not in said


def test_an_odd_repeat_worked_flat_says_that_the_sides_change(path: Path) -> None:
    path.write_text(little(["bb..", ".b.b", "b..."], worked="flat").replace("across = 2", "across = 2\nup = 2"))
    scene = read_scene(path)
    about = sheet_of(scene, charted_repeat(scene), square=False, marks=False)[0].about
    assert "odd number of rows (3)" in about
    assert "odd" not in sheet_of(scene, charted_piece(scene), square=False, marks=False)[0].about


def test_a_ring_tells_its_strand_and_the_join_of_rounds_what_is_caught_there_alone() -> None:
    catches = [
        {"row": 1, "stitch": 3, "yarn": "b"},
        {"row": 2, "stitch": 2, "yarn": "c", "repeat": "first"},
        {"row": 1, "stitch": 12, "repeat": "last"},
    ]
    yarns = [{"symbol": one, "name": f"yarn {one}", "colour": f"#{one * 6}", "tex": 500} for one in "abc"]
    read = scene(["abcaaaaaaaaa", "aaaaabcaaaaa"], across=3, yarns=yarns, floats={"catches": catches})
    sheet, _ = sheet_of(read, charted_repeat(read), square=False, marks=False)
    assert sheet.caught == (
        "A ring: catch here what is carried behind this stitch. A ring in the colour of a yarn: only that strand."
    )
    assert sheet.joins == (
        "Only in the first repeat of a round, at its beginning, catch too: yarn c behind stitch 2 of round 2. Only in "
        "the last repeat of a round, at its end, catch too: what passes behind stitch 12 of round 1."
    )
    whole, _ = sheet_of(read, charted_piece(read), square=False, marks=False)
    assert whole.caught is not None
    assert whole.joins is None  # there they have rings
