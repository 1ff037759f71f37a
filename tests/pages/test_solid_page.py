"""The fabric in 3-D, turned by keyboard, by mouse and by touch, in a browser."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PIL import Image

from fabricsim.render.basics.palette import PAPER
from tests.pages.conftest import TITLE
from tests.pages.watching import WIDTHS, Seen, barriers

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

NAME = f"{TITLE} in 3-D"
READY = "canvas[data-ready]"


def opened(browser: Browser, lesson: Path, width: int, **more: bool) -> Seen:
    """Return the page in 3-D with its fabric drawn."""
    seen = Seen(browser.new_page(viewport={"width": width, "height": 844}, **more))
    seen.page.goto(lesson.with_name(f"{lesson.stem}-3d.html").as_uri())
    canvas_of(seen.page).wait_for()
    return seen


@pytest.fixture
def seen(browser: Browser, lesson: Path) -> Iterator[Seen]:
    seen = opened(browser, lesson, WIDTHS[0])
    yield seen
    seen.quiet("about")
    seen.page.close()


def canvas_of(page: Page) -> Locator:
    return page.frame_locator("#view").locator(READY)


def shot(page: Page) -> bytes:
    """Return a picture of the fabric; software draws it the same to the last bit every time."""
    return canvas_of(page).screenshot()


def camera(page: Page) -> np.ndarray:
    """Return where the camera stands as seen from what it looks at, and which way is up to it: (2, 3)."""
    inside = "const {camera, controls} = document.getElementById('view').contentWindow;"
    found = page.evaluate(f"() => {{ {inside} return [camera.position.clone().sub(controls.target), camera.up] }}")
    return np.array([[one[axis] for axis in "xyz"] for one in found])


def to_the_fabric(page: Page) -> None:
    """Go to it as one does by keyboard, from the top of the page."""
    page.locator("a").focus()
    page.keyboard.press("Tab")
    assert canvas_of(page).evaluate("canvas => document.activeElement === canvas")


@pytest.mark.parametrize("width", WIDTHS)
def test_every_key_changes_the_picture_and_home_brings_it_back(seen: Seen, width: int) -> None:
    page = seen.page
    page.set_viewport_size({"width": width, "height": 844})
    to_the_fabric(page)
    first = shot(page)
    for key in ("ArrowLeft", "ArrowRight", "ArrowUp", "ArrowDown", "+", "=", "-"):
        page.keyboard.press(key)
        assert shot(page) != first, key
        page.keyboard.press("Home")
        assert shot(page) == first, key


def test_keys_undo_each_other(seen: Seen) -> None:
    page = seen.page
    to_the_fabric(page)
    begun = camera(page)
    for key, back in (("ArrowLeft", "ArrowRight"), ("ArrowUp", "ArrowDown"), ("+", "-")):
        for one in (key, key, back, back):
            page.keyboard.press(one)
        np.testing.assert_allclose(camera(page), begun, rtol=0, atol=1e-9)


def test_the_fabric_goes_where_the_arrow_points_and_round_to_its_back(seen: Seen) -> None:
    page = seen.page
    to_the_fabric(page)
    (x, y, z), _ = begun = camera(page)
    page.keyboard.press("ArrowRight")
    (right, same, _), _ = camera(page)
    # the camera goes left about the fabric, on its level, which looks as if the fabric turned to the right
    assert right < x
    assert same == pytest.approx(y)
    page.keyboard.press("Home")
    page.keyboard.press("ArrowUp")
    assert camera(page)[0, 1] < y  # and down, so that the fabric tips upwards
    page.keyboard.press("Home")
    for _ in range(12):
        page.keyboard.press("ArrowLeft")
    (_, _, behind), up = camera(page)
    assert behind == pytest.approx(-z)  # half round: twelve times 15 degrees
    assert up[1] > 0.8  # and still upright
    for _ in range(12):
        page.keyboard.press("ArrowLeft")
    np.testing.assert_allclose(camera(page), begun, rtol=0, atol=1e-9)


def test_a_key_held_down_turns_in_smaller_steps(seen: Seen) -> None:
    page = seen.page
    to_the_fabric(page)
    turns, before = [], camera(page)[0]
    for _ in range(3):
        page.keyboard.down("ArrowRight")  # pressed again without having been let go it repeats
        now = camera(page)[0]
        turns.append(np.degrees(np.arctan2(before[0], before[2]) - np.arctan2(now[0], now[2])))
        before = now
    page.keyboard.up("ArrowRight")
    assert turns == pytest.approx([15.0, 5.0, 5.0])


def test_it_comes_no_nearer_than_the_yarn_and_goes_no_farther_than_can_be_seen(seen: Seen) -> None:
    page = seen.page
    to_the_fabric(page)
    far = np.linalg.norm(camera(page)[0])
    for key, most, presses in (("+", 0.08, 20), ("-", 3.0, 28)):
        for _ in range(presses):
            page.keyboard.press(key)
        assert np.linalg.norm(camera(page)[0]) == pytest.approx(most * far)


def test_other_keys_are_left_to_the_browser(seen: Seen) -> None:
    page = seen.page
    to_the_fabric(page)
    page.keyboard.press("Control+Home")
    page.keyboard.press("ArrowRight")
    turned = camera(page)
    for key in ("Control+Home", "Control+ArrowRight", "Alt+ArrowLeft", "a", "Shift", "PageDown"):
        canvas_of(page).dispatch_event("keydown", {"key": key.split("+")[-1], "ctrlKey": "+" in key})
    np.testing.assert_array_equal(camera(page), turned)
    kept = "key => !document.querySelector('canvas').dispatchEvent("
    kept += "new KeyboardEvent('keydown', {key, cancelable: true}))"
    inside = page.frames[1]
    # only what turns it is kept from scrolling the page; Tab leads out again
    assert [inside.evaluate(kept, key) for key in ("ArrowDown", "Tab", " ", "PageDown")] == [True, False, False, False]
    page.keyboard.press("Shift+Tab")
    assert page.evaluate("document.activeElement.tagName") == "A"


def test_the_mouse_turns_it_too_and_home_brings_that_back(seen: Seen) -> None:
    page = seen.page
    first = shot(page)
    box = canvas_of(page).bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    begun = camera(page)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 60, y + 30, steps=4)
    page.wait_for_timeout(50)  # the viewer follows once a frame
    page.mouse.up()
    assert np.abs(camera(page) - begun).max() > 0.01
    page.mouse.move(2, 2)
    page.keyboard.press("Home")  # a click has led there
    np.testing.assert_allclose(camera(page), begun, rtol=0, atol=1e-12)
    page.locator("a").focus()
    assert shot(page) == first


def test_the_focus_is_seen(seen: Seen) -> None:
    page = seen.page
    ring = page.frame_locator("#view").locator("#ring")
    assert not ring.is_visible()
    to_the_fabric(page)
    assert ring.is_visible()
    frame = page.locator("#view").bounding_box()
    held = ring.bounding_box()
    assert frame is not None
    assert held is not None
    assert held["width"] == pytest.approx(frame["width"], abs=2.5)
    assert held["height"] == pytest.approx(frame["height"], abs=2.5)


def test_it_can_be_heard(seen: Seen) -> None:
    page, inside = seen.page, seen.page.frames[1]
    assert page.locator("main").count() == 1
    for frame in page.frames:
        assert frame.evaluate("document.documentElement.lang") == "en-GB"
        assert frame.title() == NAME
    canvas = canvas_of(page)
    said = canvas.get_attribute("aria-label") or ""
    assert said.startswith(f"{NAME}. The fabric with its floats 10 % too short: ")
    assert page.locator("header p").first.inner_text() in said
    described = inside.locator("#" + (canvas.get_attribute("aria-describedby") or ""))
    assert described.evaluate("p => p.textContent").startswith("Arrow keys turn it")
    assert "arrow keys turn it" in page.locator("header").inner_text()
    assert "user-scalable" not in (inside.locator("meta[name=viewport]").get_attribute("content") or "")


def test_axe_finds_no_barrier_and_nothing_runs_over(seen: Seen) -> None:
    for width in WIDTHS:
        seen.page.set_viewport_size({"width": width, "height": 844})
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
        wide = (seen.page.locator("#view").bounding_box() or {"width": 0})["width"]
        assert width - 45 < wide < width
        assert (canvas_of(seen.page).bounding_box() or {"width": 0})["width"] == pytest.approx(wide - 2, abs=1)
        assert barriers(seen.page) == []
    # axe speaks to frames, and those of files have no address
    seen.complaints = [said for said in seen.complaints if "postMessage" not in said]


def test_a_browser_without_3d_says_so(browser: Browser, lesson: Path) -> None:
    page = browser.new_page()
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    page.goto(lesson.with_name(f"{lesson.stem}-3d.html").as_uri())
    sorry = page.frame_locator("#view").locator("p:visible")
    sorry.wait_for()
    assert sorry.inner_text().startswith("This browser can't show the fabric in 3-D.")
    page.close()


def test_it_shows_the_colours_of_the_yarn_on_the_ground_of_the_page(browser: Browser, lesson: Path) -> None:
    page = opened(browser, lesson, 1000).page
    shown = np.asarray(Image.open(io.BytesIO(page.locator("#view").screenshot())).convert("RGB")).astype(int)
    page.close()
    ground = np.array(PAPER)
    assert np.abs(shown[20, 20] - ground).max() <= 1
    # light taken for numbers of a screen would leave the dark yarn nearly black: 3, 6, 20
    dark = np.median(shown[shown.sum(axis=2) < 300], axis=0)
    assert np.abs(dark - [0x1D, 0x2B, 0x4F]).max() < 20
