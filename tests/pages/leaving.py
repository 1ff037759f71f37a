"""Pages at a table that stay open for many tests: to open one takes longer than most tests do."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.pages.laid import HIGH, WIDE, Laid, at_rest, looking, own, until
from tests.pages.watching import Seen

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

STATE = """() => {
    const { bench, table } = fabricsim, { stage } = bench, { camera } = stage;
    const told = "#told p:not([data-key=tabs])"; // other pages at the table come and go
    const shown = [...document.querySelectorAll(`dialog[open], #beside, #scale, #note, #hand, ${told}`)];
    return JSON.stringify([
        bench.tool, bench.symmetry, bench.axis, bench.box, bench.copied, bench.colouring, bench.glass, stage.glass,
        bench.litFloats.size, bench.litStitches.size, stage.flat, stage.inside, table.case, document.body.className,
        ...[camera.yaw, camera.pitch, camera.zoom, ...camera.shift].map((one) => Math.round(1e6 * one) + 0),
        shown.map((one) => [one.id, one.hidden]),
    ]);
}"""
"""All of a page that a test can leave otherwise than as it found it."""
PUT_BACK = """() => {
    const { bench } = fabricsim, { stage } = bench;
    const press = (name) => document.querySelector(`[data-tool=${name}]`).click();
    for (const one of document.querySelectorAll("dialog[open]")) one.close();
    if (bench.glass) press("glass");
    stage.glass = null;
    if (stage.flat > 0.5) press("squares");
    if (bench.colouring !== "none") bench.colour("none");
    bench.unlight();
    if (stage.behind) press("over");
    press("ahead");
    bench.symmetry = "none";
    bench.axis = bench.box = bench.copied = null;
    press("needle");
    document.activeElement?.blur();
}"""


@dataclass(frozen=True)
class StaysOpen:
    """A page at a table, and its state as it was opened."""

    seen: Seen
    laid: Laid
    was: str


@contextmanager
def staying(browser: Browser, laid: Laid, *, sketched: bool) -> Iterator[StaysOpen]:
    """Open a page for many tests."""
    seen = looking(browser, laid.address, sketched=sketched)
    yield StaysOpen(seen, laid, seen.page.evaluate(STATE))
    seen.page.close()


@contextmanager
def left(stays: StaysOpen) -> Iterator[Seen]:
    """Leave a page as it was opened: what was knitted is undone, tools are laid down, and where that is not all it is
    loaded anew."""
    seen, page = stays.seen, stays.seen.page
    try:
        yield seen
        taken_back(page)
        own(seen, stays.laid.port)
    finally:
        page.mouse.move(0, 0)
        page.emulate_media(media="screen", color_scheme="light")
        if page.viewport_size != {"width": WIDE, "height": HIGH}:
            page.set_viewport_size({"width": WIDE, "height": HIGH})
        page.evaluate(PUT_BACK)
        if page.evaluate(STATE) != stays.was:
            page.reload()
        at_rest(page)
        seen.complaints.clear()


def taken_back(page: Page) -> None:
    """Undo all there is to undo."""
    while page.evaluate("() => fabricsim.table.scene.undo"):
        before = page.evaluate("() => fabricsim.table.scene.revision")
        page.evaluate("() => fabricsim.table.ask({ kind: 'undo' })")
        until(page, "(before) => fabricsim.table.scene.revision > before", before)
