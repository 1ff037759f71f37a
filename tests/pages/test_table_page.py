"""The table as its users meet it: painting, hands, undo, the note, the margins, by mouse, by keys and by touch."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import pytest

from tests.pages.conftest import TITLE, YARN
from tests.pages.laid import HIGH, NEVER, WIDE, Laid, at_rest, changed, chart, looking, own, spot, until
from tests.pages.watching import Seen, barriers
from tests.support.little import little

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ROWS = ("..bb....", ".b..b...", "b....bb.", ".b..b...", "........")
"""From the top; its first has a float of six stitches over the edge of the repeat."""


@contextmanager
def tabled(folder: Path, still: float | None) -> Iterator[Laid]:
    """Lay the table."""
    scene = folder / "my scene.toml"
    scene.write_text(little(ROWS, title=TITLE, names=(YARN, "ink"), floats="slack = -0.04\nlongest_gap = 5"), "utf-8")
    table = Laid(folder, scene, still=still)
    yield table
    table.end()


@pytest.fixture(scope="module")
def laid(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laid]:
    """A table that gives no advice and no likely range, which most tests do not wait for."""
    with tabled(tmp_path_factory.mktemp("table page"), NEVER) as table:
        yield table


@pytest.fixture(scope="module")
def telling(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Laid]:
    """A table that tells all there is."""
    with tabled(tmp_path_factory.mktemp("table that tells"), None) as table:
        yield table


@pytest.fixture(scope="module")
def open_page(browser: Browser, laid: Laid) -> Iterator[Seen]:
    """A page that stays open: to load it anew takes half of what another takes."""
    seen = looking(browser, laid.address, sketched=True)
    yield seen
    seen.page.close()


@pytest.fixture(scope="module")
def drawn_page(browser: Browser, laid: Laid) -> Iterator[Seen]:
    """The same, its cloth drawn as users see it."""
    seen = looking(browser, laid.address)
    yield seen
    seen.page.close()


@pytest.fixture
def lying(open_page: Seen, laid: Laid) -> Iterator[Seen]:
    """A page at the table, sketched, for a test that leaves no tool and no panel otherwise than as it found it: what it
    knits is taken back."""
    yield open_page
    taken_back(open_page.page)
    own(open_page, laid.port)


@pytest.fixture
def seen(open_page: Seen, laid: Laid) -> Iterator[Seen]:
    """The same for a test that may leave anything: the page is loaded anew."""
    with left(open_page, laid):
        yield open_page


@pytest.fixture
def drawn(drawn_page: Seen, laid: Laid) -> Iterator[Seen]:
    """The same, its cloth drawn as users see it."""
    with left(drawn_page, laid):
        yield drawn_page


@pytest.fixture
def told(browser: Browser, telling: Laid) -> Iterator[Seen]:
    """A page of its own at a table that tells all there is."""
    seen = looking(browser, telling.address)
    yield seen
    taken_back(seen.page)
    own(seen, telling.port)
    seen.page.close()


@contextmanager
def left(seen: Seen, laid: Laid) -> Iterator[None]:
    """Leave a page as it was opened, whatever happens on it."""
    try:
        yield
        taken_back(seen.page)
        own(seen, laid.port)
    finally:
        seen.complaints.clear()
        seen.page.mouse.move(0, 0)
        seen.page.emulate_media(color_scheme="light")
        seen.page.set_viewport_size({"width": WIDE, "height": HIGH})
        seen.page.reload()
        at_rest(seen.page)


def taken_back(page: Page) -> None:
    """Undo all there is to undo."""
    while page.evaluate("() => fabricsim.table.scene.undo"):
        before = page.evaluate("() => fabricsim.table.scene.revision")
        page.evaluate("() => fabricsim.table.ask({ kind: 'undo' })")
        until(page, "(before) => fabricsim.table.scene.revision > before", before)


def take(page: Page, yarn: int) -> None:
    """Take up a yarn."""
    page.locator("#basket button").nth(yarn).click()


def test_it_lies_there_and_asks_nobody_else(drawn: Seen) -> None:
    page = drawn.page
    assert page.locator("h1").inner_text() == TITLE
    assert page.locator("#basket .name").nth(0).inner_text() == YARN
    assert page.locator("h1 b").count() == 0
    assert page.evaluate("() => fabricsim.bench.stage.means") in ("software", "hardware")
    drawn = page.locator("#cloth").screenshot()
    assert len(set(drawn)) > 200  # something is there


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


def test_it_draws_only_when_something_changes(told: Seen) -> None:
    page = told.page
    until(page, "() => !fabricsim.bench.stage.asked && fabricsim.table.said?.sure === 'likely'")
    until(page, "() => fabricsim.bench.stage.shown.grade === 2")  # the last picture, with smooth edges
    before = page.evaluate("() => fabricsim.bench.stage.frames")
    page.wait_for_timeout(500)
    assert page.evaluate("() => fabricsim.bench.stage.frames") == before


def test_a_stitch_under_the_pointer_takes_the_yarn_at_every_repeat(lying: Seen) -> None:
    page = lying.page
    assert chart(page)[1][0] == 0
    take(page, 1)
    page.mouse.move(*spot(page, 1, 0))
    changed(page, lambda: page.mouse.click(*spot(page, 1, 0)))
    assert chart(page)[1][0] == 1
    made = page.evaluate(
        "() => { const { stage, places } = fabricsim.bench, yarn = stage.lay.yarns();"
        " return places.ofSquare(1, 0).map((n) => yarn[n]) }"
    )
    assert len(made) > 1
    assert set(made) == {1}  # the strand itself, not a colour laid over it


def test_a_drag_knits_all_on_its_way_and_is_one_step(lying: Seen) -> None:
    page = lying.page
    before, steps = chart(page), page.evaluate("() => fabricsim.table.scene.undo")
    take(page, 1)
    page.mouse.move(*spot(page, 0, 2))
    page.mouse.down()
    page.mouse.move(*spot(page, 0, 5), steps=2)
    page.mouse.up()
    until(page, "() => fabricsim.table.scene.chart[0][5] === 1")
    at_rest(page)
    assert chart(page)[0] == [0, 0, 1, 1, 1, 1, 0, 0]
    assert page.evaluate("() => fabricsim.table.scene.undo") == steps + 1
    changed(page, lambda: page.keyboard.press("Control+z"))
    assert chart(page) == before
    changed(page, lambda: page.keyboard.press("Control+y"))
    assert chart(page)[0][2:6] == [1, 1, 1, 1]


def test_by_keyboard_alone(lying: Seen) -> None:
    page = lying.page
    page.locator("#cloth").focus()
    page.keyboard.press("2")
    before = page.evaluate("() => fabricsim.bench.places.square(fabricsim.bench.under)")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    row, column = page.evaluate("() => fabricsim.bench.places.square(fabricsim.bench.under)")
    assert (row, column) == ((before[0] + 1) % 5, (before[1] + 1) % 8)
    was = chart(page)[row][column]
    page.keyboard.press("1" if was else "2")
    changed(page, lambda: page.keyboard.press("Space"))
    assert chart(page)[row][column] == 1 - was
    changed(page, lambda: page.keyboard.press("u"))
    assert chart(page)[row][column] == was


def test_the_status_says_row_stitch_yarn_and_what_is_behind(lying: Seen) -> None:
    page = lying.page
    page.mouse.move(*spot(page, 2, 3))
    until(page, "() => document.getElementById('stitch').textContent.startsWith('Row 3, stitch 5')")
    said = page.locator("#stitch").inner_text()
    assert YARN in said
    assert "ink passes 4 stitches" in said
    page.mouse.move(*spot(page, 4, 6))
    until(page, "() => document.getElementById('stitch').textContent.includes('6 stitches, over your limit')")
    page.mouse.move(*spot(page, 0, 0))
    until(page, "() => document.getElementById('stitch').textContent.includes('nothing passes behind')")


def test_a_row_in_words_both_ways(lying: Seen) -> None:
    page = lying.page
    page.mouse.move(*spot(page, 2, 0))
    field = page.locator("#row")
    until(page, "() => document.getElementById('row').value.endsWith('1 ink')")
    assert field.input_value() == f"1 {YARN}, 2 ink, 4 {YARN}, 1 ink"
    field.fill("2 ink, 6 nothing")
    field.press("Enter")
    assert "nothing" in page.locator("#row_fault").inner_text()
    field.fill("2 ink")
    field.press("Enter")
    assert "2 stitches; the row has 8" in page.locator("#row_fault").inner_text()
    field.fill(f"ink, 2 {YARN}, 5 ink")
    changed(page, lambda: field.press("Enter"))
    assert chart(page)[2] == [1, 1, 1, 1, 1, 0, 0, 1]
    assert page.locator("#row_fault").inner_text() == ""


def test_words_of_rows_are_read_as_they_are_said(lying: Seen) -> None:
    found = lying.page.evaluate(
        """async () => {
            const { rowRead, rowSaid } = await import("/page/hands/row_words.js");
            const names = ["oat", "oak", "Dark teasel"], out = [];
            for (const row of [[0], [1, 1, 2, 0], [2, 2, 2], [0, 1, 2, 0, 1, 2]])
                for (const left of [false, true])
                    out.push([row, rowRead(rowSaid(row, names, left), names, row.length, left)]);
            const read = (words, width, left) => rowRead(words, names, width, left);
            return [out, read("3 oa", 3), read("dark x 2, 1 OAT", 3, true), read("", 1), read("0 oat", 1)];
        }"""
    )
    assert all(read == {"yarns": row} for row, read in found[0])
    assert found[1]["fault"]["kind"] == "name"  # oat or oak?
    assert found[2] == {"yarns": [2, 2, 0]}
    assert found[3]["fault"] == {"kind": "count", "given": 0, "wanted": 1}
    assert found[4]["fault"]["kind"] == "part"


def test_the_slider_draws_the_fabric_in_and_is_one_step(lying: Seen) -> None:
    page = lying.page
    wide = page.evaluate("() => fabricsim.table.said.width_cm")
    steps = page.evaluate("() => fabricsim.table.scene.undo")
    slider = page.locator("#slack_range")
    slider.focus()
    for _ in range(4):
        page.keyboard.press("ArrowLeft")
    until(page, "() => fabricsim.table.scene.slack < -0.055")
    at_rest(page)
    assert page.evaluate("() => fabricsim.table.said.width_cm") < wide
    assert "6.0 % too short" in page.locator("#slack_words").inner_text()
    assert "6.0 % too short" in (slider.get_attribute("aria-valuetext") or "")
    assert page.evaluate("() => fabricsim.table.scene.undo") <= steps + 4  # one, unless the machine dozed between keys
    page.keyboard.press("End")
    until(page, "() => fabricsim.table.scene.slack === 0.25")
    at_rest(page)
    assert page.evaluate("() => fabricsim.table.said.width_cm") > wide


def test_the_drawn_float_is_as_long_as_it_says(lying: Seen) -> None:
    """The sag of a parabola, held against its length by Simpson's rule."""
    for slack in (0.01, 0.1, 0.25):
        sag = lying.page.evaluate("async (slack) => (await import('/page/hands/slack.js')).sag(100, slack)", slack)
        steps = 2000
        slope = [4.0 * sag / 100.0 * (1.0 - 2.0 * k / steps) for k in range(steps + 1)]
        weights = [1 if k in (0, steps) else 4 if k % 2 else 2 for k in range(steps + 1)]
        long = sum(w * (1.0 + s * s) ** 0.5 for w, s in zip(weights, slope, strict=True)) * 100.0 / steps / 3.0
        assert long == pytest.approx(100.0 * (1.0 + slack), rel=1e-6)


