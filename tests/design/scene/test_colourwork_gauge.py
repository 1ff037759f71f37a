"""A gauge measured in the colourwork, to 10 cm or to 4 inches."""

from __future__ import annotations

import pytest

from fabricsim.design.scene.inches import in_cm
from fabricsim.design.scene.yarn import Gauge


def test_to_4_inches_it_is_told_as_all_else() -> None:
    gauge = {"stitches": 20, "rows": 26, "colourwork": {"stitches": 22, "needle_mm": 4}}
    read = Gauge.model_validate(in_cm({"units": "inch", "gauge": gauge})["gauge"])
    assert read.colourwork is not None
    assert read.colourwork.stitches == pytest.approx(22 / 1.016)  # 4 inches are 10.16 cm
    assert read.colourwork.needle_mm == 4
    assert read.colourwork_lost == pytest.approx(1 - 20 / 22)  # a share knows no unit
    assert gauge["colourwork"] == {"stitches": 22, "needle_mm": 4}  # what was given stays


def test_a_mistake_in_it_is_left_to_whoever_reads_it() -> None:
    given = {"units": "inch", "gauge": {"stitches": 20, "rows": 26, "colourwork": {"stitches": "22"}}}
    assert in_cm(given)["gauge"]["colourwork"] == {"stitches": "22"}
