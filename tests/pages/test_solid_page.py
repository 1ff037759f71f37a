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
COARSE = """() => {
    const { pace } = fabricsim.stage, still = Object.getPrototypeOf(pace).still;
    fabricsim.stage.polish = () => {};
    pace.begin = pace.frame = () => {};
    pace.moving = 5;
    pace.still = (triangles) => ({ ...still.call(pace, triangles, false), sides: 0, ply: 0, dots: 0.5 });
}"""
"""What has the page draw between pictures as coarsely as can be: most of what its tests take is yarn that nobody looks
at. Pictures that are looked at are asked for, as finely as always (``shot``)."""


def opened(browser: Browser, lesson: Path, width: int, **more: bool) -> Seen:
    """Return the page in 3-D with its fabric drawn."""
    seen = Seen(browser.new_page(viewport={"width": width, "height": 844}, **more))
    seen.page.goto(lesson.with_name(f"{lesson.stem}-3d.html").as_uri())
    canvas_of(seen.page).wait_for()
    return seen


@pytest.fixture
def seen(tab: Seen, lesson: Path) -> Iterator[Seen]:
    """The page as it is when it has just been opened: loaded once, and then put back as its own keys do."""
    if tab.lies_at(lesson.with_name(f"{lesson.stem}-3d.html").as_uri(), WIDTHS[0], 844):
        canvas_of(tab.page).focus()
        tab.page.keyboard.press("Home")
        tab.page.evaluate("() => { document.activeElement.blur(); scrollTo(0, 0); }")
        tab.page.mouse.move(0, 0)
    canvas_of(tab.page).wait_for()
    tab.page.evaluate(COARSE)
    yield tab
    tab.quiet()


def canvas_of(page: Page) -> Locator:
    return page.locator(READY)


def shot(page: Page) -> bytes:
    """Return a picture of the fabric; software draws it the same to the last bit every time."""
    return bytes(
        page.evaluate(
            """() => {
                const { stage } = fabricsim, { gl, canvas, pace } = stage, { moving } = pace;
                stage.fit();
                stage.camera.update();
                pace.moving = 3; // however slow the machine has found itself to be by now
                stage.draw(true);
                pace.moving = moving;
                const dots = new Uint8Array(4 * canvas.width * canvas.height);
                gl.readPixels(0, 0, canvas.width, canvas.height, gl.RGBA, gl.UNSIGNED_BYTE, dots);
                let [even, odd] = [0, 0];
                dots.forEach((dot, k) => {
                    even = (even * 31 + dot) % 1000003;
                    odd = (odd + (k % 997) * dot) % 1000003;
                });
                return [even, odd].flatMap((one) => [one & 255, (one >> 8) & 255, one >> 16]);
            }"""
        )
    )


def camera(page: Page) -> np.ndarray:
    """Return how far the fabric is turned and tipped, radians, how near the eye is, and how far it is shifted, (5,)."""
    found = page.evaluate("() => { const c = fabricsim.stage.camera; return [c.yaw, c.pitch, c.zoom, ...c.shift] }")
    return np.array(found, float)


def seen_at(page: Page, place: tuple[float, float, float]) -> np.ndarray:
    """Return where a place of the fabric, mm off its middle, is seen, pixels, and how deep, (3,)."""
    found = page.evaluate(
        "(place) => { const { camera } = fabricsim.stage; camera.update(); "
        "return camera.seen(...place.map((one, c) => one + camera.middle[c])) }",
        place,
    )
    return np.array(found, float)


def to_the_fabric(page: Page) -> None:
    """Go to it as one does by keyboard, from the top of the page."""
    page.locator("a").focus()
    page.keyboard.press("Tab")
    assert canvas_of(page).evaluate("canvas => document.activeElement === canvas")


