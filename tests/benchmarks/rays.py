"""How much of a drawing is bare ray tracing: rays and seconds inside embree, counted as they are cast."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pytest

from fabricsim.render.trace import depth_buffer, occlusion, trace
from fabricsim.render.trace.rays import Rays


@dataclass
class Cast:
    """Rays cast so far, and the seconds that they took."""

    rays: int = 0
    seconds: float = 0.0


@contextmanager
def counted(clock: Callable[[], float] = time.process_time) -> Iterator[Cast]:
    """Count the rays that are cast inside, all of them in this process; what pictures show is found by rays, too."""
    cast = Cast()

    def counting(cast_rays: Callable[..., Any]) -> Callable[..., Any]:
        def call(self: Rays, origin_mc: Any, *rest: Any) -> Any:
            begun = clock()
            answer = cast_rays(self, origin_mc, *rest)
            cast.seconds += clock() - begun
            cast.rays += len(origin_mc)
            return answer

        return call

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(depth_buffer, "LOADED", None)
        for name in ("first_hits", "blocked"):
            patch.setattr(Rays, name, counting(getattr(Rays, name)))
        for module in (trace, occlusion):
            patch.setattr(module, "processes_for", lambda _: 1)
        yield cast
