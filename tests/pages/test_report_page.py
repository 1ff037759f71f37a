"""The report in a browser: nothing asked of any network, readable on a phone and on paper, with no barriers."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fabricsim.cli import main
from fabricsim.render.handouts.report import SQUARE_PX
from tests.pages.conftest import ROWS, SCENE, TITLE, YARN
from tests.pages.watching import WIDTHS, Seen, barriers

if TYPE_CHECKING:
    from playwright.sync_api import Browser

CHAPTERS = (
    "forecast",
    "slack",
    "chart",
    "colours",
    "difficulty",
    "floats",
    "catches",
    "sizes",
    "yarn",
    "rounds",
    "mine",
)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The report of a scene whose names are as awkward as can be, for a baby's mittens."""
    folder = tmp_path_factory.mktemp("report page")
    scene = SCENE.replace('worked = "round"', 'worked = "round"\nitem = "baby mittens"')
    (folder / "scene.toml").write_text(scene, encoding="utf-8")
    out = folder / 'a & "b"' / "re port.html"
    assert main([str(word) for word in ("report", folder / "scene.toml", "--draft", "--out", out)]) == 0
    return out


@pytest.fixture(scope="module", params=WIDTHS)
def seen(request: pytest.FixtureRequest, tab: Seen, made: Path) -> Iterator[Seen]:
    """The report, loaded once for all tests at a width: what one of them ticks and fills in none asks about."""
    tab.goes_to(made.as_uri(), request.param, 900)
    yield tab
    tab.quiet()


def test_it_runs_clean_and_asks_nobody_for_anything(seen: Seen) -> None:
    seen.quiet()
    assert seen.page.title() == f"{TITLE}: report"
    assert seen.page.locator("script").count() == 0
    assert YARN in seen.page.inner_text("#yarn")


def test_every_chapter_is_there_and_led_to(seen: Seen) -> None:
    for key in CHAPTERS:
        assert seen.page.locator(f"section#{key} h2").count() == 1
        assert seen.page.locator(f"nav a[href='#{key}']").count() == 1
    assert len(seen.page.locator("nav a").all()) == len(CHAPTERS)


def test_nothing_runs_over_and_pictures_are_told(seen: Seen) -> None:
    page = seen.page
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
    for image in page.locator("img").all():
        assert len(image.get_attribute("alt")) > 20
        assert image.evaluate("image => image.naturalWidth") > 200


def test_the_chart_is_large_enough_to_knit_from(seen: Seen) -> None:
    """Also on a phone, where it moves sideways and the page does not."""
    for image in seen.page.locator("#chart img, #catches img").all():
        wide, natural, tall, natural_tall = image.evaluate(
            "image => [image.clientWidth, image.naturalWidth, image.clientHeight, image.naturalHeight]"
        )
        assert wide == int(image.get_attribute("width"))
        assert natural > 1.3 * wide  # sharp on screens of twice as many dots
        assert wide / tall == pytest.approx(natural / natural_tall, rel=0.01)
    image = seen.page.locator("#chart img").first
    assert int(image.get_attribute("width")) >= len(ROWS[0]) * SQUARE_PX
    # with room beside it it stands at the left, as all else does; else its right end, where it begins, is seen first
    places = "image => [image, image.parentElement].flatMap(one => [one.getBoundingClientRect()])"
    left, right, beginning, end = image.evaluate(f"image => ({places})(image).flatMap(one => [one.left, one.right])")
    assert (left, right < end) == (beginning, True) if right - left < end - beginning else right == pytest.approx(end)


def test_axe_finds_no_barrier(tab: Seen, made: Path) -> None:
    """On a phone: there it also holds what has to be moved sideways."""
    tab.lies_at(made.as_uri(), WIDTHS[0], 900)
    assert barriers(tab.page) == []


def test_rows_can_be_ticked_by_keyboard_and_measures_written_down(seen: Seen) -> None:
    page = seen.page
    box = page.locator("#rounds input[type=checkbox]").first
    box.focus()
    page.keyboard.press("Space")
    assert box.is_checked()
    width = page.get_by_label("colourwork, mine").first
    width.fill("12.5")
    assert width.input_value() == "12.5"


def test_cautions_come_first_and_nothing_is_promised(seen: Seen) -> None:
    first = seen.page.locator("main section").first
    assert first.locator("h2").inner_text() == "Before you knit"
    words = first.inner_text()
    for part in ("no open floats", "Loose ends", "Small parts", "where the item is sold", "maker to judge"):
        assert part in words
    assert not re.search(r"\bsafe", seen.page.inner_text("body"), re.IGNORECASE)


def test_it_prints_on_a4(browser: Browser, made: Path, tmp_path: Path) -> None:
    page = browser.new_page()
    page.goto(made.as_uri())
    data = page.pdf(format="A4")
    page.close()
    pages = len(re.findall(rb"/Type\s*/Page\b", data))
    assert 5 <= pages <= 25


def test_its_numbers_are_those_of_the_commands(made: Path, capsys: pytest.CaptureFixture[str]) -> None:
    said = json.loads(made.with_suffix(".json").read_text(encoding="utf-8"))
    assert said["title"] == TITLE
    assert not re.search(r"\bsafe", json.dumps(said), re.IGNORECASE)
    scene = made.parent.parent / "scene.toml"
    for command in ("floats", "yarn", "rounds", "difficulty", "catches", "colours"):
        capsys.readouterr()
        assert main([command, str(scene), "--json"]) == 0
        alone, part = json.loads(capsys.readouterr().out), said["parts"][command]
        for key in ("finished_cm", "finished_is_forecast", "finishing") if command == "rounds" else ():
            del alone[key], part[key]  # the report's pattern ends at the width that it forecasts
        assert alone == part
