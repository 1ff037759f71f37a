"""The form of what was measured, whatever the yarns are called."""

from __future__ import annotations

import tomllib

import pytest

from fabricsim.design.scene.model import Scene
from fabricsim.design.swatch.form import measured_form
from fabricsim.design.swatch.measured import Measured


def scene(symbol: str, title: str = "a test") -> Scene:
    yarns = [{"symbol": one, "name": f"yarn {one}", "colour": "#000000", "tex": 500} for one in (".", symbol)]
    chart = {"rows": [f".{symbol}.."]}
    gauge = {"stitches": 19, "rows": 25}
    return Scene.model_validate({"title": title, "worked": "flat", "chart": chart, "yarns": yarns, "gauge": gauge})


@pytest.mark.parametrize("symbol", ['"', "\\", "'", "#", "x", "緑"])
def test_any_symbol_can_be_filled_in(symbol: str) -> None:
    form = measured_form(scene(symbol, title='"""\'\\ [[floats]]'))
    assert Measured.model_validate(tomllib.loads(form)) == Measured()
    lines = form.splitlines()
    start = lines.index("# [[floats]]")
    filled = [line.removeprefix("# ") for line in lines[start : start + 4]]
    filled[2] = "yarn_cm = 3"
    (one,) = tomllib.loads("\n".join(filled))["floats"]
    assert one == {"gap": 5, "yarn_cm": 3, "yarn": symbol}
