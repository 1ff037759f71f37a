"""Every number that can be written in a file has a least and a most, every text a greatest length."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from fabricsim.design.scene.bodies import BodyTable
from fabricsim.design.scene.knitter import Knitter
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.part import Part
from fabricsim.design.scene.yarn import Gauge
from fabricsim.design.swatch.measured import Measured
from fabricsim.study.compare.grid import Grid

CHECKED_IN_WORDS = {
    "Grid.gauge": "a factor or a gauge: the grid's own check",
    "ChartSpec.rows": "no longer than the file that holds it, and every character a yarn's",
    "ChartSpec.plain_yarn": "one of the symbols",
    "FloatRules.slack_by_yarn": "one of the symbols",
    "Grid.slack_by_yarn": "one of the symbols",
    "MeasuredFloat.yarn": "one of the symbols",
    "Sizing.rib": "of a form of its own",
    "Sizing.bodies": "checked as a name or a number of cm",
}


def loose_ends(node: Any, name: str) -> Iterator[str]:
    """Yield what is loose below a ``node`` of a JSON Schema that describes the key ``name``."""
    if isinstance(node, list):
        for one in node:
            yield from loose_ends(one, name)
    if not isinstance(node, dict):
        return
    if node.get("type") in ("number", "integer"):
        if not {"minimum", "exclusiveMinimum"} & set(node):
            yield f"{name} has no least"
        if not {"maximum", "exclusiveMaximum"} & set(node):
            yield f"{name} has no most"
    if node.get("type") == "string" and not {"maxLength", "enum", "const", "pattern"} & set(node):
        yield f"{name} has no greatest length"
    for key, inner in node.items():
        if key == "properties":
            for field, one in inner.items():
                yield from loose_ends(one, f"{node['title']}.{field}")
        elif key == "propertyNames":
            yield from loose_ends({"type": "string", **inner}, name)
        elif key not in ("default", "enum"):
            yield from loose_ends(inner, name)


@pytest.mark.parametrize("kind", [Scene, BodyTable, Knitter, Measured, Grid], ids=lambda kind: kind.__name__)
def test_nothing_is_without_bounds(kind: type[Part]) -> None:
    found = set(loose_ends(kind.model_json_schema(), kind.__name__))
    assert {end for end in found if end.split(" ")[0] not in CHECKED_IN_WORDS} == set()


@pytest.mark.parametrize(("stitches", "rows"), [(22, 1), (19, 100), (200, 1), (19, 11.3), (19, 57.1)])
def test_gauges_that_no_knitting_has_are_refused(stitches: float, rows: float) -> None:
    with pytest.raises(ValueError, match=r"0\.6 to 3 rows to a stitch"):
        Gauge(stitches=stitches, rows=rows)


@pytest.mark.parametrize(("stitches", "rows"), [(20, 12), (20, 60), (1, 1), (200, 200), (20, 40), (28, 36)])
def test_every_gauge_that_knitting_has_is_allowed(stitches: float, rows: float) -> None:
    assert Gauge(stitches=stitches, rows=rows).rows == rows
