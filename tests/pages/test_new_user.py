"""Somebody new, with a mouse and no terminal: a motif of 20 stitches whose float runs over the edge of the repeat,
cured, and the hat's pattern printed. What it takes is counted."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.pages.laid import Laid, at_rest, looking, own, spot, until

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator

ACROSS = 20
MOTIF = ((4, (4, 8, 11, 15)), (5, (4, 6, 9, 10, 13, 15)))
"""Rows of the chart and its stitches in the second yarn: over the edge it passes behind eight."""
MOST_CLICKS, MOST_KEYS = 24, 2
"""What it takes: 2 clicks to plain cloth, 3 and 2 keys to its size, 10 to knit, 1 to cure, 3 to the pattern on paper;
some are left for whoever shall better this page."""


class HandOfMouse:
    """Clicks and keys, counted."""

    def __init__(self) -> None:
        self.clicks = self.keys = 0

    def press(self, what: Locator) -> None:
        """Click on something that is seen, as one who looks for it would."""
        what.click()
        self.clicks += 1

    def type(self, what: Locator, text: str) -> None:
        """Type in place of what is marked."""
        what.press_sequentially(text)
        self.keys += len(text)


@pytest.fixture
def laid(tmp_path: Path) -> Laid:
    return Laid(tmp_path)


def test_from_plain_cloth_to_a_printed_pattern(browser: Browser, laid: Laid) -> None:
    seen = looking(browser, laid.address, 1366, 768, sketched=True)
    page, hand = seen.page, HandOfMouse()
    page.evaluate("() => { window.printed = 0; window.print = () => { window.printed += 1 } }")
    try:
        hand.press(page.get_by_role("button", name="Open", exact=True))
        hand.press(page.get_by_role("button", name="Begin with plain cloth"))
        until(page, "() => fabricsim.table.scene.chart.flat().every((yarn) => yarn === 0)")

        hand.press(page.get_by_role("button", name="Set the table"))
        wide = page.locator("dialog[open] [data-key=stitches]")
        hand.press(wide)  # which marks what stands there
        hand.type(wide, str(ACROSS))
        hand.press(page.get_by_role("button", name="Make it so large"))
        until(page, "(wide) => fabricsim.table.scene.chart[0].length === wide", ACROSS)
        stitches = page.evaluate("() => fabricsim.table.scene.stitches")
        assert stitches == 100  # it stays a hat, with as many repeats as that takes
        hand.press(page.get_by_role("button", name="Done"))
        at_rest(page)

        for row, columns in MOTIF:
            for column in columns:
                page.mouse.click(*spot(page, row, column))
                hand.clicks += 1
        until(page, "() => fabricsim.table.counts.over > 0")
        at_rest(page)
        longest = page.locator("#pins button", has_text="8").first
        assert "8 stitches" in (longest.get_attribute("aria-label") or "")  # over the edge of the repeat

        cure = page.locator("#todo .try", has_text="Catch")
        until(page, "() => document.querySelector('#todo .try')")
        hand.press(cure)
        until(page, "() => fabricsim.table.counts.over === 0")
        at_rest(page)
        assert page.locator("#note").get_by_role("button", name="No float of").is_visible() or "No float of" in (
            page.locator("#says").inner_text()
        )

        hand.press(page.get_by_role("button", name="Make", exact=True))
        hand.press(page.locator("[data-job=rounds]"))
        until(page, "() => document.querySelector('.result .words')")
        words = page.locator(".result .words").inner_text()
        assert "Cast on: 100 sts" in words
        assert "the chart's 20 stitches 5 times across" in words
        assert "Catch" in words
        hand.press(page.get_by_role("button", name="Print", exact=True))
        assert page.evaluate("() => window.printed") == 1
        assert (hand.clicks <= MOST_CLICKS, hand.keys) == (True, MOST_KEYS), (hand.clicks, hand.keys)
        own(seen, laid.port)
    finally:
        page.close()
        laid.end()
