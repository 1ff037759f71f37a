"""The empty form: it reads as nothing measured, and filled in as it says as what was filled in."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.form import measured_form
from fabricsim.design.swatch.measured import Measured, read_measured
from fabricsim.errors import InputError
from tests.design.scenes import scene

FILLED = {
    "width_cm": 10.0,
    "height_cm": 4.0,
    "pucker_mm": 1.5,
    "grams": 20.0,
    "strip_cm": 8.0,
    "yarn_cm": 3.5,
    "yarn_mm": "[31, 29.5, 33]",
}


def swatch(worked: str = "flat") -> Scene:
    return scene(["A...", ".A.."], worked=worked, across=5, up=3, plain_below=2, plain_above=4)


def filled(form: str) -> str:
    """Return the form with every line of a number let in, and what is empty filled in."""
    lines = []
    for line in form.splitlines():
        found = re.match(r"# (\[\[floats\]\]|(\w+) =(.*))", line)
        if found is None:
            lines.append(line)
        elif found[2] is None:
            lines.append(found[1])
        else:
            written = found[3].split("  #")[0].strip()
            lines.append(f"{found[2]} = {written or FILLED[found[2]]}")
    return "\n".join(lines)


def test_as_it_is_it_says_nothing() -> None:
    assert Measured.model_validate(tomllib.loads(measured_form(swatch()))) == Measured()


def test_filled_in_every_number_arrives_with_the_counts_of_the_piece() -> None:
    found = Measured.model_validate(tomllib.loads(filled(measured_form(swatch()))))
    assert (found.plain.stitches, found.plain.rows) == (20, 4)  # the wider plain part
    assert (found.colourwork.stitches, found.colourwork.rows, found.colourwork.pucker_mm) == (20, 6, 1.5)
    assert (found.stretched.stitches, found.stretched.section, found.stretched.strip_cm) == (20, "plain", 8.0)
    assert found.weighed.grams == 20.0
    assert [(one.gap, one.yarn, one.yarn_cm, one.yarn_mm) for one in found.floats] == [
        (3, "A", None, (31.0, 29.5, 33.0)),
        (3, None, 3.5, None),
    ]
    # how far a number may be off is taken as shown
    assert found.plain.uncertain_cm == found.colourwork.uncertain_cm == 0.3
    assert (found.colourwork.pucker_uncertain_mm, found.stretched.uncertain_cm) == (1.0, 0.5)
    assert (found.weighed.uncertain_grams, found.floats[0].uncertain_mm, found.floats[1].uncertain_cm) == (
        1.0,
        1.0,
        0.3,
    )
    given = Measured()
    assert (given.plain.uncertain_cm, given.colourwork.pucker_uncertain_mm) == (0.3, 1.0)
    assert (given.stretched.uncertain_cm, given.weighed.uncertain_grams) == (0.5, 1.0)


def test_it_speaks_of_the_piece_at_hand() -> None:
    form = measured_form(swatch())
    assert form.startswith('# What I measured on my swatch of "a test".\n')
    assert "Nothing has to be measured but the width of the colourwork" in form
    assert 'yarn = "A"                # "." (oat) or "A" (pine); leave it out if you don\'t know' in form
    assert "all the way round" not in form
    tube = measured_form(swatch("round"))
    assert "Nothing has to be measured but the girth of the colourwork" in tube
    assert tube.count(", all the way round") == 2
    assert "# rows = 10 " in measured_form(scene(["A..."]))  # without plain rows, as many as can be counted well


TOGETHER = "stitches, width_cm together; add stitches"


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("width_cm = 10", f"given width_cm without stitches; allowed: {TOGETHER}"),
        ("rows = 10", "given rows without height_cm; allowed: rows, height_cm together; add height_cm"),
        ("rows = 10\nheight_cm = 4\nwidth_cm = 9", f"given width_cm without stitches; allowed: {TOGETHER}"),
    ],
)
def test_half_a_measurement_is_refused(text: str, line: str, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(f"[plain]\n{text}\n", encoding="utf-8")
    with pytest.raises(InputError) as problem:
        read_measured(path)
    assert str(problem.value) == f"{path}: plain: {line}"


def test_what_is_missing_is_listed(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("[stretched]\nwidth_cm = 9\ngrams = 40\n", encoding="utf-8")
    with pytest.raises(InputError) as problem:
        read_measured(path)
    assert str(problem.value) == (
        f"{path}: stretched: given width_cm and grams without stitches and strip_cm; allowed: stitches, width_cm, "
        f"grams, "
        "strip_cm together; add stitches and strip_cm"
    )


def test_what_lies_and_what_tells() -> None:
    def made(**parts: object) -> Measured:
        return Measured.model_validate(parts)

    wide = {"stitches": 20, "width_cm": 10}
    high = {"rows": 20, "height_cm": 10}
    pulled = {**wide, "grams": 4, "strip_cm": 3}
    for parts, lies, tells in (
        ({}, False, False),
        ({"plain": {**wide, **high}}, False, False),
        ({"colourwork": wide}, True, True),
        ({"colourwork": high}, True, False),
        ({"colourwork": {"pucker_mm": 0}}, True, True),
        ({"stretched": pulled}, False, True),
        ({"weighed": {"grams": 3}}, False, True),
        ({"floats": [{"gap": 3, "yarn_cm": 2}]}, False, True),
    ):
        assert (made(**parts).lies, made(**parts).tells) == (lies, tells), parts
