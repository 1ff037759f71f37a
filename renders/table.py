"""Take the picture of the worktable anew: run ``.venv/bin/python -m renders.table`` from the project's root (it needs
what the tests need, and Chromium)."""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.pages.conftest import chromium
from tests.pages.laid import Laid, looking

HERE = Path(__file__).parent
WIDTH, HEIGHT, SHARP = 1360, 850, 1.5
SETTLED = "() => fabricsim.table.said.sure === 'likely' && document.querySelector('#todo .try') !== null"
"""Whether all is said that will be."""


def main() -> None:
    """Lay the built-in hat on a table, hold the glass over it, and keep what is seen."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        laid = Laid(Path(folder))
        try:
            browser = chromium(playwright)
            page = looking(browser, laid.address, WIDTH, HEIGHT, device_scale_factor=SHARP).page
            page.evaluate("() => fabricsim.bench.stage.camera.turn(26, 14)")
            page.locator("[data-tool=glass]").click()
            page.mouse.move(640, 372)
            while not page.evaluate(SETTLED):
                page.wait_for_timeout(1000)
            page.wait_for_timeout(5000)  # the last picture, with smooth edges
            picture = Image.open(io.BytesIO(page.screenshot(timeout=120_000))).convert("RGB")
            picture.save(HERE / "table.webp", quality=88, method=6)
            browser.close()
        finally:
            laid.end()


if __name__ == "__main__":
    main()
