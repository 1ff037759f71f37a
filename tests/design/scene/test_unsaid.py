"""What counts where a scene says nothing, and the words for what can't be a slack or a painted chart."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from fabricsim.design.scene.choices import Expect
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import read_scene
from fabricsim.design.scene.rules import checked_slack
from fabricsim.errors import InputError
from tests.design.scene.test_complaint import GOOD, ROWS
from tests.design.scenes import scene_table


def test_what_counts_where_nothing_is_said() -> None:
    said = Scene.model_validate(scene_table(["A..A", ".AA."])).model_dump()
    assert said == {
        "title": "a test",
        "story": "",
        "worked": "round",
        "units": "cm",
        "item": None,
        "on": None,
        "knitter": None,
        "chart": {
            "rows": ("A..A", ".AA."),
            "file": None,
            "image": None,
            "across": 1,
            "up": 1,
            "plain_below": 0,
            "plain_above": 0,
            "plain_yarn": None,
        },
        "yarns": (
            {
                "symbol": ".",
                "name": "oat",
                "colour": "#ffffff",
                "tex": 500.0,
                "metres_per_100_g": None,
                "ball_grams": 50.0,
            },
            {
                "symbol": "A",
                "name": "pine",
                "colour": "#004000",
                "tex": None,
                "metres_per_100_g": 200.0,
                "ball_grams": 50.0,
            },
        ),
        "gauge": {"stitches": 19.0, "rows": 25.5, "needle_mm": None, "colourwork": None, "washed": None},
        "floats": {
            "slack": 0.0,
            "slack_by_yarn": {},
            "below": (),
            "unevenness": None,
            "short_mm": None,
            "laid": "flat",
            "needles": None,
            "corner_shorter": 0.1,
            "longest_gap": None,
            "longest_cm": None,
            "catches": (),
            "plan_catches": False,
        },
        "fabric": {
            "thickness_mm": None,
            "areal_mass_g_per_m2": None,
            "stretch_across_N_per_m": None,
            "stretch_up_N_per_m": None,
            "shear_N_per_m": None,
            "poisson_across": None,
            "bending_across_uNm": None,
            "bending_up_uNm": None,
            "twist_uNm": None,
            "lock_strain_across": None,
            "lock_strain_up": None,
            "lock_ratio": None,
            "jam_strain": None,
            "jam_ratio": None,
            "float_ratio": None,
            "edges": None,
            "edge_curl_across_per_m": None,
            "edge_curl_up_per_m": None,
        },
        "simulation": {"case": None, "inside_out": False, "stitch_limit": 40000},
        "sizes": None,
        "steek": None,
        "shaping": None,
        "bands": (),
        "expect": None,
    }
    assert Expect().model_dump() == {"case": None, "draw_in_percent": None, "pucker_mm": None}


@pytest.mark.parametrize(
    ("slack", "todo"),
    [
        (1.5, "write 0.015 if you mean 1.5 %"),
        (-5.0, "write -0.05 if you mean -5 %"),
        (100.0, "write 1 if you mean 100 %"),
        (-1.0, "-0.05 is 5 % too tight"),
        (100.5, "-0.05 is 5 % too tight"),
    ],
)
def test_what_can_be_no_slack_is_perhaps_a_per_cent(slack: float, todo: str) -> None:
    with pytest.raises(InputError) as refused:
        checked_slack(slack, "--slack")
    assert str(refused.value) == f"--slack: given {slack:g}; allowed: a fraction above -1, at most 1; {todo}"


@pytest.mark.parametrize("slack", [-0.999, -0.05, 0.0, 1.0])
def test_what_can_be_a_slack(slack: float) -> None:
    assert checked_slack(slack, "--slack") == slack


@pytest.mark.parametrize(("slack", "per_cent"), [("1.0", False), ("1.01", True), ("100", True), ("101", False)])
def test_a_per_cent_in_a_scene_is_known_for_one(slack: str, per_cent: bool, tmp_path: Path) -> None:
    path = tmp_path / "scene.toml"
    path.write_text(GOOD.replace("slack = 0.05", f"slack = {slack}"))
    try:
        read_scene(path)
        said = ""
    except InputError as refused:
        said = str(refused)
    assert ("if you mean" in said) == per_cent
    assert (said == "") == (slack == "1.0")


def painted(folder: Path, pixels: np.ndarray, extra: str = "") -> str:
    """Return what is said of a scene whose chart is this picture."""
    Image.fromarray(pixels).save(folder / "chart.png")
    path = folder / "scene.toml"
    path.write_text(GOOD.replace(ROWS, 'image = "chart.png"') + extra)
    with pytest.raises(InputError) as refused:
        read_scene(path).chart_rows()
    return str(refused.value).replace(str(folder), "")


WHITE, GREEN = (255, 255, 255), (0, 64, 0)
CHART = np.array([[WHITE, GREEN, WHITE], [GREEN, WHITE, WHITE]], dtype=np.uint8)


def test_a_pixel_of_no_yarn_is_named_by_its_square(tmp_path: Path) -> None:
    chart = CHART.copy()
    chart[1, 0] = (200, 10, 10)
    assert painted(tmp_path, chart) == (
        "/scene.toml: chart.image: given #c80a0a in row 1, stitch 3 (from the bottom right); allowed: the "
        "colour of a yarn (#ffffff, #004000), each of red, green and blue within 8; paint that pixel in a "
        "yarn's colour, or add a yarn"
    )


def test_a_damaged_picture_and_what_is_none(tmp_path: Path) -> None:
    Image.fromarray(CHART).save(tmp_path / "whole.png")
    data = (tmp_path / "whole.png").read_bytes()
    path = tmp_path / "scene.toml"
    path.write_text(GOOD.replace(ROWS, 'image = "chart.png"'))

    def said(of: bytes) -> str:
        (tmp_path / "chart.png").write_bytes(of)
        with pytest.raises(InputError) as refused:
            read_scene(path).chart_rows()
        return str(refused.value).replace(str(tmp_path), "")

    assert said(data[:45]) == (
        "/scene.toml: chart.image: given '/chart.png', a damaged PNG; allowed: a PNG that can be opened; save it afresh"
    )
    assert said(b"GIF89a" + data) == (
        "/scene.toml: chart.image: given '/chart.png', which isn't a PNG; allowed: a PNG, one pixel a "
        "stitch; save it as PNG"
    )
    Image.fromarray(np.zeros((2, 3), dtype=np.uint16)).save(tmp_path / "deep.png")
    assert said((tmp_path / "deep.png").read_bytes()) == (
        "/scene.toml: chart.image: given '/chart.png' in 16-bit grey; allowed: a PNG of 8 bits a colour; "
        "save it in 8 bits"
    )


def test_colours_a_little_off_count_and_the_nearest_has_it(tmp_path: Path) -> None:
    chart = CHART.copy()
    chart[0, 0] = (247, 255, 249)
    chart[0, 1] = (8, 56, 8)
    Image.fromarray(chart).save(tmp_path / "chart.png")
    path = tmp_path / "scene.toml"
    path.write_text(GOOD.replace(ROWS, 'image = "chart.png"'))
    assert [list(row) for row in read_scene(path).chart_rows()] == [[1, 0, 0], [0, 1, 0]]
    chart[0, 1] = (9, 64, 0)
    assert "in row 2, stitch 2 (from the bottom right)" in painted(tmp_path, chart)
