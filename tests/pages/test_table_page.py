"""The table as its users meet it: painting, hands, undo, a part, the margins, by mouse, by keys and by touch."""

from __future__ import annotations

import pytest

from tests.pages.conftest import YARN
from tests.pages.laid import at_rest, changed, chart, spot, take, until
from tests.pages.watching import Seen


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


def test_mirrored_stitches_go_together(lying: Seen) -> None:
    page = lying.page
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


def test_a_part_is_framed_copied_and_laid_over_the_edge(lying: Seen) -> None:
    page = lying.page
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


def test_a_shift_goes_round_the_edge_of_the_repeat(lying: Seen) -> None:
    page = lying.page
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


def test_a_finger_aims_with_the_needle_and_the_stitch_stays_in_sight(lying: Seen) -> None:
    page = lying.page
    page.set_viewport_size({"width": 390, "height": 844})
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
