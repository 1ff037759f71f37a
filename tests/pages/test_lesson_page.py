"""The page of a lesson as a class meets it, in a browser."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.pages.conftest import TITLE, YARN
from tests.pages.watching import WIDTHS, Seen, barriers

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

STEPS = ["10 % too short", "5 % too short", "no slack: just long enough", "10 % slack", "20 % slack"]


@pytest.fixture
def seen(tab: Seen, lesson: Path) -> Iterator[Seen]:
    tab.goes_to(lesson.as_uri(), 1400, 900)
    yield tab
    tab.quiet()


@pytest.fixture
def there(tab: Seen, lesson: Path) -> Iterator[Seen]:
    """The page as whoever was there last has left it, for a test that does not mind which step is shown."""
    tab.lies_at(lesson.as_uri(), 1400, 900)
    yield tab
    tab.quiet()


def _shown(page: Page) -> str:
    """Return the name of the one step that is to be seen."""
    steps = page.locator(".step:visible")
    assert steps.count() == 1
    return steps.get_attribute("data-name") or ""


def _first_face(page: Page) -> str:
    return page.locator(".step:visible .face img").get_attribute("src") or ""


def test_the_slider_goes_by_keyboard_from_tight_to_loose(seen: Seen) -> None:
    page = seen.page
    page.locator("#slack").focus()
    names, numbers, words, backs = [], set(), set(), set()
    for _ in STEPS:
        names.append(_shown(page))
        assert page.locator("#slack-said").inner_text() == names[-1]
        assert (page.locator("#slack").get_attribute("aria-valuetext") or "").startswith(names[-1])
        numbers.add(page.locator(".step:visible .numbers dl").inner_text())
        words.add(page.locator(".step:visible .telling").inner_text())
        backs.add(page.locator(".step:visible .back img").get_attribute("src"))
        page.keyboard.press("ArrowRight")
    assert names == STEPS
    assert len(numbers) == len(words) == len(backs) == len(STEPS)
    page.keyboard.press("Home")
    assert _shown(page) == STEPS[0]
    page.keyboard.press("End")
    assert _shown(page) == STEPS[-1]


def test_the_slider_goes_by_mouse_and_by_the_curves(seen: Seen) -> None:
    page = seen.page
    tight = _first_face(page)
    box = page.locator("#slack").bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] - 12, box["y"] + box["height"] / 2)
    assert _shown(page) == STEPS[-1]
    assert _first_face(page) != tight
    page.locator(".dot[data-step='1'] .seen").first.click()
    assert _shown(page) == STEPS[1]
    assert page.locator(".dot.now").count() == 2
    assert page.locator("#slack").input_value() == "1"


def test_the_ticks_stand_under_the_thumb(there: Seen) -> None:
    page = there.page
    box = page.locator("#slack").bounding_box()
    assert box is not None
    for number in range(len(STEPS)):
        tick = page.locator(".ticks span").nth(number).bounding_box()
        assert tick is not None
        thumb = box["x"] + 12 + (box["width"] - 24) * number / (len(STEPS) - 1)
        assert tick["x"] + tick["width"] / 2 == pytest.approx(thumb, abs=1.0)


def test_the_pull_comes_and_goes_with_its_switch(seen: Seen) -> None:
    page = seen.page
    assert page.locator(".pull:visible").count() == 0
    page.get_by_label("Colour the floats").check()
    assert page.locator(".pull:visible").count() == 1
    assert page.locator(".back:visible").count() == 0
    page.get_by_label("Colour the floats").uncheck()
    assert page.locator(".back:visible").count() == 1


def test_all_pictures_have_words_one_size_and_are_drawn(there: Seen) -> None:
    page = there.page
    assert page.evaluate("[...document.images].every(i => i.complete && i.naturalWidth > 100 && i.alt.length > 10)")
    for kind, count in (("face, .back, .pull", 1), ("section", 1)):
        sizes = page.evaluate(
            f"[...new Set([...document.querySelectorAll(':is(.{kind}) > img')]"
            ".map(i => i.naturalWidth + 'x' + i.naturalHeight))]"
        )
        assert len(sizes) == count
    widths = page.evaluate("[...new Set([...document.querySelectorAll('figure > img')].map(i => i.naturalWidth))]")
    assert len(widths) == 1
    shown = page.locator(".step:visible figure:visible > img")
    assert len({round((shown.nth(k).bounding_box() or {"width": -k})["width"]) for k in range(shown.count())}) == 1


def test_names_are_said_and_not_run(there: Seen) -> None:
    page = there.page
    assert page.locator("h1").inner_text() == TITLE
    assert page.title().startswith(TITLE)
    assert YARN in page.locator("footer").inner_text()
    assert page.locator("h1 b").count() == 0


@pytest.mark.parametrize("width", WIDTHS)
def test_it_fits_a_phone_and_a_wide_screen(there: Seen, width: int) -> None:
    page = there.page
    page.set_viewport_size({"width": width, "height": 844})
    for number in range(len(STEPS)):
        page.locator("#slack").fill(str(number))
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        beyond = page.evaluate(
            "[...document.querySelectorAll('body *')].filter(e => e.getClientRects().length && "
            "!e.closest('.head h3') && (e.getBoundingClientRect().right > innerWidth + 1 || "
            "e.getBoundingClientRect().left < -1)).map(e => e.outerHTML.slice(0, 80))"
        )
        assert beyond == []
    face, back = (page.locator(f".step:visible .{kind}").bounding_box() for kind in ("face", "back"))
    assert face is not None
    assert back is not None
    assert (back["y"] > face["y"]) is (width < 600)  # below one another on a phone, else side by side


def test_headings_come_in_order_and_the_language_is_told(there: Seen) -> None:
    levels = there.page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4')].map(h => Number(h.tagName[1]))")
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(next_level <= level + 1 for level, next_level in pairwise(levels))
    assert there.page.evaluate("document.documentElement.lang") == "en-GB"


@pytest.mark.parametrize(("width", "pulling"), [(WIDTHS[0], False), (WIDTHS[1], True)])
def test_axe_finds_no_barrier(there: Seen, width: int, pulling: bool) -> None:
    page = there.page
    page.set_viewport_size({"width": width, "height": 844})
    page.locator("#pull").set_checked(pulling)
    assert barriers(page) == []


def test_on_paper_it_is_tight_right_and_loose_side_by_side(there: Seen) -> None:
    page = there.page
    page.locator("#slack").fill("1")
    page.emulate_media(media="print")
    steps = page.locator(".step:visible")
    assert [steps.nth(k).get_attribute("data-name") for k in range(steps.count())] == [STEPS[0], STEPS[3], STEPS[4]]
    boxes = [steps.nth(k).bounding_box() for k in range(3)]
    assert len({round(box["y"]) for box in boxes if box}) == 1
    assert page.locator(".control:visible").count() == 0
    pdf = page.pdf(prefer_css_page_size=True)
    assert 1 <= pdf.count(b"/Type /Page\n") <= 2


def test_without_script_it_can_be_read(browser: Browser, lesson: Path) -> None:
    page = browser.new_page(java_script_enabled=False)
    page.goto(lesson.as_uri())
    assert page.locator(".step:visible").count() == 3
    assert page.locator("#slack:visible").count() == 0
    assert page.locator(".face:visible").count() == 3
    page.close()


def test_the_focus_is_seen_and_nothing_is_skipped(seen: Seen) -> None:
    page, met = seen.page, []
    for _ in range(3):
        page.keyboard.press("Tab")
        met.append(page.evaluate("document.activeElement.id || document.activeElement.textContent"))
        assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") == "solid"
    assert met == ["slack", "pull", "Turn the fabric in your hands"]


def test_the_link_leads_to_the_fabric_in_3d(seen: Seen, browser: Browser) -> None:
    page = browser.new_page(viewport={"width": 390, "height": 700})
    other = Seen(page)
    page.goto(seen.page.locator("a").first.evaluate("a => a.href"))
    page.wait_for_selector("canvas#view[data-ready]")
    assert page.locator("h1").inner_text() == f"{TITLE} in 3-D"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    other.quiet("about")
    page.close()
