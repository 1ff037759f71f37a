"""What a knitter sees in motifs: by eye, and the same however a motif is laid."""

from __future__ import annotations

import pytest

from fabricsim.study.motifs.classes import motifs
from fabricsim.study.motifs.kinds import Kind, kind_of
from tests.study.motifs.test_classes import ways_of

SEEN: dict[str, Kind | None] = {
    "x..": "columns",
    "xx.. xx..": "columns",
    "x. .x": "checks",
    "xxx... ...xxx": "checks",
    "xx.. xx.. ..xx ..xx": "checks",
    "xx. ..x": None,  # squares of unequal size
    "x... .x.. ..x. ...x": "diagonal",
    "xx... .xx.. ..xx. ...xx x...x": "diagonal",
    "xxx... ..xxx. x...xx": "diagonal",  # two stitches a row, and still touching
    "x..... ..x... ....x.": "dots",  # which touch nowhere
    "x... .x.. ..x. .x..": "zigzag",
    "x.. .x.": "zigzag",
    "x... .... ..x. ....": "dots",
    "xxx. xxxx": "dots",
    "x... xx..": None,
    "xx... .....": "dashes",
    "x.. x.. ...": "posts",
    "xx. xx. ...": "blocks",
    "xx... xx... ..... ...x. .....": None,  # blocks and dots
    "x.... xx... .....": None,
    "xx xx x.": "dots",
}
"""Motifs as printed, their rows parted by spaces, and what they are."""


@pytest.mark.parametrize("printed", SEEN)
def test_what_is_seen_in_a_motif(printed: str) -> None:
    rows = tuple(tuple(".x".index(one) for one in row) for row in reversed(printed.split()))
    assert kind_of(rows) == SEEN[printed]


def test_it_is_the_same_however_a_motif_is_laid() -> None:
    for motif in (*motifs(4, 3), *motifs(2, 5)[::3]):
        assert {kind_of(one) for one in ways_of(tuple(map(tuple, motif.chart_ij)))} == {motif.kind}
