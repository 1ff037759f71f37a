"""The cloth as it is drawn: what is seen of it, how finely, when, and from which side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from tests.pages.conftest import TITLE, YARN
from tests.pages.laid import Laid, changed, chart, looking, own, spot, take, until
from tests.pages.watching import Seen

if TYPE_CHECKING:
    from playwright.sync_api import Browser

WINDOW = 800, 560
"""Of pages whose cloth is drawn as users see it, CSS pixels: what it takes goes with the dots."""


@pytest.fixture(scope="module")
def drawn(browser: Browser, laid: Laid) -> Iterator[Seen]:
    """A page whose cloth is drawn as users see it; the tests leave it as they found it."""
    seen = looking(browser, laid.address, *WINDOW)
    yield seen
    own(seen, laid.port)
    seen.page.close()


def test_it_lies_there_and_asks_nobody_else(drawn: Seen) -> None:
    page = drawn.page
    assert page.locator("h1").inner_text() == TITLE
    assert page.locator("#basket .name").nth(0).inner_text() == YARN
    assert page.locator("h1 b").count() == 0
    assert page.evaluate("() => fabricsim.bench.stage.means") in ("software", "hardware")
    picture = page.locator("#cloth").screenshot()
    assert len(set(picture)) > 200  # something is there


@pytest.mark.parametrize(("wide", "high"), [(1300, 700), (1300, 1300), (400, 700)])
def test_the_front_of_a_tube_fits_between_the_edge_and_the_tape(lying: Seen, wide: int, high: int) -> None:
    """Nearer to the eye is larger: a tube framed by its middle alone hangs over what lies round it."""
    corners = lying.page.evaluate(
        """([wide, high]) => {
            const camera = new fabricsim.bench.stage.camera.constructor();
            camera.frame([-80, -45, -80], [80, 45, 80]);
            camera.resize(wide, high, { left: 40, right: 40, top: 26, bottom: 74 });
            camera.update();
            const round = [...Array(360).keys()].map((k) => (k * Math.PI) / 180);
            const edge = (a, y) => camera.seen(80 * Math.sin(a), y, 80 * Math.cos(a)).slice(0, 2);
            return round.flatMap((a) => [edge(a, -45), edge(a, 45)]);
        }""",
        [wide, high],
    )
    across, down = ([one[c] for one in corners] for c in range(2))
    assert min(across) >= 40
    assert max(across) <= wide - 40
    assert min(down) >= 26
    assert max(down) <= high - 74
    # and it is as large as that allows, within a fiftieth for the air round it and for the lens
    assert max((max(across) - min(across)) / (wide - 80), (max(down) - min(down)) / (high - 100)) > 0.96


def test_it_draws_only_when_something_changes(drawn: Seen) -> None:
    page = drawn.page
    at_rest = "document.getElementById('settling').textContent === (await import('/page/words.js')).WORDS.at_rest"
    until(page, f"async () => {at_rest}")
    until(page, "() => fabricsim.bench.stage.shown.grade === 2")  # the last picture, with smooth edges
    before = page.evaluate("() => fabricsim.bench.stage.frames")
    page.wait_for_timeout(500)
    assert page.evaluate("() => fabricsim.bench.stage.frames") == before


def test_the_glass_shows_the_back_in_register_and_nothing_else_changes(drawn: Seen) -> None:
    page = drawn.page
    cloth = page.locator("#cloth")
    until(page, "() => !fabricsim.bench.stage.asked")
    page.locator("[data-tool=glass]").click()
    page.mouse.move(*spot(page, 2, 3))
    x, y, r = until(page, "() => fabricsim.bench.stage.glass")
    read = """(places) => {
        const { stage } = fabricsim.bench, { gl, canvas } = stage;
        stage.fine = false; // whatever the page was about to draw
        stage.draw(false);
        const dots = canvas.width / stage.camera.width, all = new Uint8Array(4 * canvas.width * canvas.height);
        gl.readPixels(0, 0, canvas.width, canvas.height, gl.RGBA, gl.UNSIGNED_BYTE, all);
        return places.map(([x, y]) => {
            const at = 4 * (Math.round(canvas.height - y * dots) * canvas.width + Math.round(x * dots));
            return [...all.slice(at, at + 4)];
        });
    }"""
    inside = [[x + dx, y + dy] for dx in (-40, -13, 0, 17, 44) for dy in (-45, -20, 0, 25, 50)]
    outside = [[x + 1.3 * r, y], [x - 1.3 * r, y], [x, y - 1.2 * r]]
    with_glass = page.evaluate(read, inside + outside)
    page.locator("[data-tool=glass]").click()
    without = page.evaluate(read, inside + outside)
    assert sum(a != b for a, b in zip(with_glass[: len(inside)], without, strict=False)) > 15
    assert with_glass[len(inside) :] == without[len(inside) :]
    assert cloth.is_visible()


def test_a_fine_picture_is_drawn_in_parts_after_the_coarser_one_and_once(drawn: Seen) -> None:
    """Where the processor draws, a change never waits for more than one part; dot for dot the same comes of it as where
    it is drawn at once, and it stays while another change is expected."""
    page = drawn.page
    until(page, "() => fabricsim.bench.stage.shown.grade === 2")
    page.evaluate("() => { fabricsim.bench.glass = true; fabricsim.bench.stage.glass = [400, 200, 90]; }")
    page.evaluate(
        """() => {
        const { stage } = fabricsim.bench, { slowly } = stage, most = { parts: 0, seen: [], begun: [] };
        window.most = most;
        const begin = slowly.begin;
        slowly.begin = function (shown, size, parts, done) {
            most.begun.push([shown.grade, stage.shown.grade]);
            most.parts = Math.max(most.parts, parts.length);
            if (shown.grade === 1) setTimeout(() => stage.polish(), 0); // as on a machine that is too slow for it
            begin.call(this, shown, size, parts, () => { done(); queueMicrotask(() => most.seen.push(read())); });
        };
        const read = window.read = () => {
            const { gl, canvas } = stage, all = new Uint8Array(4 * canvas.width * canvas.height);
            gl.bindFramebuffer(gl.FRAMEBUFFER, null);
            gl.readPixels(0, 0, canvas.width, canvas.height, gl.RGBA, gl.UNSIGNED_BYTE, all);
            return all;
        };
        stage.changes += 1;
        stage.ask(false);
    }"""
    )
    until(page, "() => most.seen.length > 1 && fabricsim.bench.stage.shown.grade === 2")
    # how fine what begins is, and what is on the canvas then
    assert page.evaluate("() => most.begun") == [[1, 2], [2, 1]]
    assert page.evaluate("() => most.parts") > 8
    at_once = """() => {
        const { stage } = fabricsim.bench, { drawn } = stage;
        drawn.parts = () => [[0, drawn.count]];
        stage.fine = true;
        stage.draw(false);
        stage.fine = false;
        delete drawn.parts;
        delete stage.slowly.begin;
        const all = read(), seen = most.seen.at(-1);
        const different = all.reduce((sum, one, k) => sum + (one !== seen[k] ? 1 : 0), 0);
        return [all.length, seen.length, different, new Set(all).size];
    }"""
    size, drawn_size, different, shades = page.evaluate(at_once)
    assert size == drawn_size
    assert shades > 100
    assert different == 0
    again = page.evaluate(
        """async () => {
        const { stage } = fabricsim.bench, { gl } = stage, draw = gl.drawElementsInstanced;
        let many = 0;
        gl.drawElementsInstanced = function (...how) { many += 1; draw.apply(this, how); };
        const frames = stage.frames;
        stage.expect();
        stage.ask(false);
        while (stage.frames === frames) await new Promise((done) => requestAnimationFrame(done));
        delete gl.drawElementsInstanced;
        return many;
    }"""
    )
    assert again == 0
    assert page.evaluate("() => fabricsim.bench.stage.shown.grade") == 2
    page.evaluate("() => { fabricsim.bench.glass = false; fabricsim.bench.stage.glass = null; }")


def test_the_other_side_and_the_squares(lying: Seen) -> None:
    page = lying.page
    for name in ("over", "squares", "pull"):
        button = page.locator(f"[data-tool={name}]")
        assert button.get_attribute("aria-pressed") == "false"
        button.click()
        assert button.get_attribute("aria-pressed") == "true"
    assert page.locator("#scale").inner_text().startswith("How hard a float pulls")
    page.locator("[data-tool=pull]").click()
    assert page.locator("#scale:visible").count() == 0
    # on the squares one knits as on the cloth
    if page.evaluate("() => fabricsim.bench.stage.flat") < 1:
        page.locator("[data-tool=squares]").click()
    take(page, 1)
    changed(page, lambda: page.mouse.click(*spot(page, 4, 0)))
    assert chart(page)[4][0] == 1


def test_planned_catches_are_marked_on_the_squares(lying: Seen) -> None:
    page = lying.page
    changed(page, lambda: page.locator("#catches").select_option("planned"))
    until(page, "() => fabricsim.table.counts.planned.length > 0")
    hooks = "() => document.getElementById('shape_caught').getAttribute('d').split('M').length - 1"
    assert page.evaluate(hooks) == 0  # on the face of the cloth none is seen
    page.locator("#cloth").focus()
    page.keyboard.press("c")
    until(page, "() => fabricsim.bench.stage.flat === 1")
    squares = "() => fabricsim.table.counts.planned.flatMap(([r, c]) => fabricsim.bench.places.ofSquare(r, c)).length"
    until(page, f"() => ({hooks})() === ({squares})()")
    assert page.evaluate(hooks) >= page.evaluate("() => fabricsim.table.counts.planned.length")