def test_mirrored_stitches_go_together(seen: Seen) -> None:
    page = seen.page
    take(page, 1)
    page.get_by_label("Mirrored").select_option("both")
    changed(page, lambda: page.mouse.click(*spot(page, 0, 1)))
    found = chart(page)
    assert [(r, c) for r in (0, 4) for c in range(8) if found[r][c]] == [(0, 1), (0, 6), (4, 1), (4, 2), (4, 3), (4, 6)]


@pytest.mark.parametrize("symmetry", ["none", "across", "up", "both", "half"])
def test_what_goes_together_goes_together_from_each_of_them(lying: Seen, symmetry: str) -> None:
    groups = lying.page.evaluate(
        """async (symmetry) => {
            const { together } = await import("/page/cloth/symmetry.js");
            const chart = { width: 7, height: 6, wrapped: (c) => ((c % 7) + 7) % 7, wrappedUp: (r) => r }, out = [];
            for (const axis of [{ row: 5, column: 6 }, { row: 4, column: 3 }]) {
                const all = (r, c) => together(chart, symmetry, axis, r, c);
                for (let r = 0; r < 6; r++) for (let c = 0; c < 7; c++)
                    out.push(all(r, c).map(([a, b]) => all(a, b).map(String).sort().join(" ")));
            }
            return out;
        }""",
        symmetry,
    )
    assert all(len(set(group)) == 1 for group in groups)
    assert max(map(len, groups)) == {"none": 1, "both": 4}.get(symmetry, 2)


