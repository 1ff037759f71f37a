"""A browser for tests of pages. Where none is installed they are skipped, or fail if FABRICSIM_PAGES=required."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fabricsim.cli import main
from tests.support.little import little

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Playwright

    from tests.pages.laid import Laid
    from tests.pages.leaving import StaysOpen
    from tests.pages.watching import Seen

NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")
"""First the one that has no windows: it opens a page in half the processor's time."""
REQUIRED = "FABRICSIM_PAGES"

TITLE = 'Tom & "Jo\'s" </script><script>document.title = 1</script> <b>band</b> 🧶'
YARN = 'milk & "</script><img src=x onerror=alert(1)>" 🐑'
ROWS = ("..bb..", ".b..b.", "b....b", ".b..b.", "......")
SCENE = little(ROWS, title=TITLE, names=(YARN, "ink"), across=3, case="swatch")
REMARK = "# mine, and mine alone\n"
LYING = REMARK + little(
    ("..bb....", ".b..b...", "b....bb.", ".b..b...", "........"),
    title=TITLE,
    names=(YARN, "ink"),
    floats="slack = -0.04\nlongest_gap = 5",
)
"""What lies on the table: from the top, its first row has a float of six stitches over the edge of the repeat."""


def missing(what: str) -> None:
    """Skip a test for want of ``what``, or fail it where pages must be tested."""
    if os.environ.get(REQUIRED) == "required":
        pytest.fail(f"{what}, and {REQUIRED}=required")
    pytest.skip(what)


def chromium(playwright: Playwright, *more: str) -> Browser:
    """Return Chromium as installed on this machine, without a window; ``more``: words of its command line."""
    found = next(filter(None, map(shutil.which, NAMES)), None)
    # inside a container there is no sandbox to be had; the pages are our own
    words = ["--no-sandbox", "--enable-unsafe-swiftshader", *more]
    return playwright.chromium.launch(executable_path=found, args=words)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium as installed on this machine, without a window."""
    if not any(map(shutil.which, NAMES)):
        missing(f"no {' or '.join(NAMES)} on PATH")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("playwright is not installed")
    with sync_playwright() as playwright:
        browser = chromium(playwright)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def tab(browser: Browser) -> Iterator[Seen]:
    """A window that stays open for tests of files: to begin its process takes longer than to load one of them."""
    from tests.pages.watching import Seen

    seen = Seen(browser.new_page())
    yield seen
    seen.page.close()


@pytest.fixture(scope="session")
def lesson(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small lesson of a scene whose names are as awkward as can be, with its page in 3-D beside it."""
    folder = tmp_path_factory.mktemp("lesson page")
    (folder / "scene.toml").write_text(SCENE, encoding="utf-8")
    out = folder / 'a & "b"' / "les son.html"
    words = ["lesson", folder / "scene.toml", "--out", out, "--steps", "-0.1,-0.05,0,0.1,0.2"]
    assert main([str(word) for word in words]) == 0
    return out


@pytest.fixture(scope="session")
def laid(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laid]:
    """A table that gives no advice and no likely range, which most tests do not wait for."""
    from tests.pages.laid import tabled
    from tests.support.laying import NEVER

    with tabled(tmp_path_factory.mktemp("table page"), LYING, NEVER) as table:
        yield table


@pytest.fixture(scope="session")
def telling(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laid]:
    """A table that tells all there is."""
    from tests.pages.laid import tabled

    with tabled(tmp_path_factory.mktemp("table that tells"), LYING, None) as table:
        yield table


@pytest.fixture(scope="session")
def open_page(browser: Browser, laid: Laid) -> Iterator[StaysOpen]:
    """A page at the table that stays open, its cloth sketched."""
    from tests.pages.leaving import staying

    with staying(browser, laid, sketched=True) as page:
        yield page


@pytest.fixture
def lying(open_page: StaysOpen) -> Iterator[Seen]:
    """A page at the table, its cloth sketched, which is left as it was opened."""
    from tests.pages.leaving import left

    with left(open_page) as seen:
        yield seen