def test_every_key_changes_the_picture_and_home_brings_it_back(seen: Seen) -> None:
    page = seen.page
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
    front, top = (0.0, 0.0, 10.0), (0.0, 10.0, 0.0)
    begun = seen_at(page, front)
    page.keyboard.press("ArrowRight")
    assert seen_at(page, front)[0] > begun[0] + 0.1
    page.keyboard.press("Home")
    page.keyboard.press("ArrowUp")
    assert seen_at(page, front)[1] < begun[1] - 0.1  # pixels count downwards
    page.keyboard.press("Home")
    first = camera(page)
    for _ in range(12):
        page.keyboard.press("ArrowLeft")
    # half round: twelve times 15 degrees, and still upright
    assert camera(page)[0] == pytest.approx(first[0] - np.pi)
    assert seen_at(page, front)[2] > seen_at(page, (0.0, 0.0, -10.0))[2] + 10.0
    assert seen_at(page, top)[1] < seen_at(page, (0.0, -10.0, 0.0))[1] - 10.0


def test_a_key_held_down_turns_in_smaller_steps(seen: Seen) -> None:
    page = seen.page
    to_the_fabric(page)
    turns, before = [], camera(page)[0]
    for _ in range(3):
        page.keyboard.down("ArrowRight")  # pressed again without having been let go it repeats
        now = camera(page)[0]
        turns.append(np.degrees(now - before))
        before = now
    page.keyboard.up("ArrowRight")
    assert turns == pytest.approx([15.0, 5.0, 5.0])


def test_it_comes_no_nearer_than_the_yarn_and_goes_no_farther_than_can_be_seen(seen: Seen) -> None:
    page = seen.page
    to_the_fabric(page)
    for key, most, presses in (("+", 12.0, 24), ("-", 0.6, 28)):
        for _ in range(presses):
            page.keyboard.press(key)
        assert camera(page)[2] == pytest.approx(most)


@pytest.mark.parametrize("width", WIDTHS)
def test_all_of_it_is_seen_at_first(seen: Seen, width: int) -> None:
    page = seen.page
    page.set_viewport_size({"width": width, "height": 844})
    page.wait_for_timeout(200)  # the page hears of its width a frame later
    box = canvas_of(page).bounding_box()
    assert box is not None
    corners = page.evaluate(
        """() => {
            const { lay, camera } = fabricsim.stage;
            camera.update();
            const { place, face } = lay.shape, seen = [];
            for (let n = 0; n < lay.count; n++)
                if (face[4 * n + 3]) seen.push(camera.seen(place[3 * n], place[3 * n + 1], place[3 * n + 2]));
            const all = [0, 1].map((c) => seen.map((one) => one[c]));
            return all.flatMap((one) => [Math.min(...one), Math.max(...one)]);
        }"""
    )
    left, right, top, bottom = corners
    assert 0 < left < right < box["width"]
    assert 0 < top < bottom < box["height"]
    # and it fills the room in one direction, but for what is kept free round it and for its own depth
    assert max((right - left) / box["width"], (bottom - top) / box["height"]) > 0.75


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
    # only what turns it is kept from scrolling the page; Tab leads out again
    assert [page.evaluate(kept, key) for key in ("ArrowDown", "Tab", " ", "PageDown")] == [True, False, False, False]
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
    page.mouse.up()
    turned = camera(page)
    assert turned[:2] - begun[:2] == pytest.approx([60 * 0.008, 30 * 0.008])
    page.mouse.move(x, y)
    page.mouse.down(button="right")
    page.mouse.move(x + 20, y + 10)
    page.mouse.up(button="right")
    assert camera(page) - turned == pytest.approx([0, 0, 0, 20, 10])
    page.mouse.wheel(0, -200)
    page.wait_for_timeout(100)  # a wheel is heard of a frame later
    assert camera(page)[2] > turned[2]
    page.keyboard.press("Home")  # a click has led there
    np.testing.assert_allclose(camera(page), begun, rtol=0, atol=1e-12)
    assert shot(page) == first


