"""A report's page from made-up blocks, without a browser."""

from __future__ import annotations

import numpy as np
from PIL import Image

from fabricsim.render.handouts.report import (
    BROADEST_PX,
    RIM_PX,
    SQUARE_PX,
    Chapter,
    Fields,
    Figure,
    Figures,
    Items,
    Notes,
    Report,
    TableBlock,
    Text,
    fitted,
    readable,
    report_page,
)

BLOCKS = (
    Text("A plain <i>text</i>"),
    Text("A strong text", strong=True),
    Items(("one item", "another")),
    Items(("Rnd 1: knit",), tick=True),
    TableBlock("A table", (("what", "left"), ("cm", "right")), (("wide", "3"), ("tall", "4")), frozenset({1})),
    Figures((Figure(Image.new("RGB", (8, 8)), "its caption", "its alt"),)),
    Fields((("measured", "6.0 cm", "mm"),)),
    Notes("What you would change:"),
)


def test_everything_is_on_the_page_and_names_do_no_harm() -> None:
    text = report_page(
        Report("A <b>hat</b>", ("about it",), ("beware",), (Chapter("first", "First part", BLOCKS),), ("at the foot",))
    )
    assert "<b>hat" not in text
    assert "<i>text" not in text
    for part in ("A &lt;b&gt;hat&lt;/b&gt;", "about it", "beware", "First part", "at the foot", 'id="first"', "#first",
                 "A plain &lt;i&gt;text&lt;/i&gt;", "A strong text", "one item", "another", "Rnd 1: knit", "A table",
                 "what", "wide", "3", "tall", "its caption", 'alt="its alt"', "data:image/webp;base64", "measured",
                 "6.0 cm", "mm", "What you would change:"):  # fmt: skip
        assert part in text, part
    assert "default-src 'none'" in text.replace("&#39;", "'")
    assert text.index("beware") < text.rindex("First part") < text.index("at the foot")


def drawn(size: tuple[int, int], box: tuple[int, int, int, int]) -> Image.Image:
    image = Image.new("RGB", size, "white")
    image.paste((200, 30, 30), box)
    return image


def test_a_picture_is_no_broader_than_a_screen_wants() -> None:
    assert fitted(Image.new("RGB", (2 * BROADEST_PX, 400))).size == (BROADEST_PX, 200)
    small = Image.new("RGB", (300, 200), (1, 2, 3))
    assert fitted(small).size == (300, 200)
    assert fitted(small) is not small
    assert fitted(Image.new("RGB", (100, 40_000))).size == (14, 4 * BROADEST_PX)


def test_a_chart_is_cut_down_to_what_is_on_it_and_a_rim_of_paper() -> None:
    cut, wide = readable(drawn((600, 800), (100, 200, 180, 260)), square=10.0, dpi=96.0)
    assert cut.size == (80 + 2 * RIM_PX, 60 + 2 * RIM_PX)
    assert wide == cut.width  # at 96 dots to an inch as many CSS pixels
    assert (np.asarray(cut)[RIM_PX:-RIM_PX, RIM_PX:-RIM_PX] == (200, 30, 30)).all()
    assert (np.asarray(cut)[:RIM_PX] == 255).all()
    assert readable(Image.new("RGB", (30, 20), "white"), square=10.0, dpi=96.0)[0].size == (30, 20)


def test_a_chart_is_shown_as_large_as_in_print_and_its_squares_no_smaller_than_words() -> None:
    sheet = drawn((2400, 1200), (RIM_PX, RIM_PX, 2400 - RIM_PX, 1200 - RIM_PX))
    print_size, wide = readable(sheet, square=10.0, dpi=300.0)
    assert wide == round(2400 * 96 / 300)
    assert print_size.size == (2 * wide, wide)
    larger, wide = readable(sheet, square=3.0, dpi=300.0)  # 3 mm are 11 px, and 20 are wanted
    assert wide == round(2400 / 300 * 25.4 / 3.0 * SQUARE_PX)
    assert larger.size == (2400, 1200)


def test_a_picture_is_shown_as_large_as_it_is_or_as_it_must() -> None:
    image = Image.new("RGB", (300, 150))
    assert Figure(image, "c", "a").shown == (300, 150)
    assert Figure(image, "c", "a", least_px=1000).shown == (1000, 500)


def test_the_rim_of_what_reaches_the_edge_is_paper_too() -> None:
    cut = np.asarray(readable(drawn((60, 40), (0, 0, 60, 40)), square=10.0, dpi=96.0)[0])
    assert cut.shape == (40 + 2 * RIM_PX, 60 + 2 * RIM_PX, 3)
    assert (cut[:RIM_PX] == 255).all()
    assert (cut[:, -RIM_PX:] == 255).all()


def test_a_very_tall_chart_is_not_made_narrower() -> None:
    tall, wide = readable(drawn((300, 9000), (RIM_PX, RIM_PX, 300 - RIM_PX, 9000 - RIM_PX)), square=10.0, dpi=300.0)
    assert wide == 96
    assert tall.size == (2 * wide, round(9000 * 2 * wide / 300))
