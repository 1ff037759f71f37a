"""Files are known by what is in them."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from fabricsim.cli.shell.kinds import HEAD, Kind, kind_of, kind_of_file
from tests.support.little import little


def _picture(kind: str) -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (2, 2)).save(data, kind)
    return data.getvalue()


KNOWN: list[tuple[bytes, Kind]] = [
    (_picture("PNG"), "a PNG"),
    (_picture("GIF"), "a GIF"),
    (_picture("WEBP"), "a WebP"),
    (_picture("JPEG"), "a file of some other kind"),
    (b"%PDF-1.4\n", "a PDF"),
    (b"glTF\x02\0\0\0", "a GLB"),
    (b"ply\nformat binary_little_endian 1.0\n", "a PLY"),
    (b"# in metres\nmtllib material.mtl\nv 0.1 -0.2 1e-05 0.5 0.5 0.5\n", "an OBJ"),
    (b'<?xml version="1.0"?>\n<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "x">\n<svg width="1">', "an SVG"),
    (b"<svg>", "an SVG"),
    (b"<!doctype html>\n<svg>", "a web page"),
    (b'{"format": 1, "study": 2}\n{"key": "0"}\n', "the kept rows of a study"),
    (b'{\n  "schema_version": 1\n}', "a JSON file"),
    (b"[1, 2]", "a JSON file"),
    (little().encode(), "a scene"),
    (b"# mine\n\n[chart]\nrows = [not yet done", "a scene"),
    (b"[slack]  # how\nvalue = 1\n\n[bending]  # how\nvalue = 1\n", "a knitter's file"),
    (b"\xef\xbb\xbf# mine\n[[bodies]]\npart = 'head'\n", "a TOML file"),
    (b'scenes = ["a.toml"]\nslack = [0, 1]\n', "a TOML file"),
    (b"..A..\n.A.A.\r\n..A..\n", "a chart in symbols"),
    (b"..A.A..", "a chart in symbols"),
    (b'row,stitch,words\n1,2,"one, two"\n3,4,five\n', "a table in CSV"),
    (b"A hat\n\n yarn   metres\n oat    12.5\nTwo, three.\n", "a text file"),
    (b"Written, in words\nbut on two lines.\n", "a text file"),
    (b"old", "a text file"),
    ("Mütze".encode("utf-16"), "a file of some other kind"),
    (b"\0\1\2", "a file of some other kind"),
]


@pytest.mark.parametrize(("data", "kind"), KNOWN)
def test_a_kind_is_known_by_its_content(data: bytes, kind: Kind) -> None:
    assert kind_of(data) == kind


def test_a_long_file_is_known_by_its_beginning() -> None:
    table = b"row,words\n" + b"1,\xc3\xbc\xc3\xbc\xc3\xbc\xc3\xbc\n" * HEAD
    assert {kind_of(table[: HEAD + cut]) for cut in range(12)} == {"a table in CSV"}


@pytest.mark.parametrize(
    ("name", "data", "kind"),
    [
        ("a.toml", b"[]", "a TOML file"),
        ("a.TOML", b"half a thought", "a TOML file"),
        ("a.toml", b"[bending]\ncm = 4\n", "a knitter's file"),
        ("a.json", b"[]", "a JSON file"),
    ],
)
def test_what_is_called_toml_is_no_other_text(name: str, data: bytes, kind: Kind) -> None:
    assert kind_of_file(Path(name), data) == kind
