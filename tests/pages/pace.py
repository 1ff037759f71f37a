"""How quickly the table answers, in a browser: ``python -m tests.pages.pace``.

It prints, for a repeat of 24 x 24 stitches: frames a second at every detail while the cloth turns; and from the moment
that the page sends a change, milliseconds to the counts, to the first look and to the rest. On a machine without a
graphics processor Chromium works out the drawing by itself: that is what it measures there.
"""

from __future__ import annotations

import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.pages.conftest import chromium
from tests.pages.laid import Laid, at_rest, looking
from tests.support.little import little

MOTIF = ("...b........b..........b", "..b.b......b.b........b.", ".b...b....b...b......b..", "b.....b..b.....b....b...")
CHANGES = 9
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
ANSWERS = """(values) => new Promise((done) => {
    const { table } = fabricsim, begun = performance.now(), met = {}, before = table.scene.revision;
    const note = (what) => { met[what] ??= performance.now() - begun; if (met.rest && met.counts) done(met); };
    table.on("counts", (counts) => { if (counts.revision > before) note("counts"); });
    table.on("shape", (shape) => { if (shape.head.revision > before) note(shape.head.rest ? "rest" : "look"); });
    table.set(values);
})"""


def told(page: Page, name: str, values: list[dict[str, object]]) -> None:
    """Make changes one after another and print how long each answer took, the middle of all."""
    met = []
    for value in values:
        met.append(page.evaluate(ANSWERS, value))
        at_rest(page)
    middle = {what: statistics.median(one.get(what, one["rest"]) for one in met) for what in ("counts", "look", "rest")}
    print(f"{name}: " + ", ".join(f"{what} {ms:.0f} ms" for what, ms in middle.items()))


def main() -> None:
    """Measure, and print."""
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        (folder / "scene.toml").write_text(little(MOTIF * 6, floats="slack = -0.04"), "utf-8")
        laid = Laid(folder, folder / "scene.toml")
        try:
            browser = chromium(playwright)
            page = looking(browser, laid.address).page
            told(page, "slack", [{"floats.slack": -0.05 - 0.005 * k} for k in range(CHANGES)])
            told(page, "limit", [{"floats.longest_gap": 3 + k % 3} for k in range(CHANGES)])
            detail = 0
            while (frames := page.evaluate(FRAMES, detail)) is not None:
                print(f"detail {detail}: {frames[0]:.1f} frames a second, {frames[1]:.0f} triangles")
                detail += 1
            browser.close()
        finally:
            laid.end()


if __name__ == "__main__":
    main()
