"""What the table keeps: files, other tabs, a server that dies; what it refuses; and random use."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from fabricsim.design.scene.read import read_scene
from tests.pages.conftest import REMARK
from tests.pages.laid import SCENE_FILE, Laid, at_rest, changed, chart, looking, own, spot, until
from tests.pages.leaving import taken_back
from tests.pages.monkey import Monkey
from tests.pages.watching import Seen
from tests.support.laying import NEVER
from tests.support.little import little

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

STEPS = 50
"""Of random use in the suite."""


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "my hat.toml"
    path.write_text("# mine, and mine alone\n" + little(floats="slack = -0.04"), "utf-8")
    return path


def knit(page: Page, row: int, column: int, yarn: int) -> None:
    """Knit one stitch."""
    page.locator("#basket button").nth(yarn).click()
    changed(page, lambda: page.mouse.click(*spot(page, row, column)))


def dropped(page: Page, *files: tuple[str, bytes]) -> None:
    """Drop files on the page."""
    page.evaluate(
        """(files) => {
            const bag = new DataTransfer();
            for (const [name, bytes] of files) bag.items.add(new File([new Uint8Array(bytes)], name));
            document.dispatchEvent(new DragEvent("drop", { dataTransfer: bag, bubbles: true, cancelable: true }));
        }""",
        [[name, list(data)] for name, data in files],
    )


def test_what_is_kept_is_what_the_commands_read_and_what_others_wrote_is_not_written_over_unasked(
    lying: Seen, laid: Laid
) -> None:
    page, scene = lying.page, laid.folder / SCENE_FILE
    knit(page, 0, 2, 1)
    assert page.locator("#keep").inner_text() == "Keep"
    page.locator("#keep").click()
    page.get_by_role("button", name="Write it").click()
    until(page, "() => fabricsim.table.scene.kept")
    assert page.locator("#keep").inner_text() == "Kept"
    text = scene.read_text("utf-8")
    assert text.startswith(REMARK)
    read = read_scene(scene)
    assert [list(row) for row in read.chart_rows()] == chart(page)
    assert read.chart_rows()[0][2] == 1
    page.reload()
    at_rest(page)
    assert chart(page)[0][2] == 1

    knit(page, 0, 5, 1)
    assert "slack = -0.04" in text
    theirs = text.replace("slack = -0.04", "slack = -0.03")
    scene.write_text(theirs, "utf-8")
    page.locator("#keep").click()
    page.get_by_role("button", name="Write it").click()
    over = page.get_by_role("button", name="Write over it")
    over.wait_for()
    assert scene.read_text("utf-8") == theirs
    over.click()
    until(page, "() => fabricsim.table.scene.kept")
    assert read_scene(scene).chart_rows()[0] == (0, 0, 1, 0, 0, 1, 0, 0)


def test_a_server_that_dies_in_the_middle_loses_nothing(browser: Browser, tmp_path: Path, scene: Path) -> None:
    first = Laid(tmp_path, scene, still=NEVER)
    seen = looking(browser, first.address, sketched=True)
    page = seen.page
    knit(page, 0, 2, 0)
    first.die()
    until(page, "() => document.body.classList.contains('lost')")
    assert "does not answer" in page.locator("#told").inner_text()
    second = Laid(tmp_path, scene, first.port, still=NEVER)
    until(page, "() => !document.body.classList.contains('lost')")  # by itself
    page.get_by_role("button", name="Go on with it").click()
    until(page, "() => fabricsim.table.scene.chart[0][2] === 0")
    at_rest(page)
    changed(page, lambda: page.evaluate("() => fabricsim.table.ask({ kind: 'undo' })"))
    assert chart(page)[0][2] == 1
    page.close()
    second.end()


def test_a_wrong_file_is_told_and_changes_nothing(lying: Seen) -> None:
    page = lying.page
    before = chart(page)
    for name, data in (("notes.pdf", b"%PDF-1.4 no chart"), ("chart.txt", b"..b\n.b\n"), ("x.toml", b"title = 1\n")):
        dropped(page, (name, data))
        until(page, "() => document.querySelector('#told [data-key=trouble]')")
        assert len(page.locator("#told [data-key=trouble] span").inner_text()) > 20
        assert chart(page) == before
        page.locator("#told .close").first.click()
    dropped(page, ("chart.txt", b"bb..\n..bb\n"))
    until(page, "() => fabricsim.table.scene.chart.length === 2")
    assert chart(page) == [[0, 0, 1, 1], [1, 1, 0, 0]]
    changed(page, lambda: page.evaluate("() => fabricsim.table.ask({ kind: 'undo' })"))
    assert chart(page) == before


def test_two_tabs_show_one_piece(browser: Browser, lying: Seen, laid: Laid) -> None:
    one, two = lying, looking(browser, laid.address, sketched=True)
    until(one.page, "() => document.querySelector('#told [data-key=tabs]')")
    knit(one.page, 0, 3, 1)
    until(two.page, "() => fabricsim.table.scene.chart[0][3] === 1")
    at_rest(two.page)
    own(two, laid.port)
    two.page.close()
    until(one.page, "() => !document.querySelector('#told [data-key=tabs]')")


def test_a_wrong_address_is_told(browser: Browser, laid: Laid) -> None:
    page = browser.new_page()
    page.goto(f"http://127.0.0.1:{laid.port}/#not-the-secret")
    until(page, "() => document.getElementById('told').textContent.includes('right address')")
    page.close()


def test_the_pattern_is_made_shown_and_can_be_printed(lying: Seen) -> None:
    page = lying.page
    page.locator("#make").click()
    page.locator("[data-job=rounds]").click()
    until(page, "() => document.querySelector('.result .words')")
    words = page.locator(".result .words").inner_text()
    assert "milk" in words
    page.emulate_media(media="print")
    assert page.locator(".result .words").is_visible()
    assert page.locator("header.shelf:visible, .menu:visible, #note:visible").count() == 0
    assert page.pdf().count(b"/Type /Page\n") >= 1
    page.emulate_media(media="screen")
    page.locator("[data-job=chart]").click()
    until(page, "() => document.querySelector('.result a[download]')")
    with page.expect_download() as downloading:
        page.locator(".result a[download]").first.click()
    assert downloading.value.path().read_bytes().startswith(b"%PDF")
    assert lying.complaints == []


def test_a_job_is_stopped(lying: Seen) -> None:
    page = lying.page
    page.locator("#make").click()
    page.locator("[data-job=lesson]").click()
    until(page, "() => fabricsim.making.job !== null")
    page.locator(".making").get_by_role("button", name="Stop").click()
    until(page, "() => document.querySelector('.result')?.textContent.includes('Stopped')")
    assert lying.complaints == []


def test_without_webgl_the_server_draws(browser: Browser, laid: Laid) -> None:
    page = browser.new_page(viewport={"width": 400, "height": 500})
    page.add_init_script(
        """const plain = HTMLCanvasElement.prototype.getContext;
        HTMLCanvasElement.prototype.getContext = function (kind, ...more) {
            return kind === "webgl2" ? null : plain.call(this, kind, ...more);
        };"""
    )
    page.goto(laid.address)
    until(page, "() => document.getElementById('picture').naturalWidth > 200")
    assert page.locator("#picture").is_visible()
    wide = page.evaluate("() => document.getElementById('cloth').getBoundingClientRect().width")
    dots = page.evaluate("() => document.getElementById('picture').naturalWidth")
    assert dots == round(wide)  # no more than are seen
    said = page.locator("#told p", has_text="no 3-D")  # at the foot, until it is put away
    said.get_by_role("button").click()
    assert said.count() == 0
    assert page.locator("#canvas:visible").count() == 0
    page.close()


@pytest.mark.parametrize("seed", [3])
def test_random_use_does_no_harm(browser: Browser, telling: Laid, seed: int) -> None:
    seen = looking(browser, telling.address, 800, 560)
    monkey = Monkey(seen.page, seed)
    for _ in range(STEPS):
        monkey.step()
        assert seen.complaints == [], monkey.done[-12:]
    at_rest(seen.page)
    own(seen, telling.port)
    taken_back(seen.page)
    seen.page.evaluate("() => fabricsim.table.look(null)")
    seen.page.close()
