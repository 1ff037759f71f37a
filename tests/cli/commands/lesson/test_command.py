"""``fabricsim lesson``: what it says follows from the numbers, and what it writes is whole and asks for nothing."""

from __future__ import annotations

import html
import json
import re
from functools import partial
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.cli.commands.lesson import pictures as lesson_pictures
from fabricsim.cli.commands.lesson.pictures import key_slacks
from fabricsim.cli.commands.lesson.telling import telling
from fabricsim.cli.commands.lesson.words import figures, group, verdict
from fabricsim.design.scene.read import read_scene
from fabricsim.errors import NoEquilibriumError
from fabricsim.render.handouts.lesson import bands
from fabricsim.render.handouts.lesson_pictures import album
from fabricsim.study.forecast import sweep as sweep_module
from fabricsim.study.forecast.sweep import Sweep, sweep
from fabricsim.units import CENTINEWTON, CM, MM
from tests.support.little import little

NAME = "</script><b>ink</b> & \"'🧶"
ROWS = ("..bb..", ".b..b.", "b....b", ".b..b.")
SCENE = little(ROWS, title=f"Little {NAME}", names=("milk", NAME))


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "check.toml"
    path.write_text(SCENE, encoding="utf-8")
    return path


def _run(*words: object) -> int:
    return main(["lesson", *map(str, words)])


@pytest.fixture
def found(scene: Path) -> Sweep:
    return sweep(read_scene(scene), "repeat", [-0.1, -0.04, 0.0, 0.1, 0.2, 0.3])


def test_the_words_follow_the_numbers(found: Sweep) -> None:
    for step in found.steps:
        pull, widths = step.measures.pull, step.measures.widths
        said, text = dict(figures(step)), " ".join(telling(step, found))
        assert said["Width"].startswith(f"{widths.width / CM:.1f} cm")
        assert said["Taut floats"].startswith(f"{pull.taut} of {len(pull.taut_f)}")
        table = step.rest.mesh.floats
        assert f"{table.length_f.max() / MM:.1f} mm" in said["Yarn in the longest float"]
        if step.slack < 0.0:
            assert pull.taut > 0
            assert f"{100 * widths.overall:.1f} % narrower" in text
            assert f"{pull.greatest / CENTINEWTON:.2f} cN" in text
            assert f"{-100 * step.slack:g} % less yarn" in text
            assert "The cure" in text
            assert verdict(step).startswith("The floats pull")
        else:
            assert pull.taut == 0
            assert "cN" not in text
            assert verdict(step).startswith("Nothing pulls")
        assert ("within the usual aim" in text) is (step.slack == 0.1)
        assert ("more than the usual aim" in text) is (step.slack > 0.15)
        assert ("in loops that snag" in text) is (step.slack == 0.3)


def test_slacks_have_names_and_three_stand_for_all() -> None:
    assert [group(slack) for slack in (-0.01, 0.0, 0.04, 0.05, 0.15, 0.16)] == [
        "tight",
        "",
        "",
        "right",
        "right",
        "loose",
    ]
    assert key_slacks([-0.1, 0.0, 0.05, 0.1, 0.2]) == {-0.1, 0.1, 0.2}
    assert key_slacks([-0.1, -0.05]) == {-0.1, -0.05}
    assert bands(["tight", "tight", "", "right"]) == [("tight", 1, 2), ("right", 4, 1)]


def test_the_page_is_whole_small_and_asks_for_nothing(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "new" / "page.html"
    assert _run(scene, "--out", out, "--case", "repeat", "--steps", "-0.1,0.1", "--no-3d", "--json") == 0
    said = capsys.readouterr()
    made = json.loads(said.out)
    assert [one["slack_percent"] for one in made["steps"]] == [-10.0, 10.0]
    assert made["files"] == [{"path": str(out), "bytes": out.stat().st_size}]
    assert "drawing: 10 % too short (3 of 3)" in said.err
    assert [path.name for path in out.parent.iterdir()] == ["page.html"]
    page = out.read_text(encoding="utf-8")
    assert page.endswith("</html>")
    assert len(page) < 2_000_000
    loads = re.findall(r"""(?:src|href|action|poster)=["']?([^"'\s>]+)|url\(([^)]*)\)|@import""", page)
    assert {where[0][:5] for where in loads} == {"data:"}
    assert "http://" not in page
    assert "https://" not in page
    assert page.count("</script>") == 1
    assert NAME not in page
    assert NAME in html.unescape(page)


def test_a_step_without_rest_is_left_out_and_told(
    scene: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    true = sweep_module.settled

    def sometimes(fabric: object, *rest: object) -> object:
        if fabric.floats[0].slack < -0.05:  # type: ignore[attr-defined]
            raise NoEquilibriumError("no equilibrium: it crawls")
        return true(fabric, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(sweep_module, "settled", sometimes)
    monkeypatch.setattr(lesson_pictures, "album", partial(album, width_px=120))
    out = tmp_path / "page.html"
    words = (scene, "--out", out, "--case", "repeat", "--no-3d", "--steps")
    assert _run(*words, "-0.1,-0.04,0.1") == 0
    assert "No rest was found at a slack of -10 %" in capsys.readouterr().out
    page = out.read_text(encoding="utf-8")
    assert "10 % too short: no rest was found (no equilibrium: it crawls)" in page
    assert page.count('<article class="step') == 2
    assert _run(*words, "-0.1,0.1") == 3
    assert "only one step came to rest" in capsys.readouterr().err.splitlines()[-1]
    assert out.read_text(encoding="utf-8") == page  # the earlier page stays whole


@pytest.mark.parametrize(
    ("steps", "part"),
    [
        ("-1,0", "--steps: given -1; allowed: a fraction above -1"),
        ("0.1", "--steps: given 1 of them; allowed: 2 to 21 different slacks"),
        ("0.1,0.10", "--steps: given 1 of them"),
        ("0,loose", "--steps: given 'loose'"),
        ("5,0", "write 0.05 if you mean 5 %"),
    ],
)
def test_bad_steps_give_one_line(
    steps: str, part: str, scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "new" / "page.html"
    assert _run(scene, "--out", out, "--steps", steps) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert part in said
    assert not out.parent.exists()


def test_a_scene_without_floats_and_a_place_that_cannot_be_are_refused_at_once(
    scene: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    for out in (tmp_path, tmp_path / "taken" / "page.html"):
        assert _run(scene, "--out", out) == 2
        said = capsys.readouterr().err
        assert said.count("\n") == 1
        assert "--out" in said
    scene.write_text(re.sub(r"rows = \[.*\]", 'rows = ["......", "bbbbbb"]', SCENE, count=1), encoding="utf-8")
    assert _run(scene, "--out", tmp_path / "page.html") == 2
    assert "chart: given no floats in the case 'repeat'" in capsys.readouterr().err
    assert not (tmp_path / "page.html").exists()