def test_a_part_is_framed_copied_and_laid_over_the_edge(seen: Seen) -> None:
    page = seen.page
    before = chart(page)
    page.locator("[data-tool=frame]").click()
    page.mouse.move(*spot(page, 2, 5))
    page.mouse.down()
    page.mouse.move(*spot(page, 4, 6), steps=4)
    page.mouse.up()
    assert page.evaluate("() => fabricsim.bench.box") == {"row": 2, "column": 5, "rows": 3, "columns": 2}
    page.locator("[data-motif=copy]").click()
    page.locator("#cloth").focus()
    page.mouse.move(*spot(page, 0, 7))
    changed(page, lambda: page.locator("[data-motif=paste]").click())
    after = chart(page)
    for row in range(3):
        assert [after[row][7], after[row][0]] == before[row + 2][5:7]


def test_a_shift_goes_round_the_edge_of_the_repeat(seen: Seen) -> None:
    page = seen.page
    before = chart(page)
    page.locator("[data-tool=frame]").click()
    page.locator("[data-motif=all]").click()
    changed(page, lambda: page.locator("[data-motif=right]").click())
    assert chart(page) == [[row[-1], *row[:-1]] for row in before]
    changed(page, lambda: page.locator("[data-motif=across]").click())
    assert chart(page) == [[row[-1], *row[:-1]][::-1] for row in before]


