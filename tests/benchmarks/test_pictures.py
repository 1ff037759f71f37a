"""What a picture takes: the yarn and its light, the rays, the file; and how much of the rays' time is bare embree."""

from __future__ import annotations

import time
from functools import cache
from typing import Any

import pytest

from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.fabric.relax import come_to_rest
from fabricsim.render import build_yarns, draw_side, page
from fabricsim.render.basics.files import page_png
from fabricsim.render.trace.camera import Scale
from fabricsim.render.trace.model import YarnModel
from fabricsim.render.trace.trace import trace
from fabricsim.render.trace.views import camera_for
from tests.benchmarks.fabrics import fabric
from tests.benchmarks.rays import counted
from tests.benchmarks.record import record
from tests.benchmarks.targets import DRAWN, DRAWN_ALONE

SIDES = [30, 100]
WIDE, SAMPLES = 1200, 4


@cache
def at_rest(side: int) -> Equilibrium:
    return come_to_rest(fabric("swatch", side, side, 0.05))  # loose, so that no solve is waited for


@cache
def model(side: int) -> YarnModel:
    return build_yarns(at_rest(side))


@pytest.mark.parametrize("side", SIDES)
def test_rays(benchmark: Any, side: int) -> None:
    """All in one process: the same rays with shading and, counted among them, without."""
    one = model(side)
    camera = camera_for(one, "face", Scale(WIDE))
    with counted() as cast:
        record(
            benchmark, f"picture {side} x {side}", DRAWN_ALONE, side * side, lambda: trace(one.stage, camera, SAMPLES)
        )
    seconds = benchmark.stats.stats.total
    benchmark.extra_info.update(
        bare=cast.seconds / seconds,
        status=f"{cast.rays / seconds / 1e6:.2f} of {cast.rays / cast.seconds / 1e6:.2f} M rays/s",
    )
    assert 0.0 < cast.seconds < seconds


@pytest.mark.benchmark(timer=time.perf_counter)
@pytest.mark.parametrize("side", SIDES)
def test_picture(benchmark: Any, side: int) -> None:
    """By the clock, on all processors: what one waits for."""
    one = model(side)
    picture = record(
        benchmark, f"picture {side} x {side}", DRAWN, side * side, lambda: draw_side(one, "face", width_px=WIDE)
    )
    begun = time.perf_counter()
    page_png(page(one, [picture]))
    written = time.perf_counter() - begun
    taken = {"build": one.timings.build, "bake": one.timings.bake, "trace": picture.timings.trace, "write": written}
    whole = sum(taken.values())
    benchmark.extra_info.update(
        build=one.timings.build + one.timings.bake,
        status=", ".join(f"{part} {100 * seconds / whole:.0f} %" for part, seconds in taken.items()),
    )


def test_memory_of_a_large_picture_longest(benchmark: Any) -> None:
    """Yarn and light of 200 x 200 stitches and a picture of them."""
    large = at_rest(200)
    picture = record(
        benchmark, "large picture", DRAWN, 40_000, lambda: draw_side(build_yarns(large), "face", width_px=WIDE)
    )
    assert picture.image.width == WIDE
