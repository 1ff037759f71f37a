"""The page in 3-D of what is worn: a body stands in the tube, behind its near yarn and before the far."""

from __future__ import annotations

from base64 import b64decode
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from fabricsim.arrays import AnyArray
from fabricsim.fabric.form import shapes
from fabricsim.render.handouts.lesson_solid import solid_page
from tests.pages.watching import WIDTHS, Seen
from tests.render.fabrics import MOTIF, fabric

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PICTURE = """([body, yarn]) => {
    const { stage } = fabricsim, { gl, canvas } = stage, { count } = stage.body, { parts } = stage.drawn;
    if (!body) stage.body.count = 0;
    if (!yarn) stage.drawn.parts = () => [];
    stage.fit();
    stage.camera.pitch = 0.8;  // down into the tube, so that its far side is seen too
    stage.camera.update();
    stage.draw(true);
    const dots = new Uint8Array(4 * canvas.width * canvas.height);
    gl.readPixels(0, 0, canvas.width, canvas.height, gl.RGBA, gl.UNSIGNED_BYTE, dots);
    [stage.body.count, stage.drawn.parts] = [count, parts];
    let text = "";
    for (let k = 0; k < dots.length; k += 8192) text += String.fromCharCode(...dots.subarray(k, k + 8192));
    return btoa(text);
}"""
GREY = 1.2
"""Most that a body is redder than blue (derived: plaster in white light by 1.09, and its darkest by a level more)."""


def picture(page: Page, *, body: bool, yarn: bool) -> AnyArray:
    """Return what is seen of either, (pixels, 4) red, green, blue and what covers the ground, 0 to 255."""
    return np.frombuffer(b64decode(page.evaluate(PICTURE, [body, yarn])), np.uint8).astype(np.int64).reshape(-1, 4)


def test_a_body_hides_the_yarn_behind_it_and_is_hidden_by_the_yarn_before_it(browser: Browser, tmp_path: Path) -> None:
    rest = fabric(MOTIF, "round", across=2)
    inside = float(np.hypot(rest.x_nc[:, 0], rest.x_nc[:, 2]).min()) - rest.mesh.thickness
    file = tmp_path / "worn.html"
    form = shapes.head(2.0 * np.pi * inside)
    file.write_text(solid_page(rest, title="worn", said="", back="x.html", form=form), encoding="utf-8")
    seen = Seen(browser.new_page(viewport={"width": WIDTHS[0], "height": 600}))
    seen.page.goto(file.as_uri())
    seen.page.locator("canvas[data-ready]").wait_for()
    both = picture(seen.page, body=True, yarn=True)
    yarn, body = picture(seen.page, body=False, yarn=True), picture(seen.page, body=True, yarn=False)
    shown = (both != yarn).any(axis=1)
    solid = body[:, 3] > 0
    assert (both[shown] == body[shown]).all()  # where the yarn alone is not what is seen it is the body
    there = solid & (yarn[:, 3] > 0)
    assert 0.05 < shown[there].mean() < 0.95  # before the far yarn and behind the near
    assert shown[solid & ~there].all()
    red, green, blue = body[solid, :3].T
    assert ((red >= green) & (green >= blue) & (red <= GREY * blue)).all()
    seen.quiet()
    seen.page.close()
