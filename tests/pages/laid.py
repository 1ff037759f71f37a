"""A table laid for a test: its server in a process of its own, and a page that looks at it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.pages.watching import Seen

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ADDRESS = re.compile(r"http://127\.0\.0\.1:(\d+)/#\S+")
PATIENCE_MS, PAUSE_MS = 120_000, 40
"""How long it may take until something is so, and how long a page waits before it looks again."""


WIDE, HIGH = 1200, 750
"""A window, CSS pixels."""
SCENE_FILE = "my scene.toml"


class Laid:
    """A server of the table for one scene; ``said``: what it printed. ``still``: seconds after which it takes the hand
    to be still, if not as usual; with ``NEVER`` it gives no advice and no likely range."""

    def __init__(
        self, folder: Path, scene: Path | None = None, port: int | None = None, *, still: float | None = None
    ) -> None:
        program = ["fabricsim"] if still is None else ["tests.support.laying", str(still)]
        words = [sys.executable, "-m", *program, "table", "--no-browser"]
        words += [str(scene)] if scene is not None else []
        words += ["--port", str(port)] if port is not None else []
        self.folder, self.log = folder, folder / "server.log"
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                words,
                stdout=subprocess.PIPE,
                stderr=log,
                env={**os.environ, "FABRICSIM_STATE": str(folder / "state"), "PYTHONUNBUFFERED": "1"},
                start_new_session=True,
            )
        assert self.process.stdout is not None
        self.said = ""
        while (found := ADDRESS.search(self.said)) is None:
            line = self.process.stdout.readline().decode()
            assert line, f"the table was not laid: {self.said}{self.log.read_text()}"
            self.said += line
        self.address = found[0]
        self.port = int(found[1])

    def die(self) -> None:
        """End at once and without a word, workers and all, as when the machine is switched off; nothing where it has
        ended."""
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self._gone()

    def _gone(self) -> None:
        self.process.wait(timeout=60)
        assert self.process.stdout is not None
        self.process.stdout.close()

    def end(self) -> None:
        """End as with Ctrl-C; nothing may have gone wrong in it."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        self._gone()
        log = self.log.read_text()
        assert "Traceback" not in log, log


@contextmanager
def tabled(folder: Path, scene: str, still: float | None) -> Iterator[Laid]:
    """Lay a table with a scene in a file of its own."""
    path = folder / SCENE_FILE
    path.write_text(scene, "utf-8")
    table = Laid(folder, path, still=still)
    yield table
    table.end()


ASKING = """async ([given, patience, pause]) => {
    const so = QUESTION, last = performance.now() + patience;
    for (;;) {
        const answer = await so(given);
        if (answer || performance.now() > last) return answer;
        await new Promise((done) => setTimeout(done, pause));
    }
}"""
"""What has a page look for itself whether something is so."""


def until(page: Page, question: str, given: object = None) -> Any:
    """Return the answer of the page to a ``question`` (an arrow function) as soon as it is truthy.

    The page forbids text to be run as a script, so that playwright's own waiting can't be used; nor is it asked again
    and again from here, which takes more than what it is waited for.
    """
    answer = page.evaluate(ASKING.replace("QUESTION", question), [given, PATIENCE_MS, PAUSE_MS])
    assert answer, f"never so: {question}"
    return answer


SKETCHED = """Object.defineProperty(window, "fabricsim", {
    configurable: true,
    set(made) {
        Object.defineProperty(window, "fabricsim", { value: made });
        const { stage } = made.bench, { pace } = stage, coarse = { sides: 0, ply: 0, dots: 0.5 };
        Object.assign(Object.getPrototypeOf(stage), { polish() {} });
        Object.assign(Object.getPrototypeOf(pace), { begin() {}, frame() {}, still: () => coarse });
        pace.moving = 5;
    },
})"""
"""What has a page draw its cloth as squares in the surface, at rest too: most of what a test of the page takes is
yarn that the processor draws."""


def looking(
    browser: Browser, address: str, width: int = WIDE, height: int = HIGH, *, sketched: bool = False, **more: Any
) -> Seen:
    """Return a page at the table, its cloth at rest and drawn: in few dots, which the processor draws one by one, or
    only ``sketched``, for who does not look at the drawing."""
    size = {"width": width, "height": height}
    asked = {"device_scale_factor": 0.5, **more}
    seen = Seen(browser.new_page(viewport=size, reduced_motion="reduce", **asked))
    if sketched:
        seen.page.add_init_script(SKETCHED)
    seen.page.goto(address, timeout=PATIENCE_MS)
    at_rest(seen.page)
    return seen


def at_rest(page: Page) -> None:
    """Wait until what lies on the table is at rest, told and drawn."""
    until(
        page,
        "() => { const t = window.fabricsim?.table, s = t?.scene; return s && t.shape?.head.rest "
        "&& t.shape.head.revision === s.revision && t.said?.revision === s.revision "
        "&& fabricsim.bench.stage.frames > 0 && !fabricsim.bench.stage.asked && !fabricsim.bench.stage.fresh }",
    )


PDF_SHOWN = ("chrome-extension://mhjfbmdgcfjbbpaeojofohoefgiehjai/", "chrome://resources/")
"""The browser's own part that shows a PDF in its place on a page, and what that is drawn with: both lie in the browser,
and no page can ask for them."""


def own(seen: Seen, port: int) -> None:
    """Assert that the page ran clean and asked only its own server for anything."""
    assert seen.complaints == []
    assert seen.asked
    for url in seen.asked:
        assert url.startswith((f"http://127.0.0.1:{port}/", "blob:", "data:", *PDF_SHOWN)), url


def chart(page: Page) -> list[list[int]]:
    """Return the chart as the server has it, bottom row first."""
    rows: list[list[int]] = page.evaluate("() => fabricsim.table.scene.chart")
    return rows


def spot(page: Page, row: int, column: int) -> tuple[float, float]:
    """Return where a stitch of the chart is on the page: of its copies the one nearest to the middle of the cloth, once
    that has the room that what is written below it leaves."""
    x, y = page.evaluate(
        """async ([row, column]) => {
            const { stage, places } = fabricsim.bench, drawn = () => new Promise(requestAnimationFrame);
            do for (let k = 0; k < 2; k++) await drawn(); while (stage.asked);
            const box = document.getElementById("cloth").getBoundingClientRect();
            const far = ([x, y]) => Math.hypot(x - stage.camera.width / 2, y - stage.camera.height / 2);
            const seen = places.ofSquare(row, column).filter((n) => stage.visible(n));
            const spots = seen.map((n) => stage.camera.seen(...stage.place(n)));
            const [x, y] = spots.sort((a, b) => far(a) - far(b))[0];
            return [box.left + x, box.top + y];
        }""",
        [row, column],
    )
    return x, y


def changed(page: Page, act: Callable[[], object]) -> None:
    """Do something and wait until the server has answered with another scene, at rest."""
    before = page.evaluate("() => fabricsim.table.scene.revision")
    act()
    until(page, "(before) => fabricsim.table.scene.revision > before", before)
    at_rest(page)


def take(page: Page, yarn: int) -> None:
    """Take up a yarn."""
    page.locator("#basket button").nth(yarn).click()
