"""Random use of the table, the same for the same seed: nothing may go wrong in the page or the server, and neither may
grow.

``python -m tests.pages.monkey --minutes 60 --seed 1`` goes on for an hour and tells every minute what each weighs.
"""

from __future__ import annotations

import argparse
import mmap
import random
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from tests.pages.conftest import chromium
from tests.pages.laid import Laid, at_rest, looking, own, until
from tests.support.little import little
from tests.support.processes import started_by

if TYPE_CHECKING:
    from playwright.sync_api import Page, Playwright

KEYS = (
    *("ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "Space", "Space", "1", "2", "3", "n", "f", "t", "b", "c"),
    *("l", "p", "m", "u", "Shift+U", "Home", "PageUp", "PageDown", "Escape", "Shift+ArrowRight", "Shift+ArrowUp"),
    *("Control+z", "Control+y", "Tab"),
)
PATIENCE_MS = 600_000
"""How long the page may take for one thing: it may have to wait for much else on the machine."""
ROWS = ("..bb....", ".b..b...", "b....bb.", ".b..b...", "........")


class Monkey:
    """Somebody who presses whatever there is."""

    def __init__(self, page: Page, seed: int) -> None:
        self.page = page
        self.dice = random.Random(seed)
        self.done: list[str] = []
        self.ways: list[tuple[int, Callable[[], None]]] = [
            (10, self.key),
            (8, self.press),
            (6, self.drag),
            (2, self.wheel),
            (3, self.tool),
            (3, self.slide),
            (2, self.choose),
            (2, self.row),
            (1, self.motif),
            (1, self.panel),
            (1, self.tried),
            (1, self.advised),
            (1, self.window),
            (2, self.undo),
            (1, self.wait),
        ]

    def step(self) -> None:
        """Do one thing, whatever."""
        (way,) = self.dice.choices([way for _, way in self.ways], [weight for weight, _ in self.ways])
        self.done.append(way.__name__)
        way()
        if way != self.panel and self.page.locator("dialog[open]").count():
            self.page.keyboard.press("Escape")

    def spot(self) -> tuple[float, float]:
        box = self.page.locator("#cloth").bounding_box()
        assert box is not None
        return box["x"] + self.dice.random() * box["width"], box["y"] + self.dice.random() * box["height"]

    def key(self) -> None:
        self.page.locator("#cloth").focus()
        for _ in range(self.dice.randint(1, 4)):
            self.page.keyboard.press(self.dice.choice(KEYS))

    def press(self) -> None:
        self.page.mouse.click(*self.spot(), button=self.dice.choice(("left", "left", "left", "right", "middle")))

    def drag(self) -> None:
        self.page.mouse.move(*self.spot())
        self.page.mouse.down()
        for _ in range(self.dice.randint(1, 3)):
            self.page.mouse.move(*self.spot(), steps=self.dice.randint(1, 5))
        self.page.mouse.up()

    def wheel(self) -> None:
        self.page.mouse.move(*self.spot())
        self.page.mouse.wheel(0, self.dice.randint(-400, 400))

    def any_of(self, what: str) -> None:
        """Press one of these buttons as a script does, wherever it is; in one go, since what is there may change."""
        press = "(all, which) => all[Math.floor(which * all.length)]?.click()"
        self.page.locator(f"{what}:not(:disabled)").evaluate_all(press, self.dice.random())

    def tool(self) -> None:
        self.any_of("#tools button")

    def motif(self) -> None:
        self.any_of(".motif button")

    def tried(self) -> None:
        self.any_of("#tries button")

    def advised(self) -> None:
        self.any_of("#todo button, #seek button")

    def slide(self) -> None:
        name, least, most = self.dice.choice((("#slack_range", -15, 25), ("#uneven", 0, 15)))
        for _ in range(self.dice.randint(1, 4)):
            self.page.locator(name).fill(str(self.dice.randint(least, most)))

    def choose(self) -> None:
        lists = self.page.locator("#tools select, #catches")
        chosen = lists.nth(self.dice.randrange(lists.count()))
        values = chosen.evaluate("(list) => [...list.options].filter((one) => !one.hidden).map((one) => one.value)")
        chosen.select_option(self.dice.choice(values))

    def row(self) -> None:
        words = self.dice.choice(("3 milk, 5 ink", "8 ink", "ink", "", "-1 milk", "9999999 ink", "milk x 4, ink x 4"))
        self.page.locator("#row").fill(words)
        self.page.keyboard.press("Enter")

    def panel(self) -> None:
        self.page.locator(self.dice.choice(("#open", "#set", "#make", "#keep"))).dispatch_event("click")

    def window(self) -> None:
        width, height = self.dice.choice(((1360, 850), (390, 844), (320, 640), (1000, 700)))
        self.page.set_viewport_size({"width": width, "height": height})

    def undo(self) -> None:
        kind = self.dice.choice(("undo", "undo", "redo"))
        for _ in range(self.dice.randint(1, 6)):
            self.page.evaluate("(kind) => fabricsim.table.ask({ kind })", kind)

    def wait(self) -> None:
        self.page.wait_for_timeout(self.dice.randint(10, 400))


def resident(pid: int) -> float:
    """Return MB of memory that a process holds; 0 of one that has ended. What processes share counts for each."""
    try:
        return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * mmap.PAGESIZE / 1e6
    except OSError:
        return 0.0


def weights(page: Page, server: int) -> str:
    """Return what the page's own heap holds, rubbish thrown out, the server, and each process that it started: how many
    of these there are changes with what is asked for, and is no growth."""
    page.request_gc()
    heap = float(page.evaluate("() => performance.memory.usedJSHeapSize")) / 1e6
    others = " + ".join(f"{resident(pid):.0f}" for pid in started_by(server))
    return f"page {heap:.1f} MB, server {resident(server):.0f} MB, its processes {others or 0} MB"


def used(playwright: Playwright, laid: Laid, minutes: float, seed: int) -> None:
    """Use a table at random for so long; fail where anything goes wrong."""
    browser = chromium(playwright)
    seen = looking(browser, laid.address)
    seen.page.set_default_timeout(PATIENCE_MS)
    monkey = Monkey(seen.page, seed)
    began = told = time.monotonic()
    while time.monotonic() - began < 60.0 * minutes:
        monkey.step()
        assert seen.complaints == [], (seen.complaints, monkey.done[-20:])
        if time.monotonic() - told > 60.0:
            told = time.monotonic()
            after = (told - began) / 60.0
            print(f"{after:5.1f} min, {len(monkey.done)} steps: {weights(seen.page, laid.process.pid)}", flush=True)
    until(seen.page, "() => fabricsim.table.scene !== null")
    at_rest(seen.page)
    own(seen, laid.port)
    browser.close()


def main() -> None:
    from playwright.sync_api import sync_playwright

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=60.0)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        folder = Path(name)
        (folder / "scene.toml").write_text(little(ROWS, case="repeat"), "utf-8")
        laid = Laid(folder, folder / "scene.toml")
        try:
            used(playwright, laid, asked.minutes, asked.seed)
            laid.end()
            print("nothing went wrong", flush=True)
        finally:
            laid.die()  # if it is still there: whatever went wrong is told by what is raised


if __name__ == "__main__":
    main()
