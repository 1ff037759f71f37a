"""The gauge of the swatch after washing, as it is written."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.design.scene.read import read_scene, scene_hash
from fabricsim.errors import InputError
from tests.support.little import little


def written(tmp_path: Path, washed: str, units: str = "") -> Path:
    path = tmp_path / "it.toml"
    text = units + little()
    assert "[gauge]" in text
    path.write_text(text.replace("[gauge]", f"[gauge]\n{washed}"))
    return path


def test_it_is_read_and_counts_in_the_hash(tmp_path: Path) -> None:
    bare = read_scene(written(tmp_path, ""))
    scene = read_scene(written(tmp_path, "washed = { stitches = 18, rows = 26, pinned_cm = 40 }"))
    assert scene.gauge.washed is not None
    assert scene.gauge.washed.pinned_cm == 40.0
    assert (scene.gauge.as_washed().stitches, scene.gauge.as_washed().rows) == (18.0, 26.0)
    assert bare.gauge.as_washed() is bare.gauge
    assert scene_hash(scene) != scene_hash(bare)


def test_in_inches_it_is_to_four_of_them(tmp_path: Path) -> None:
    washed = "washed = { stitches = 18, rows = 26, pinned_inch = 10 }"
    scene = read_scene(written(tmp_path, washed, 'units = "inch"\n'))
    assert scene.gauge.washed is not None
    assert scene.gauge.washed.stitches == pytest.approx(18.0 / 1.016)
    assert scene.gauge.washed.rows == pytest.approx(26.0 / 1.016)
    assert scene.gauge.washed.pinned_cm == pytest.approx(25.4)


@pytest.mark.parametrize(
    ("washed", "said"),
    [
        (
            "washed = { stitches = 5, rows = 26 }",
            "given 5 stitches washed with 19 before; allowed: 12.67 to 38 washed; count both over 10 cm of the same "
            "swatch",
        ),
        (
            "washed = { stitches = 18, rows = 80 }",
            "given 80 rows washed with 25.5 before; allowed: 17 to 51 washed; count both over 10 cm of the same swatch",
        ),
        ("washed = { stitches = 18 }", "rows"),
        ("washed = { stitches = 18, rows = 26, pinned_cm = 20, pinned_inch = 8 }", "both pinned_inch and pinned_cm"),
    ],
)
def test_what_can_not_be_is_refused(tmp_path: Path, washed: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_scene(written(tmp_path, washed))