def test_two_fingers_come_nearer(browser: Browser, lesson: Path) -> None:
    page = opened(browser, lesson, WIDTHS[0], has_touch=True).page
    begun = camera(page)[2]
    page.evaluate(
        """() => {
            const canvas = document.querySelector("canvas"), box = canvas.getBoundingClientRect();
            canvas.setPointerCapture = () => {};  // these fingers are none of the browser's
            const finger = (kind, pointerId, x) => canvas.dispatchEvent(new PointerEvent(kind,
                { pointerId, clientX: box.left + x, clientY: box.top + 100, pointerType: "touch" }));
            finger("pointerdown", 2, 100); finger("pointerdown", 3, 200);
            finger("pointermove", 3, 250); finger("pointerup", 2, 100); finger("pointerup", 3, 250);
        }"""
    )
    assert camera(page)[2] == pytest.approx(begun * 1.5)
    page.close()


def test_the_focus_is_seen(seen: Seen) -> None:
    page = seen.page
    line = "canvas => getComputedStyle(canvas).outlineStyle + getComputedStyle(canvas).outlineWidth"
    assert not canvas_of(page).evaluate(line).startswith("solid")
    to_the_fabric(page)
    assert canvas_of(page).evaluate(line) == "solid3px"


def test_it_can_be_heard(seen: Seen) -> None:
    page = seen.page
    assert page.locator("main").count() == 1
    assert page.evaluate("document.documentElement.lang") == "en-GB"
    assert page.title() == NAME
    canvas = canvas_of(page)
    said = canvas.get_attribute("aria-label") or ""
    assert said.startswith(f"{NAME}. The fabric with its floats 10 % too short: ")
    assert page.locator("header p").first.inner_text() in said
    described = page.locator("#" + (canvas.get_attribute("aria-describedby") or ""))
    assert described.evaluate("p => p.textContent").startswith("Arrow keys turn it")
    assert "arrow keys turn it" in page.locator("header").inner_text()
    assert page.locator("[role=status]:visible").count() == 0  # nothing is waited for, nothing amiss


def test_axe_finds_no_barrier_and_nothing_runs_over(seen: Seen) -> None:
    for width in WIDTHS:
        seen.page.set_viewport_size({"width": width, "height": 844})
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
        wide = (seen.page.locator("#stand").bounding_box() or {"width": 0})["width"]
        assert width - 45 < wide < width
        assert (canvas_of(seen.page).bounding_box() or {"width": 0})["width"] == pytest.approx(wide - 2, abs=1)
        assert barriers(seen.page) == []


def test_a_browser_without_3d_says_so(browser: Browser, lesson: Path) -> None:
    page = browser.new_page()
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    page.goto(lesson.with_name(f"{lesson.stem}-3d.html").as_uri())
    sorry = page.locator("main p:visible")
    sorry.filter(has_text="can't show").wait_for()
    assert sorry.all_inner_texts() == [
        "This browser can't show the fabric in 3-D. Try another one, or look at the pictures of the lesson."
    ]
    page.close()


def test_a_browser_that_cannot_unpack_says_so(browser: Browser, lesson: Path) -> None:
    page = browser.new_page()
    page.add_init_script("delete window.DecompressionStream")
    page.goto(lesson.with_name(f"{lesson.stem}-3d.html").as_uri())
    sorry = page.locator("main p:visible")
    sorry.filter(has_text="too old").wait_for()
    assert sorry.count() == 1
    page.close()


def test_it_shows_the_colours_of_the_yarn_on_the_ground_of_the_page(browser: Browser, lesson: Path) -> None:
    page = opened(browser, lesson, 500).page
    shown = np.asarray(Image.open(io.BytesIO(page.locator("#view").screenshot())).convert("RGB")).astype(int)
    page.close()
    ground = np.array(PAPER)
    assert np.abs(shown[20, 20] - ground).max() <= 1
    # light taken for numbers of a screen would leave the dark yarn nearly black: 3, 6, 20
    dark = np.median(shown[shown.sum(axis=2) < 300], axis=0)
    assert np.abs(dark - [0x1D, 0x2B, 0x4F]).max() < 20
