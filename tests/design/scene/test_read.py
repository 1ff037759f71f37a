"""Reading scene files, charts beside them, and what identifies a scene."""

from __future__ import annotations

import json
import os
import re
import struct
import subprocess
import sys
import zlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import demo_scene, read_scene, scene_hash, scene_of_text, scene_schema
from fabricsim.errors import InputError

HEAD = """
title = "a test"
worked = "round"
gauge = { stitches = 19, rows = 25.5 }
yarns = [
    { symbol = ".", name = "oat", colour = "#ffffff", tex = 500 },
    { symbol = "A", name = "pine", colour = "#004000", tex = 500 },
]
"""
WHITE, GREEN = (255, 255, 255), (0, 64, 0)


def write(folder: Path, chart: str, head: str = HEAD) -> Path:
    path = folder / "scene.toml"
    path.write_text(f"{head}\nchart = {{ {chart} }}\n", encoding="utf-8")
    return path


def paint(path: Path, rows: list[list[tuple[int, ...]]], mode: str = "RGB") -> None:
    Image.fromarray(np.array(rows, dtype=np.uint8)).convert(mode, palette=Image.Palette.ADAPTIVE).save(path)


def test_rows_a_file_and_a_picture_make_the_same_scene(tmp_path: Path) -> None:
    (tmp_path / "chart.txt").write_text("A..\r\n.AA\r\n\r\n", encoding="utf-8")
    paint(tmp_path / "chart.png", [[GREEN, WHITE, WHITE], [WHITE, GREEN, GREEN]])
    scenes = [
        read_scene(write(tmp_path, chart))
        for chart in ('rows = ["A..", ".AA"]', 'file = "chart.txt"', 'image = "chart.png"')
    ]
    assert [one.chart_grid().tolist() for one in scenes] == [[[0, 1, 1], [1, 0, 0]]] * 3
    assert len({scene_hash(one) for one in scenes}) == 1
    assert scenes[0].source == tmp_path / "scene.toml"


@pytest.mark.parametrize("mode", ["P", "RGBA", "RGB"])
def test_pictures_of_any_8_bit_kind(tmp_path: Path, mode: str) -> None:
    paint(tmp_path / "chart.png", [[GREEN, WHITE]], mode)
    assert read_scene(write(tmp_path, 'image = "chart.png"')).chart_grid().tolist() == [[1, 0]]


def test_colours_may_be_off_by_the_stated_tolerance_and_no_more(tmp_path: Path) -> None:
    paint(tmp_path / "chart.png", [[(8, 56, 8), (247, 255, 247)]])
    assert read_scene(write(tmp_path, 'image = "chart.png"')).chart_grid().tolist() == [[1, 0]]
    paint(tmp_path / "chart.png", [[GREEN, WHITE, WHITE], [WHITE, (9, 64, 0), GREEN]])
    with pytest.raises(InputError, match=r"given #094000 in row 1, stitch 2 \(from the bottom right\)"):
        read_scene(write(tmp_path, 'image = "chart.png"'))


def test_the_nearest_yarn_wins(tmp_path: Path) -> None:
    head = HEAD.replace("#ffffff", "#004005")
    paint(tmp_path / "chart.png", [[(0, 64, 3), (0, 64, 2)]])
    assert read_scene(write(tmp_path, 'image = "chart.png"', head)).chart_grid().tolist() == [[0, 1]]


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([[(0, 64, 0, 255), (0, 64, 0, 254)]], "a see-through pixel in row 1, stitch 1 "),
        ([[(0, 64, 0, 0), (0, 64, 0, 255)]], "a see-through pixel in row 1, stitch 2 "),
    ],
)
def test_see_through_pixels_are_no_yarn(tmp_path: Path, rows: list[list[tuple[int, ...]]], told: str) -> None:
    paint(tmp_path / "chart.png", rows, "RGBA")
    with pytest.raises(InputError, match=told):
        read_scene(write(tmp_path, 'image = "chart.png"'))


def test_two_yarns_of_one_colour_cannot_be_painted(tmp_path: Path) -> None:
    paint(tmp_path / "chart.png", [[GREEN]])
    with pytest.raises(InputError, match="'oat' and 'pine' in the same colour #004000"):
        read_scene(write(tmp_path, 'image = "chart.png"', HEAD.replace("#ffffff", "#004000")))


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def test_a_huge_picture_is_refused_by_its_head_alone(tmp_path: Path) -> None:
    head = struct.pack(">IIBBBBB", 2**31 - 1, 2**31 - 1, 8, 2, 0, 0, 0)
    (tmp_path / "chart.png").write_bytes(b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head))
    with pytest.raises(InputError, match=r"a piece of 4,611,686,014,132,420,609 stitches"):
        read_scene(write(tmp_path, 'image = "chart.png"'))


