"""A page in a browser: what it asks for, what it complains of, and what bars people from it."""

from __future__ import annotations

import importlib.util
from typing import TYPE_CHECKING

from tests.pages.conftest import missing

if TYPE_CHECKING:
    from playwright.sync_api import Page

WIDTHS = (390, 1400)
"""A phone and a wide screen, pixels."""
NOT_OURS = "GL Driver Message"
"""What a graphics driver tells of itself when a picture is taken of what it drew."""


class Seen:
    """A page and what it asked for and complained of."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.asked: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda request: self.asked.append(request.url))
        page.on("console", lambda said: self._noted(said.text) if said.type in ("error", "warning") else None)
        page.on("pageerror", lambda error: self._noted(str(error)))

    def _noted(self, said: str) -> None:
        if NOT_OURS not in said:
            self.complaints.append(said)

    def goes_to(self, address: str, width: int, height: int) -> None:
        """Load a page in a window so large as if for the first time; what was before is forgotten."""
        self.page.emulate_media(media="screen")
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.mouse.move(0, 0)
        self.asked.clear()
        self.complaints.clear()
        self.page.goto(address)

    def lies_at(self, address: str, width: int, height: int) -> bool:
        """Have a page in a window so large, loaded only if it isn't there: for who leaves it as it was, or does not
        mind. Return whether it was there."""
        if self.page.url != address:
            self.goes_to(address, width, height)
            return False
        self.page.emulate_media(media="screen")
        self.page.set_viewport_size({"width": width, "height": height})
        return True

    def quiet(self, *others: str) -> None:
        """Assert that it ran clean and asked nobody for anything; ``others``: what it may ask for beside its data."""
        assert self.complaints == []
        assert {url.split(":")[0] for url in self.asked} <= {"file", "data", *others}
        assert sum(url.startswith("file:") for url in self.asked) == 1


def barriers(page: Page) -> list[tuple[str, str]]:
    """Return the serious faults that axe finds in a page and in what is framed in it, with where."""
    if importlib.util.find_spec("axe_playwright_python") is None:
        missing("axe-playwright-python is not installed")
    from axe_playwright_python.base import AXE_SCRIPT
    from axe_playwright_python.sync_playwright import Axe

    grave = []
    for frame in page.frames:
        # it can't look into frames by itself where all come from files; it stays in a page where it has looked before
        there = frame.evaluate("() => typeof axe === 'object'")
        found = Axe(axe_script="0" if there else AXE_SCRIPT).run(frame).response
        assert len(found["passes"]) > 10  # it has looked
        grave += [
            (one["id"], one["nodes"][0]["html"])
            for one in found["violations"]
            if one["impact"] in ("serious", "critical")
        ]
    return grave
