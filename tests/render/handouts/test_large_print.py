"""Large print: 24 points, within the margins, no row parted that fits on a page."""

from __future__ import annotations

import io
import re
from itertools import pairwise

import pytest
from matplotlib.figure import Figure

from fabricsim.render.handouts import large_print
from fabricsim.render.handouts.large_print import LargePrint, large_print_html, large_print_pdf
from tests.render.written import assert_tidy, words_on

ROWS = tuple(
    (f"Row {number}", f"Knit {number} with milk, then purl as many as there are, and so on to the end.")
    for number in range(1, 13)
)
TEXT = LargePrint("A <b>hat</b>", ("First lead", "Second lead"), ROWS)


def pages(text: LargePrint, monkeypatch: pytest.MonkeyPatch) -> list[Figure]:
    """Return the figures of all pages."""
    made: list[Figure] = []

    def keep(figures: object, title: str) -> bytes:
        made.extend(figures)  # type: ignore[call-overload]
        return title.encode()

    monkeypatch.setattr(large_print, "figures_pdf", keep)
    assert large_print_pdf(text) == text.title.encode()
    return made


def test_pages_of_a4_in_letters_of_24_points(monkeypatch: pytest.MonkeyPatch) -> None:
    made = pages(TEXT, monkeypatch)
    assert len(made) > 2
    said = []
    for number, figure in enumerate(made, start=1):
        assert [inches * 25.4 for inches in figure.get_size_inches()] == pytest.approx([210.0, 297.0])
        words = assert_tidy(figure, 17.5)
        assert {text.get_fontsize() for text in figure.texts} == {24.0}
        assert {round(one.left) for one in words} <= {20, 21, 22}
        assert words[-1].text == f"Page {number} of {len(made)}"
        assert words[-1].bottom == pytest.approx(297.0 - 20.0, abs=3.0)
        assert words[0].top == pytest.approx(20.0, abs=4.0)
        said += [one.text for one in words[:-1]]
    assert " ".join(said) == " ".join([TEXT.title, *TEXT.lead, *(part for row in ROWS for part in row)])


def test_headings_are_bold_and_stand_with_their_row(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = []
    for figure in pages(TEXT, monkeypatch):
        texts = figure.texts
        bold = [text.get_text() for text in texts if text.get_fontweight() == "bold"]
        assert bold == [text.get_text() for text in texts if re.fullmatch(r"Row \d+|A <b>hat</b>", text.get_text())]
        assert not texts[-2].get_text().startswith("Row ")  # no heading at the foot of a page
        steps += [
            round(297.0 * (one.get_position()[1] - other.get_position()[1]) / (25.4 / 72.0), 1)
            for one, other in pairwise(texts[:-1])
        ]
    assert set(steps) == {32.4, 32.4 + 14.4}  # lines, and the gap between two rows


def test_a_row_longer_than_a_page_goes_on_overleaf(monkeypatch: pytest.MonkeyPatch) -> None:
    long = LargePrint("Long", (), (("Row 1", "knit one " * 200),))
    made = pages(long, monkeypatch)
    assert len(made) > 1
    assert " ".join(one.text for figure in made for one in words_on(figure)[:-1]).count("knit one") == 200
    for figure in made:
        assert_tidy(figure, 17.5)


def test_as_a_page_that_flows_and_a_file() -> None:
    text = large_print_html(TEXT)
    assert "A &lt;b&gt;hat&lt;/b&gt;" in text
    assert "<b>hat" not in text
    for part in ("First lead", "Second lead", *(part for row in ROWS for part in row)):
        assert part in text
    assert "24pt" in text
    assert "default-src 'none'" in text.replace("&#39;", "'")
    assert io.BytesIO(large_print_pdf(TEXT)).read(5) == b"%PDF-"
