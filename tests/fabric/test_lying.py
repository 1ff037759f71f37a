"""A swatch with its pins out."""

from __future__ import annotations

import numpy as np
import pytest

from fabricsim.errors import NoEquilibriumError
from fabricsim.fabric import lying
from fabricsim.fabric.crossing import crossing_cells
from fabricsim.fabric.lying import as_seen, curls_off_pins, unpinned
from fabricsim.fabric.relax import relax
from tests.support.scenes import scene_of


def test_a_swatch_off_its_pins_is_the_one_whose_edges_are_let_curl() -> None:
    rows = ["." * 30, "..##.." * 5] * 12
    pinned = relax(scene_of(rows, 0.0, worked="flat"), "swatch")
    curled = relax(scene_of(rows, 0.0, worked="flat", fabric={"edges": "curl"}), "swatch")
    loose = unpinned(pinned)
    assert loose is not None
    assert loose.rest is not None
    assert as_seen(pinned, loose) is loose.rest
    assert loose.rest.effort.energy == pytest.approx(curled.effort.energy, rel=1e-6)
    assert loose.stands == pytest.approx(float(np.ptp(curled.x_nc[:, 2])), rel=1e-3)
    assert loose.stands > 2.0 * pinned.mesh.thickness > 2.0 * np.ptp(pinned.x_nc[:, 2])
    assert loose.width < loose.pinned
    assert loose.depth == 0.03
    assert crossing_cells(loose.rest.mesh, loose.rest.state) == 0
    assert unpinned(curled) is None  # it has none in
    assert as_seen(curled, None) is curled


def test_what_is_said_to_be_flat_stays_so_off_its_pins() -> None:
    for edges, curls in (("flat", False), ("curl", False), (None, True)):
        scene = scene_of(["..##.."] * 4, worked="flat", fabric={"edges": edges})
        assert curls_off_pins(relax(scene, "swatch")) is curls


def test_where_no_rest_is_found_it_is_seen_on_its_pins(monkeypatch: pytest.MonkeyPatch) -> None:
    pinned = relax(scene_of(["..##.."] * 4, worked="flat"), "swatch")

    def lost(*_: object) -> None:
        raise NoEquilibriumError("it crumples")

    monkeypatch.setattr(lying, "come_to_rest", lost)
    loose = unpinned(pinned)
    assert loose is not None
    assert (loose.rest, loose.why_not) == (None, "it crumples")
    assert loose.width == loose.pinned
    assert as_seen(pinned, loose) is pinned


@pytest.mark.parametrize("case", ["repeat", "round"])
def test_what_has_no_edges_has_no_pins(case: str) -> None:
    assert unpinned(relax(scene_of(["..##.." * 3] * 4), case)) is None  # type: ignore[arg-type]
