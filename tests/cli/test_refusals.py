"""What options can't be is said in one line that says what may be and what to do: the very words, option by option."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.cli import main
from tests.support.little import little

REFUSED = {
    "floats scene.toml --json --csv": "--csv: given together with --json; allowed: one of the two; leave one out",
    "yarn scene.toml --across 1000001": (
        "--across: given '1000001'; allowed: a whole number, at least 1, at most 1,000,000; see 'fabricsim yarn --help'"
    ),
    "yarn scene.toml --across 0": (
        "--across: given '0'; allowed: a whole number, at least 1, at most 1,000,000; see 'fabricsim yarn --help'"
    ),
    "yarn scene.toml --slack loose": (
        "--slack: given 'loose'; allowed: a fraction above -1, at most 1; -0.05 is 5 % too tight"
    ),
    "yarn scene.toml --sizes --size woman": (
        "--sizes: given together with --size; allowed: one of the two; leave one out"
    ),
    "yarn scene.toml --sizes --across 3": (
        "--sizes: given together with --across; allowed: one of the two; leave one out"
    ),
    "yarn scene.toml --margin 501": (
        "--margin: given '501'; allowed: a number, at least 0, at most 500; see 'fabricsim yarn --help'"
    ),
    "yarn scene.toml --pieces 1.5": (
        "--pieces: given '1.5'; allowed: a whole number, at least 1, at most 10,000; see 'fabricsim yarn --help'"
    ),
    "yarn scene.toml --piece 2": (
        "'fabricsim yarn' has no option '--piece'; did you mean '--pieces'? see 'fabricsim yarn --help'"
    ),
    "yarn scene.toml --nonsense 2": "'fabricsim yarn' has no option '--nonsense'; see 'fabricsim yarn --help'",
    "yarn hat.toml --size woman --across 3": (
        "--size: given together with --across; allowed: one of the two; leave one out"
    ),
    "yarn hat.toml --size nobody --no-forecast": "--size: given 'nobody'; allowed: woman, man; name one of them",
    "rounds scene.toml --out rounds.pdf": (
        "--out: given 'rounds.pdf'; allowed: .pdf or .html with --large-print only; add --large-print"
    ),
    "rounds scene.toml --large-print --out rounds.odt": (
        "--out: given 'rounds.odt'; allowed: a file that ends in .pdf or .html or .txt or .json or .csv; "
        "name it rounds.pdf"
    ),
    "colours scene.toml --json --out eyes.png": (
        "--out: given 'eyes.png' with --json; allowed: a picture, or the table; leave out --json"
    ),
    "colours scene.toml --csv --out eyes.svg": (
        "--out: given 'eyes.svg' with --csv; allowed: a picture, or the table; leave out --csv"
    ),
    "chart scene.toml --symbols letters": "--symbols: given 'letters'; allowed: scene, marks; name one of them",
    "chart scene.toml --out chart.jpg": (
        "--out: given 'chart.jpg'; allowed: a file that ends in .pdf or .svg or .png; name it chart.pdf"
    ),
    "catches scene.toml --seconds 0": "--seconds: given 0; allowed: above 0, at most 86400; 20 is usual",
    "catches scene.toml --map back.jpg": (
        "--map: given 'back.jpg'; allowed: a file that ends in .png or .svg or .pdf; name it back.png"
    ),
    "catches scene.toml --write copy.txt": (
        "--write: given 'copy.txt'; allowed: a file that ends in .toml; name it copy.toml"
    ),
    "catches scene.toml --write scene.toml": (
        "--write: given 'scene.toml', which is read here; allowed: another file; name another file"
    ),
    "catches --write copy.toml --map copy.toml": (
        "--map: given 'copy.toml'; allowed: a file that ends in .png or .svg or .pdf; name it copy.png"
    ),
    "preview scene.toml --case cube": "--case: given 'cube'; allowed: repeat, swatch, round; name one of them",
    "preview scene.toml --inside-out": (
        "--inside-out: given with the case 'repeat'; allowed: with the case 'round' only; add --case round"
    ),
    "preview scene.toml --slack -1": (
        "--slack: given -1; allowed: a fraction above -1, at most 1; -0.05 is 5 % too tight"
    ),
    "preview scene.toml --slack 1.01": (
        "--slack: given 1.01; allowed: a fraction above -1, at most 1; write 0.0101 if you mean 1.01 %"
    ),
    "slack scene.toml --may-lose 0.04": (
        "--may-lose: given 0.04; allowed: 0.05 to 50 per cent; give per cent, as in 8"
    ),
    "slack scene.toml --may-lose 50.1": (
        "--may-lose: given 50.1; allowed: 0.05 to 50 per cent; give per cent, as in 8"
    ),
    "slack scene.toml --stretch -0.1": "--stretch: given -0.1; allowed: 0 to 100 per cent; give per cent, as in 8",
    "slack scene.toml --stretch 100.1": "--stretch: given 100.1; allowed: 0 to 100 per cent; give per cent, as in 8",
    "draw scene.toml --view behind": (
        "--view: given 'behind'; allowed: face, back, three-quarter, above, close-up, section; name one of them"
    ),
    "draw scene.toml --view face --side back": (
        "--side: given 'back' with --view face; allowed: a side with three-quarter or close-up; say --view back"
    ),
    "draw scene.toml --view section --side back": (
        "--side: given 'back' with --view section; allowed: a side with three-quarter or close-up; leave it out"
    ),
    "draw scene.toml --view back --at 2,3": (
        "--at: given with --view back; allowed: with --view close-up only; add --view close-up"
    ),
    "draw scene.toml --view close-up --at here": (
        "--at: given 'here'; allowed: a row and a stitch, such as 12,30; count from the bottom right"
    ),
    "draw scene.toml --view close-up --at 2,7,3": (
        "--at: given '2,7,3'; allowed: a row and a stitch, such as 12,30; count from the bottom right"
    ),
    "draw scene.toml --view face --row 2": (
        "--row: given with --view face; allowed: with --view section only; add --view section"
    ),
    "draw scene.toml --view section --show pull": (
        "--show: given with --view section; allowed: with views of the fabric only; leave it out"
    ),
    "draw scene.toml --view section --ground black": (
        "--ground: given 'black'; allowed: paper, white, transparent or a colour such as '#e8e4da'; name one of them"
    ),
    "draw scene.toml --view section --bare": (
        "--bare: given with --view section; allowed: with views of the fabric only; leave it out"
    ),
    "draw scene.toml --ground pink": (
        "--ground: given 'pink'; allowed: paper, white, transparent or a colour such as '#e8e4da'; name one of them"
    ),
    "draw scene.toml --show colours": "--show: given 'colours'; allowed: yarn, pull, pucker; name one of them",
    "draw scene.toml --true-size --width-cm 12": (
        "--width-cm and --true-size: given together; allowed: one size; leave out --true-size"
    ),
    "draw scene.toml --width 900 --true-size --width-cm 12": (
        "--width and --width-cm and --true-size: given together; allowed: one size; leave out --width-cm or --true-size"
    ),
    "draw scene.toml --dpi 0.5": "--dpi: given 0.5; allowed: from 1 to 2400; 300 is usual",
    "draw scene.toml --dpi 20000": "--dpi: given 20000; allowed: from 1 to 2400; 300 is usual",
    "draw scene.toml --width-cm 0": (
        "--width-cm: given 0; allowed: from 0.1 to 1000 cm; say how wide it is to be in print"
    ),
    "draw scene.toml --width-cm 10000 --dpi 300": (
        "--width-cm: given 10000; allowed: from 0.1 to 1000 cm; say how wide it is to be in print"
    ),
    "draw scene.toml --width 999999": "--width: given 999999; allowed: at most 65500 pixels; ask for less",
    "draw scene.toml --out face.bmp": "--out: given 'face.bmp'; allowed: a file that ends in .png; name it face.png",
    "sheet scene.toml --out sheet.docx": (
        "--out: given 'sheet.docx'; allowed: a file that ends in .pdf or .png; name it sheet.pdf"
    ),
    "sheet scene.toml --slacks 0.1,0.2": "'fabricsim sheet' has no option '--slacks'; see 'fabricsim sheet --help'",
    "sheet scene.toml --tight 0.1 --right 0.05": (
        "--tight, --right, --loose: given 0.1, 0.05, 0.3; allowed: three slacks that rise; such as -0.08, 0.1 and 0.3"
    ),
    "model scene.toml --of lace": "--of: given 'lace'; allowed: yarn, surface; name one of them",
    "model scene.toml --of surface --detail fine": (
        "--detail: given with --of surface; allowed: with --of yarn only; leave one of them out"
    ),
    "model scene.toml --out hat.stl": (
        "--out: given 'hat.stl'; allowed: a file that ends in .glb or .ply or .obj; name it hat.glb"
    ),
    "motion plain.toml": (
        "SCENE: given a chart without floats; allowed: one in which some row has two colours; add a colour"
    ),
    "motion scene.toml --from 0.1 --to 0.1": (
        "--from: given 0.1, and the same --to; allowed: two different slacks; change one of them"
    ),
    "motion scene.toml --frames 1": (
        "--frames: given '1'; allowed: a whole number, at least 2, at most 200; see 'fabricsim motion --help'"
    ),
    "motion scene.toml --seconds 0": (
        "--seconds: given '0'; allowed: a number, at least 0.5, at most 120; see 'fabricsim motion --help'"
    ),
    "motion scene.toml --out film.mp4": (
        "--out: given 'film.mp4'; allowed: a file that ends in .webp or .gif; name it film.webp"
    ),
    "lesson plain.toml": (
        "plain.toml: chart: given no floats in the case 'repeat'; allowed: a chart in which a yarn passes "
        "behind stitches, as its slack is what a lesson changes; draw rows of two colours"
    ),
    "lesson scene.toml --steps some": (
        "--steps: given 'some'; allowed: 2 to 21 different slacks with commas between them, each above -1 "
        "and at most 1; such as --steps -0.1,-0.05,0,0.1,0.2"
    ),
    "lesson scene.toml --steps 0.1": (
        "--steps: given 1 of them; allowed: 2 to 21 different slacks with commas between them, each above -1 "
        "and at most 1; such as --steps -0.1,-0.05,0,0.1,0.2"
    ),
    "stretch scene.toml --load 0": (
        "--load: given 0; allowed: 0.1 to 50 newtons per metre of width; 20 is a firm pull"
    ),
    "stretch scene.toml --load 20,x": "--load: given '20,x'; allowed: a number; see 'fabricsim stretch --help'",
    "stretch scene.toml --load 1e9": (
        "--load: given 1e+09; allowed: 0.1 to 50 newtons per metre of width; 20 is a firm pull"
    ),
    "compare scene.toml --processes 2 --cluster tcp://10.0.0.1:8786": (
        "--processes: given with --cluster tcp://10.0.0.1:8786; allowed: one of the two; the cluster has its workers"
    ),
    "compare scene.toml --plots slacks.pdf": (
        "--plots: given with one slack; allowed: two slacks or more; add --slack -0.1,-0.05,0,0.05"
    ),
    "compare scene.toml --slack 0,0.1 --gauge 0.6:1.2:0.05 --plots slacks.pdf": (
        "--plots: given 13 lines, one for each other setting; allowed: at most 12; leave some values out"
    ),
    "compare scene.toml --slack 0,0.1 --plots slacks.txt": (
        "--plots: given 'slacks.txt'; allowed: a file that ends in .png or .pdf or .svg; name it slacks.png"
    ),
    "compare scene.toml --pictures all.pdf": (
        "--pictures: given 'all.pdf'; allowed: a file that ends in .png; name it all.png"
    ),
    "compare scene.toml --study study.toml": (
        "--study: given together with SCENE; allowed: one of the two; write all of it into the file"
    ),
    "compare --slack 0.1 --study study.toml": (
        "--study: given together with --slack; allowed: one of the two; write all of it into the file"
    ),
    "compare scene.toml --slack-of 0.05": (
        "--slack-of: given '0.05'; allowed: a yarn's symbol, = and slacks; such as x=-0.05,0,0.05"
    ),
    "compare scene.toml --slack-of b:0.05": (
        "--slack-of: given 'b:0.05'; allowed: a yarn's symbol, = and slacks; such as x=-0.05,0,0.05"
    ),
    "compare scene.toml --inside-out maybe": "--inside-out: given 'maybe'; allowed: yes or no; change the value",
    "vary scene.toml --float-spread 0 --row-spread 0 --mean-spread 0 --gauge-spread 0 --stiffness-factor 1": (
        "--float-spread: given nothing that varies; allowed: one spread above 0; let something vary"
    ),
    "vary scene.toml --float-spread 30.1": "--float-spread: given 30.1; allowed: 0 to 30 per cent; change the number",
    "vary scene.toml --row-spread -1": "--row-spread: given -1; allowed: 0 to 30 per cent; change the number",
    "vary scene.toml --mean-spread 31": "--mean-spread: given 31; allowed: 0 to 30 per cent; change the number",
    "vary scene.toml --gauge-spread 31": "--gauge-spread: given 31; allowed: 0 to 30 per cent; change the number",
    "vary scene.toml --stiffness-factor 0.9": (
        "--stiffness-factor: given 0.9; allowed: 1 to 10 times; change the number"
    ),
    "vary scene.toml --stiffness-factor 10.1": (
        "--stiffness-factor: given 10.1; allowed: 1 to 10 times; change the number"
    ),
    "vary scene.toml --runs 0": "--runs: given 0; allowed: 1 to 100,000 pieces; change the number",
    "vary scene.toml --runs 100001": "--runs: given 100001; allowed: 1 to 100,000 pieces; change the number",
    "vary scene.toml --error 10.5": "--error: given 10.5; allowed: 0.001 to 10 per cent; change the number",
    "vary scene.toml --error 0.0009": "--error: given 0.0009; allowed: 0.001 to 10 per cent; change the number",
    "vary scene.toml --seed -1": "--seed: given -1; allowed: any whole number from 0 to 9223372036854775807; "
    "change the number",
    "vary scene.toml --processes 0": "--processes: given 0; allowed: 1 to 1,000 processors; change the number",
    "vary scene.toml --shares --share-pairs 3": (
        "--share-pairs: given 3; allowed: 2, 4, 8, 16 ... up to 4096; take one of them"
    ),
    "vary scene.toml --shares --share-pairs 8192": (
        "--share-pairs: given 8192; allowed: 2, 4, 8, 16 ... up to 4096; take one of them"
    ),
    "vary scene.toml --plots pieces.txt": (
        "--plots: given 'pieces.txt'; allowed: a file that ends in .png or .pdf or .svg; name it pieces.png"
    ),
    "vary plain.toml": (
        "plain.toml: chart: given no floats; allowed: a chart with two colours in a row; nothing varies without floats"
    ),
    "calibrate scene.toml": (
        "--measured: given no file; allowed: a file of what was measured; make one with --form my_swatch.toml"
    ),
    "calibrate scene.toml --form swatch.toml --json": (
        "--form: given together with other options; allowed: --form alone; fill in the form first"
    ),
    "calibrate scene.toml --form swatch.txt": (
        "--form: given 'swatch.txt'; allowed: a file that ends in .toml; name it swatch.toml"
    ),
    "report scene.toml --out report.pdf": (
        "--out: given 'report.pdf'; allowed: a file that ends in .html; name it report.html"
    ),
    "scene.toml": "'scene.toml' is no command; did you mean 'fabricsim preview scene.toml'?",
    "prview scene.toml": "'prview' is no command; did you mean 'preview'? see 'fabricsim --help'",
    "knit scene.toml": "'knit' is no command; see 'fabricsim --help'",
}
"""By the words as they are typed."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with little scenes: one usual, one of one colour a row, one to wear."""
    made = tmp_path_factory.mktemp("refused")
    (made / "scene.toml").write_text(little())
    (made / "plain.toml").write_text(little(["......"] * 2))
    (made / "hat.toml").write_text('item = "hat"\n' + little() + '[sizes]\nbodies = ["woman", "man"]\n')
    return made


@pytest.mark.parametrize(("words", "line"), REFUSED.items())
def test_in_these_words(
    words: str, line: str, folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(folder)
    assert main(words.split()) == 2
    assert capsys.readouterr() == ("", f"fabricsim: {line}\n")
    assert sorted(one.name for one in folder.iterdir()) == ["hat.toml", "plain.toml", "scene.toml"]