@pytest.mark.parametrize("cut", [30, 45, 50])
def test_a_damaged_picture_is_refused(tmp_path: Path, cut: int) -> None:
    paint(tmp_path / "chart.png", [[GREEN, WHITE] * 5] * 10)
    whole = (tmp_path / "chart.png").read_bytes()
    assert len(whole) > cut
    (tmp_path / "chart.png").write_bytes(whole[:cut])
    with pytest.raises(InputError, match="a damaged PNG"):
        read_scene(write(tmp_path, 'image = "chart.png"'))


def _png(size: tuple[int, int], scanned: bytes, *before: bytes) -> bytes:
    """Return a PNG of this width and height, 8 bits of red, green and blue, with whatever is ``scanned`` for pixels."""
    head = struct.pack(">IIBBBBB", *size, 8, 2, 0, 0, 0)
    pixels = _chunk(b"IDAT", zlib.compress(scanned))
    return b"\x89PNG\r\n\x1a\n" + _chunk(b"IHDR", head) + b"".join(before) + pixels + _chunk(b"IEND", b"")


@pytest.mark.parametrize("missing", [1, 10, 31])
def test_pixels_that_stop_early_are_damage_and_not_black(tmp_path: Path, missing: int) -> None:
    head = HEAD.replace("#004000", "#000000")  # a yarn in the colour that the missing pixels would come out in
    whole = bytes([0, *[255] * 9]) + bytes(1 + 9) + bytes([0, *[255] * 9]) + bytes(1 + 9)
    (tmp_path / "chart.png").write_bytes(_png((3, 4), whole))
    scene = read_scene(write(tmp_path, 'image = "chart.png"', head))
    assert scene.chart_grid().tolist() == [[1] * 3, [0] * 3, [1] * 3, [0] * 3]
    (tmp_path / "chart.png").write_bytes(_png((3, 4), whole[:-missing]))
    with pytest.raises(InputError, match="a damaged PNG"):
        read_scene(write(tmp_path, 'image = "chart.png"', head))


def test_interlaced_pictures_are_counted_whole(tmp_path: Path) -> None:
    # 1 x 2 interlaced: pass 1 holds the upper pixel and pass 7 the lower one, each a line of its own
    head = struct.pack(">IIBBBBB", 1, 2, 8, 2, 0, 0, 1)
    for pixels, whole in ((bytes([0, *GREEN, 0, *WHITE]), True), (bytes([0, *GREEN, 0, 255, 255]), False)):
        chunks = _chunk(b"IHDR", head) + _chunk(b"IDAT", zlib.compress(pixels)) + _chunk(b"IEND", b"")
        (tmp_path / "chart.png").write_bytes(b"\x89PNG\r\n\x1a\n" + chunks)
        if whole:
            assert read_scene(write(tmp_path, 'image = "chart.png"')).chart_grid().tolist() == [[0], [1]]
        else:
            with pytest.raises(InputError, match="a damaged PNG"):
                read_scene(write(tmp_path, 'image = "chart.png"'))


def test_a_second_head_cannot_smuggle_a_larger_picture_in(tmp_path: Path) -> None:
    larger = _chunk(b"IHDR", struct.pack(">IIBBBBB", 300, 300, 8, 2, 0, 0, 0))  # 90,000 stitches: above the limit
    (tmp_path / "chart.png").write_bytes(_png((2, 2), bytes(300 * 901), larger))
    with pytest.raises(InputError, match="a damaged PNG"):
        read_scene(write(tmp_path, 'image = "chart.png"', HEAD.replace("#004000", "#000000")))


def test_16_bit_grey_is_refused_and_not_guessed_at(tmp_path: Path) -> None:
    Image.fromarray(np.array([[0, 65535]], dtype=np.uint16)).save(tmp_path / "chart.png")
    with pytest.raises(InputError, match="16-bit grey"):
        read_scene(write(tmp_path, 'image = "chart.png"'))


