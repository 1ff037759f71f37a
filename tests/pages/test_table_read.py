"""The table as it is read: by everybody, in a class, in words that are all in one place."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Literal

import pytest

import fabricsim.table
from tests.pages.laid import at_rest, until
from tests.pages.watching import Seen, barriers


@pytest.mark.parametrize(
    ("width", "scheme", "opened"),
    [(320, "light", True), (390, "dark", False), (1360, "dark", True), (1920, "light", False)],
)
def test_axe_finds_no_barrier_and_nothing_runs_over(
    lying: Seen, width: int, scheme: Literal["light", "dark"], opened: bool
) -> None:
    """What is ``opened`` is looked at once narrow and light and once wide and dark."""
    page = lying.page
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 900})
    page.locator("[data-tool=frame]").click()
    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.locator("#make").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    if not opened:
        return
    assert barriers(page) == []
    page.keyboard.press("Escape")
    page.locator("#set").click()
    assert barriers(page) == []


def test_a_class_walks_through_why(lying: Seen) -> None:
    page = lying.page
    slack = page.evaluate("() => fabricsim.table.scene.slack")
    page.locator("#lesson").click()
    sentences = set()
    for _ in range(6):
        sentences.add(page.locator("#class .sentence").inner_text())
        at_rest(page)
        assert page.locator("#class svg path").count() > 2
        if page.locator("#class button", has_text="Next").is_enabled():
            page.locator("#class button", has_text="Next").click()
    assert len(sentences) == 6
    assert page.locator("#beside").is_visible()  # face and back at once
    assert page.locator("#note:visible, #hand:visible").count() == 0
    assert barriers(page) == []
    page.get_by_role("button", name="Leave").click()
    until(page, "(slack) => fabricsim.table.scene.slack === slack", slack)
    assert page.locator("#note").is_visible()


def test_every_word_on_the_page_is_from_the_file_of_words() -> None:
    page = Path(fabricsim.table.__file__).parent / "page"
    html = (page / "index.html").read_text("utf-8")
    assert re.findall(r"\s(?:style|on\w+)=", html) == []
    for tag, inside in re.findall(r"<(h\d|p|button|label|a|figcaption)\b[^>]*>([^<]+)<", html):
        assert inside.strip() in ("", "fabricsim"), (tag, inside)
    words = "".join(one.read_text("utf-8") for one in (page / "words.js", *(page / "words").iterdir()))
    for key in re.findall(r'data-(?:say|label)="(\w+)"', html):
        assert re.search(rf"^    {key}:", words, re.MULTILINE), key
