"""Another chart in a scene's own text: read back, it says that and nothing else."""

from __future__ import annotations

import tomllib

import pytest

from fabricsim.design.counted.chart_in_text import printed_rows, text_with_chart

TAIL = '\nacross = 3  # repeats\n\n[gauge]\nstitches = 19\n# rows = ["no"]\n'
DRAWN = [
    'rows = [\n    "..]x", # a bracket\n    "x..." ]',
    'rows = ["....", \'x]"x\']',
    'file = "chart.txt"',
    "image = 'chart.png'",
]


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("drawn", DRAWN)
@pytest.mark.parametrize("head", ["[chart]\n", "chart."])
def test_only_the_chart_is_another(drawn: str, head: str, end: str) -> None:
    text = f"title = \"rows = ['a']\"\n{head}{drawn}"
    text += TAIL if head.startswith("[") else "\nchart.across = 3\n\n[gauge]\nstitches = 19\n"
    text = text.replace("\n", end)
    rows = ["x\\..", '."..']
    made = text_with_chart(text, rows)
    assert made is not None
    said, before = tomllib.loads(made), tomllib.loads(text)
    assert said["chart"] == {"rows": rows, "across": 3}
    assert {key: said[key] for key in said if key != "chart"} == {key: before[key] for key in before if key != "chart"}
    assert ("\r" in made) == (end == "\r\n")
    assert made.count("\n") - made.count("\r\n") == (0 if end == "\r\n" else made.count("\n"))
    assert ("# repeats" in made) == ("# repeats" in text)


def test_rows_of_another_table_are_not_the_chart() -> None:
    text = '[gauge]\nrows = 25.5\n\n[other]\nrows = ["zz"]\n\n[chart]\nfile = "chart.txt"\n'
    made = text_with_chart(text, ["x."])
    assert made is not None
    assert tomllib.loads(made) == {"gauge": {"rows": 25.5}, "other": {"rows": ["zz"]}, "chart": {"rows": ["x."]}}


def test_what_is_written_otherwise_is_left() -> None:
    assert text_with_chart('chart = { rows = ["ab"] }\n', ["ba"]) is None
    assert text_with_chart("chart = 3\n", ["ba"]) is None


def test_rows_as_printed() -> None:
    assert printed_rows([(0, 1, 1), (1, 0, 0)], ".x") == ["x..", ".xx"]