@pytest.mark.parametrize(
    ("chart", "given"),
    [
        ('rows = ["A."], across = 20001', "a piece of 40,002 stitches (rows: 1, stitches in each: 40,002)"),
        ('rows = ["A."], up = 20001', "a piece of 40,002 stitches (rows: 20,001, stitches in each: 2)"),
        (
            'rows = ["A."], plain_above = 20000',
            "a piece of 40,002 stitches (rows: 20,001, stitches in each: 2)",
        ),
        (
            'rows = ["A."], across = 1000000, up = 1000000',
            "a piece of 2,000,000,000,000 stitches (rows: 1,000,000, stitches in each: 2,000,000)",
        ),
    ],
)
def test_pieces_above_the_limit_are_refused_before_they_are_built(tmp_path: Path, chart: str, given: str) -> None:
    with pytest.raises(InputError, match=re.escape(given)) as caught:
        read_scene(write(tmp_path, chart))
    assert "simulation.stitch_limit" in str(caught.value)


def test_the_limit_itself_is_allowed_and_can_be_raised(tmp_path: Path) -> None:
    assert read_scene(write(tmp_path, 'rows = ["A."], across = 20000')).piece_grid().size == 40_000
    raised = HEAD + "simulation = { stitch_limit = 40002 }"
    assert read_scene(write(tmp_path, 'rows = ["A."], across = 20001', raised)).piece_grid().size == 40_002


def test_the_hash_changes_with_anything_said_and_not_with_the_place(tmp_path: Path) -> None:
    base = scene_hash(read_scene(write(tmp_path, 'rows = ["A..", ".AA"]')))
    (tmp_path / "elsewhere").mkdir()
    assert scene_hash(read_scene(write(tmp_path / "elsewhere", 'rows = ["A..", ".AA"]'))) == base
    others = {
        scene_hash(read_scene(write(tmp_path, 'rows = ["A.A", ".AA"]'))),
        scene_hash(read_scene(write(tmp_path, 'rows = ["A..", ".AA"], across = 2'))),
        scene_hash(read_scene(write(tmp_path, 'rows = ["A..", ".AA"]', HEAD.replace("19", "20")))),
        scene_hash(read_scene(write(tmp_path, 'rows = ["A..", ".AA"]', HEAD + "floats = { slack = 0.06 }"))),
    }
    assert base not in others
    assert len(others) == 4
    assert re.fullmatch("[0-9a-f]{64}", base)


def test_the_hash_does_not_hang_on_the_run() -> None:
    # sets and dicts of strings are ordered by a salt that differs from run to run
    ask = "from fabricsim.design.scene.read import *; print(scene_hash(demo_scene()))"
    env = os.environ | {"PYTHONHASHSEED": "7"}
    said = subprocess.run([sys.executable, "-c", ask], env=env, capture_output=True, text=True, check=True)
    assert said.stdout.strip() == scene_hash(demo_scene())


def test_the_demo_has_one_gap_a_chart_repeat_too_long() -> None:
    from fabricsim.design.floats.faults import faults
    from fabricsim.design.floats.of_scene import carry_ups, floats_of_repeat

    scene = demo_scene()
    over = faults(floats_of_repeat(scene), scene.limits)
    assert [(one.float.gap, one.float.row + 1) for one in over] == [(7, 8)]
    assert scene.piece_grid().shape == (19, 96)
    assert carry_ups(scene) == ()


def every_key(schema: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Return every key of the schema by its path."""
    tables = {"": schema, **schema["$defs"]}
    return {f"{name}.{key}": node for name, table in tables.items() for key, node in table["properties"].items()}


def test_every_key_of_the_schema_is_described_and_no_other_is_allowed() -> None:
    schema = scene_schema()
    keys = every_key(schema)
    assert [key for key, node in keys.items() if not node.get("description", "").endswith((".", "}", ")"))] == []
    assert {table["additionalProperties"] for table in (schema, *schema["$defs"].values())} == {False}
    assert set(schema["properties"]) == set(Scene.model_fields)
    assert keys["FloatRules.catches"]["anyOf"][0] == {"const": "none"}
    assert keys["FloatRules.catches"]["anyOf"][1] == {"const": "planned"}
    assert keys["FloatRules.catches"]["anyOf"][2]["type"] == "array"
    json.dumps(schema, allow_nan=False)


@pytest.mark.parametrize("path", sorted(Path("scenes").glob("*.toml")), ids=lambda path: path.stem)
def test_a_text_says_what_its_file_says(path: Path) -> None:
    read = read_scene(path)
    assert scene_of_text(path.read_text(encoding="utf-8"), path) == read
    assert read.title