def test_a_pin_stands_beside_the_cloth_and_its_float_can_be_caught(lying: Seen) -> None:
    page = lying.page
    pins = page.locator("#pins button:visible")
    assert pins.count() == page.evaluate("() => fabricsim.table.counts.repeat.filter((one) => one.over).length") == 1
    right = page.evaluate(
        "() => { const s = fabricsim.bench.places.now(); let most = 0;"
        " for (let n = 0; n < s.length / 4; n++) if (s[4 * n + 3] === 1) most = Math.max(most, s[4 * n]); return most }"
    )
    cloth, pin = page.locator("#cloth").bounding_box(), pins.first.bounding_box()
    assert cloth is not None
    assert pin is not None
    assert pin["x"] - cloth["x"] > right  # it covers no stitch
    assert "ink passes behind 6 stitches" in (pins.first.get_attribute("aria-label") or "")
    pins.first.click()
    changed(page, lambda: page.get_by_role("button", name="Catch it in the middle").click())
    until(page, "() => fabricsim.table.counts.over === 0")  # planned catches are counted a moment later
    assert page.locator("#pins button:visible").count() == 0
    assert page.evaluate("() => fabricsim.table.scene.catches") == "listed"


def test_a_fault_appears_before_any_solve(lying: Seen) -> None:
    page = lying.page
    take(page, 0)
    page.mouse.click(*spot(page, 3, 4))
    page.mouse.click(*spot(page, 3, 4))
    until(page, "() => fabricsim.table.counts.repeat.some((one) => one.row === 3 && one.gap === 7 && one.over)")
    assert page.locator("#pins button", has_text="7").count() == 1


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


