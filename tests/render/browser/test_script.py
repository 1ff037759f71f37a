"""Modules put together to one script."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pytest

import fabricsim.render.browser.script as script
from fabricsim.render.browser.script import one_script

ROOM = Path(str(files("fabricsim.render.browser")))


def test_every_module_comes_once_and_before_who_needs_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "gl").mkdir()
    (tmp_path / "gl" / "low.js").write_text("// low\nexport const LOW = 1;\n")
    (tmp_path / "gl" / "mid.js").write_text('import { LOW } from "./low.js";\nexport function mid() { return LOW; }\n')
    (tmp_path / "top.js").write_text(
        'import { mid } from "./gl/mid.js";\nimport { LOW } from "./gl/low.js";\nconst top_ = mid() + LOW;\n'
    )
    monkeypatch.setattr(script, "files", lambda package: tmp_path)
    assert one_script("top.js") == (
        '(function () {\n"use strict";\n// low\nconst LOW = 1;\n\nfunction mid() { return LOW; }\n\n'
        "const top_ = mid() + LOW;\n}());\n"
    )
    (tmp_path / "top.js").write_text('import { mid } from "./gl/mid.js";\nfunction LOW() {}\n')
    with pytest.raises(ValueError, match="made in several modules: LOW"):
        one_script("top.js")


def test_nothing_of_modules_is_left_in_the_page_in_3d() -> None:
    text = one_script("alone/page.js")
    assert not re.search(r"^\s*(import|export)\b", text, re.MULTILINE)
    for path in (ROOM / "alone").glob("*.js"):
        assert path.read_text().splitlines()[0] in text
    for name in ("stage", "yarn", "yarn_shader", "squares", "camera", "frames"):
        assert text.count((ROOM / "gl" / f"{name}.js").read_text().splitlines()[0]) == 1
