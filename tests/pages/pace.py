"""How quickly the table answers, in a browser: ``python -m tests.pages.pace``.

It prints, for a repeat of 24 x 24 stitches none of which is a repeat of fewer: from the moment that a slider moves,
milliseconds to the counts, to the first look as it is painted and to the rest as it is painted, one change after
another and each after a rest in which what takes longer has begun; how long the command takes to a drawn fabric; and
frames a second at every detail while the cloth turns. On a machine without a graphics processor Chromium works out the
drawing by itself: that is what it measures there.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.pages.conftest import chromium
from tests.pages.laid import Laid, at_rest, looking
from tests.support.little import little

SIDE = 24
MOTIF = tuple("".join("b" if (3 * i + j * (1 + i % 3)) % 5 < 2 else "." for j in range(SIDE)) for i in range(SIDE))
CHANGES = 20
PAUSE_MS = 2000
"""A hand is taken to be still after a second and a half."""
FRAMES = """async (detail) => {
    const { stage } = fabricsim.bench, many = 20, dot = new Uint8Array(4), gl = stage.gl;
    const { DETAILS } = await import("/page/gl/yarn.js");
    if (detail >= DETAILS.length) return null;
    stage.pace.frame = () => {};
    stage.pace.begin = () => {};
    stage.pace.moving = detail;
    const turn = () => { stage.camera.turn(4, 1); stage.stirred = true; stage.frame(0);
        gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, dot); };
    turn();
    const begun = performance.now();
    for (let k = 0; k < many; k++) turn();
    return [(1000 * many) / (performance.now() - begun), stage.drawn.triangles(DETAILS[detail])];
}"""
ANSWERS = """([which, value]) => new Promise((done) => {
    const { table, bench } = fabricsim, { stage } = bench, before = table.scene.revision, met = {};
    const dot = new Uint8Array(4), frame = stage.frame, slider = document.getElementById(which);
    const begun = performance.now(), note = (what) => (met[what] ??= performance.now() - begun);
    const counts = (told) => told.revision > before && note("counts");
    table.on("counts", counts);
    stage.frame = function (now) {
        frame.call(stage, now);
        if (!(stage.shape.head.revision > before)) return;
        stage.gl.readPixels(0, 0, 1, 1, stage.gl.RGBA, stage.gl.UNSIGNED_BYTE, dot);
        note(stage.shape.head.rest ? "rest" : "look");
        if (!met.rest) return;
        delete stage.frame;
        table.listeners.set("counts", table.listeners.get("counts").filter((one) => one !== counts));
        done(met);
    };
    slider.value = value;
    slider.dispatchEvent(new Event("input", { bubbles: true }));
})"""
WHAT = ("counts", "look", "rest")


def told(page: Page, name: str, slider: str, values: list[float], pause: int = 0) -> None:
    """Move a slider again and again and print how long each answer took: the middle of all, and the slowest."""
    met: list[dict[str, float]] = []
    for value in values:
        page.wait_for_timeout(pause)
        met.append(page.evaluate(ANSWERS, [slider, value]))
        at_rest(page)
    print(f"{name}:", end="")
    for what in WHAT:
        took = [one.get(what, one["rest"]) for one in met]
        print(f" {what} {statistics.median(took):.0f} ms (slowest {max(took):.0f})", end="")
    print()


def beginning(browser: Browser, folder: Path) -> float:
    """Return how many seconds it takes from the command for the built-in hat to its fabric drawn in the browser, which
    is open."""
    page = browser.new_page(viewport={"width": 1360, "height": 850})
    page.goto("about:blank")
    began = time.perf_counter()
    laid = Laid(folder)
    try:
        page.goto(laid.address)
        while not page.evaluate("() => window.fabricsim?.bench.stage.shown.what"):
            page.wait_for_timeout(5)
        return time.perf_counter() - began
    finally:
        page.close()
        laid.end()


def main() -> None:
    """Measure, and print."""
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        (folder / "scene.toml").write_text(little(MOTIF, across=1, floats="slack = -0.04"), "utf-8")
        browser = chromium(playwright)
        begins = [beginning(browser, folder) for _ in range(5)]
        print(f"from the command to a drawn fabric: {statistics.median(begins):.2f} s (slowest {max(begins):.2f})")
        laid = Laid(folder, folder / "scene.toml")
        try:
            page = looking(browser, laid.address).page
            tighter = [-4.0 - 0.5 * min(k, CHANGES - k) for k in range(1, CHANGES + 1)]
            told(page, "slack", "slack_range", tighter)
            told(page, "slack after a rest", "slack_range", tighter, PAUSE_MS)
            detail = 0
            while (frames := page.evaluate(FRAMES, detail)) is not None:
                print(f"detail {detail}: {frames[0]:.1f} frames a second, {frames[1]:.0f} triangles")
                detail += 1
        finally:
            laid.end()
        browser.close()


if __name__ == "__main__":
    main()