def test_a_fine_picture_is_drawn_in_parts_and_is_the_one_that_is_drawn_at_once(drawn: Seen) -> None:
    """Where the processor draws, a change never waits for more than one part; dot for dot the same comes of it."""
    page = drawn.page
    page.evaluate("() => { fabricsim.bench.glass = true; fabricsim.bench.stage.glass = [600, 300, 90]; }")
    page.evaluate("() => { const { stage } = fabricsim.bench; stage.changes += 1; stage.ask(false); }")
    page.evaluate(
        """() => {
        const { stage } = fabricsim.bench, { slowly } = stage, most = { parts: 0, seen: [] };
        window.most = most;
        const begin = slowly.begin;
        slowly.begin = function (shown, size, parts, done) {
            most.parts = Math.max(most.parts, parts.length);
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
    until(page, "() => fabricsim.bench.stage.shown.grade === 2")
    assert page.evaluate("() => most.parts") > 8
    at_once = """() => {
        const { stage } = fabricsim.bench, { drawn } = stage;
        drawn.parts = () => [[0, drawn.count]];
        stage.fine = true;
        stage.draw(false);
        stage.fine = false;
        delete drawn.parts;
        const all = read(), seen = most.seen.at(-1);
        const different = all.reduce((sum, one, k) => sum + (one !== seen[k] ? 1 : 0), 0);
        return [all.length, seen.length, different, new Set(all).size];
    }"""
    size, drawn, different, shades = page.evaluate(at_once)
    assert size == drawn
    assert shades > 100
    assert different == 0


def test_what_is_drawn_finely_is_not_drawn_again_because_a_change_is_expected(drawn: Seen) -> None:
    page = drawn.page
    until(page, "() => fabricsim.bench.stage.shown.grade === 2")
    drawn = page.evaluate(
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
    assert drawn == 0
    assert page.evaluate("() => fabricsim.bench.stage.shown.grade") == 2


def test_the_smoothed_picture_waits_for_the_fine_one(drawn: Seen) -> None:
    page = drawn.page
    until(page, "() => fabricsim.bench.stage.shown.grade === 2")
    begun = page.evaluate(
        """async () => {
        const { stage } = fabricsim.bench, { slowly } = stage, begin = slowly.begin, begun = [];
        slowly.begin = function (shown, size, parts, done) {
            begun.push([shown.grade, stage.shown.grade]);
            if (shown.grade === 1) setTimeout(() => stage.polish(), 0); // as on a machine that is too slow for it
            begin.call(this, shown, size, parts, done);
        };
        stage.changes += 1;
        stage.ask(false);
        while (begun.at(-1)?.[0] !== 2) await new Promise((done) => requestAnimationFrame(done));
        delete slowly.begin;
        return begun;
    }"""
    )
    assert begun == [[1, 2], [2, 1]]  # how fine what begins is, and what is on the canvas then
    until(page, "() => fabricsim.bench.stage.shown.grade === 2")


def test_the_other_side_and_the_squares(seen: Seen) -> None:
    page = seen.page
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


def test_what_it_says_leads_to_the_place(told: Seen) -> None:
    page = told.page
    assert re.match(r"\d+\.\d cm → \d+\.\d cm", page.locator("#note .width").inner_text())
    until(page, "() => document.querySelector('#says').textContent.includes('likely ')")
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


def test_planned_catches_are_marked_on_the_squares(seen: Seen) -> None:
    page = seen.page
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


def test_setting_the_table(lying: Seen) -> None:
    page = lying.page
    page.locator("#set").click()
    field = page.locator("[data-key='gauge.stitches']")
    field.fill("22")
    changed(page, lambda: field.press("Tab"))
    assert page.evaluate("() => fabricsim.table.scene.gauge[0]") == 22
    field.fill("-3")
    field.press("Tab")
    until(page, "() => document.querySelector('dialog[open] .fault').textContent")
    assert "gauge" in page.locator("dialog[open] .fault").inner_text()
    assert page.evaluate("() => fabricsim.table.scene.gauge[0]") == 22
    changed(page, lambda: page.get_by_role("button", name="One more yarn").click())
    assert page.locator("#basket button").count() == 3
    changed(page, lambda: page.locator("[data-key=units]").select_option("inch"))
    page.get_by_role("button", name="Done").click()
    assert " in → " in page.locator("#note .width").inner_text()


def test_a_finger_aims_with_the_needle_and_the_stitch_stays_in_sight(browser: Browser, laid: Laid) -> None:
    seen = looking(browser, laid.address, 390, 844, sketched=True, has_touch=True)
    page = seen.page
    page.evaluate("() => document.getElementById('cloth').scrollIntoView()")
    take(page, 1)
    x, y = spot(page, 0, 3)
    page.evaluate(
        """([x, y]) => {
            const cloth = document.getElementById("cloth");
            cloth.setPointerCapture = () => {};
            const at = (type, dx, dy) => {
                const there = { pointerId: 7, pointerType: "touch", clientX: x + dx, clientY: y + dy, bubbles: true };
                cloth.dispatchEvent(new PointerEvent(type, there));
            };
            at("pointerdown", 60, 80); at("pointermove", 40, 60); at("pointermove", 30, 46); at("pointerup", 30, 46);
        }""",
        [x, y],
    )
    until(page, "() => fabricsim.table.scene.chart[0][3] === 1")
    changed(page, lambda: page.evaluate("() => fabricsim.table.ask({ kind: 'undo' })"))
    own(seen, laid.port)
    page.close()


@pytest.mark.parametrize(("width", "scheme"), [(320, "light"), (390, "dark"), (1360, "dark"), (1920, "light")])
def test_axe_finds_no_barrier_and_nothing_runs_over(seen: Seen, width: int, scheme: Literal["light", "dark"]) -> None:
    page = seen.page
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 900})
    assert barriers(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.locator("[data-tool=frame]").click()
    page.locator("#make").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert barriers(page) == []
    page.keyboard.press("Escape")
    page.locator("#set").click()
    assert barriers(page) == []


def test_a_class_walks_through_why(seen: Seen) -> None:
    page = seen.page
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


def test_every_word_on_the_page_is_from_the_file_of_words(laid: Laid) -> None:
    import fabricsim.table

    page = Path(fabricsim.table.__file__).parent / "page"
    html = (page / "index.html").read_text("utf-8")
    assert re.findall(r"\s(?:style|on\w+)=", html) == []
    for tag, inside in re.findall(r"<(h\d|p|button|label|a|figcaption)\b[^>]*>([^<]+)<", html):
        assert inside.strip() in ("", "fabricsim"), (tag, inside)
    words = "".join(one.read_text("utf-8") for one in (page / "words.js", *(page / "words").iterdir()))
    for key in re.findall(r'data-(?:say|label)="(\w+)"', html):
        assert re.search(rf"^    {key}:", words, re.MULTILINE), key


def test_what_pulls_colours_the_cloth_and_a_square_that_would_free_it_is_tried_and_taken_back(seen: Seen) -> None:
    page = seen.page
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


def test_ways_that_are_found_are_tried_by_keyboard_and_can_be_stopped(seen: Seen) -> None:
    page = seen.page
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
