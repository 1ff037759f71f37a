"""What the table says of the piece and what it offers: where its words lead, advice, searches, tried and taken back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.pages.laid import Laid, changed, chart, until
from tests.pages.leaving import StaysOpen, left, staying
from tests.pages.watching import Seen, barriers

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture(scope="module")
def telling_page(browser: Browser, telling: Laid) -> Iterator[StaysOpen]:
    with staying(browser, telling, sketched=True) as page:
        yield page


@pytest.fixture
def told(telling_page: StaysOpen) -> Iterator[Seen]:
    """A page at a table that tells all there is, left as it was opened."""
    with left(telling_page) as seen:
        yield seen


def test_what_it_says_leads_to_the_place(told: Seen) -> None:
    page = told.page
    assert re.match(r"\d+\.\d cm → \d+\.\d cm", page.locator("#note .width").inner_text())
    until(page, "() => /likely \\d/.test(document.querySelector('#says').textContent)")
    page.locator("#says button", has_text="over your limits").click()
    assert page.evaluate("() => fabricsim.bench.litFloats.size") >= 1
    assert page.evaluate("() => fabricsim.bench.stage.behind")
    row, _ = page.evaluate("() => fabricsim.bench.places.square(fabricsim.bench.under)")
    assert row == 4
    page.locator("[data-tool=ahead]").click()
    assert not page.evaluate("() => fabricsim.bench.stage.behind")
    assert page.evaluate("() => fabricsim.bench.litFloats.size") == 0


def test_advice_is_tried_compared_and_taken_back(told: Seen) -> None:
    page = told.page
    until(page, "() => document.querySelectorAll('#todo button.try').length > 0")
    before = chart(page)
    first = page.locator("#todo button.try").first
    assert "over the limits" in first.inner_text()
    changed(page, lambda: first.click())
    until(page, "() => document.querySelector('.tried table')")
    until(page, "() => fabricsim.table.counts.over === 0")  # planned catches are counted a moment later
    page.get_by_role("button", name="Before beside now").click()
    until(page, "() => fabricsim.table.second")
    assert page.locator("#beside").is_visible()
    scales = "[fabricsim.bench.stage.camera.scale, fabricsim.beside.stage.camera.scale]"
    until(page, f"() => {{ const [one, other] = {scales}; return Math.abs(one / other - 1) < 1e-6 }}")
    until(page, "() => document.querySelectorAll('.tape .thread').length === 2")  # each is measured
    changed(page, lambda: page.get_by_role("button", name="Take it back").click())
    assert chart(page) == before
    assert page.locator("#beside:visible").count() == 0
    assert page.locator("#tries li").count() >= 2


def test_what_pulls_colours_the_cloth_and_a_square_that_would_free_it_is_tried_and_taken_back(lying: Seen) -> None:
    page = lying.page
    page.locator("[data-seek=costs]").click()
    until(page, "() => document.querySelector('.costs .colour-by-cost')")
    assert page.locator(".colour-by-cost").get_attribute("aria-pressed") == "true"
    assert page.locator("#scale").inner_text().startswith("What a float costs")
    # every float that is drawn and costs something has a colour of its own, darker the more it costs
    coloured = page.evaluate(
        """() => {
            const { stage, costs } = fabricsim.bench, { shape, floats } = stage;
            return Array.from(shape.pull, (_, f) => [costs.of(shape, f), ...floats.slice(4 * f, 4 * f + 3)]);
        }"""
    )
    costly = sorted((one for one in coloured if one[0] > 0), key=lambda one: one[0])
    assert len(costly) > 3
    assert sum(costly[0][1:]) >= sum(costly[-1][1:])
    page.locator("[data-tool=squares]").click()
    until(page, "() => [...document.querySelectorAll('.cost-bar')].some((one) => one.getAttribute('d'))")
    before = chart(page)
    tried = page.locator(".costs .try")
    if tried.count():
        changed(page, lambda: tried.first.click())
        assert chart(page) != before
        assert page.locator(".colour-by-cost").is_disabled()  # of the cloth as it lay before
        changed(page, lambda: page.get_by_role("button", name="Take it back").click())
    assert chart(page) == before
    assert barriers(page) == []


def test_ways_that_are_found_are_tried_by_keyboard_and_can_be_stopped(lying: Seen) -> None:
    page = lying.page
    page.locator("[data-seek=changes]").focus()
    page.keyboard.press("Enter")
    until(page, "() => document.querySelectorAll('.side-by-side tbody tr').length > 1")
    before = chart(page)
    way = page.locator(".side-by-side button").first
    name = way.get_attribute("aria-label")
    assert name is not None
    assert name.startswith("Try way ")
    way.focus()
    changed(page, lambda: page.keyboard.press("Enter"))
    assert page.locator(".side-by-side button:disabled").inner_text() == "tried"
    if page.locator(".seeking button:visible").count():
        page.locator(".seeking button").click()
    until(page, "() => document.querySelector('.seeking').hidden")
    assert page.locator("#todo").inner_text().startswith("Tried: way ")
    changed(page, lambda: page.get_by_role("button", name="Take it back").click())
    assert chart(page) == before
    assert barriers(page) == []
