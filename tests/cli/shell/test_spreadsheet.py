"""Tables for spreadsheets: a head line whatever there is to tell, and no name that is worked out as a formula."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from fabricsim.cli import main
from fabricsim.cli.shell.spreadsheet import csv_text
from tests.support.little import little


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n"])
def test_a_name_is_never_a_formula(sign: str) -> None:
    text = csv_text([{"yarn": f"{sign}1+1", f"{sign}x": f"a{sign}1"}], ["yarn", f"{sign}x"])
    sign = "\n" if sign == "\r" else sign
    assert list(csv.reader(io.StringIO(text, newline=""))) == [["yarn", f"'{sign}x"], [f"'{sign}1+1", f"a{sign}1"]]


@pytest.mark.parametrize("number", [-0.05, "-0.05", "+5", "-1e-09", "-1.5E+3", 3, True, "1e5"])
def test_a_number_stays_one(number: object) -> None:
    assert csv_text([{"slack": number}], ["slack"]) == f"slack\n{number}\n"


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (2.1e-13, "0.0"),
        (4.999999999999982, "5.0"),
        (-3e-17, "0.0"),
        (0.1 + 0.2, "0.3"),
        (19.97590909090909, "19.97590909"),
    ],
)
def test_what_adding_up_leaves_behind_is_not_written(number: float, written: str) -> None:
    assert csv_text([{"slack": number}], ["slack"]) == f"slack\n{written}\n"


@pytest.mark.parametrize("words", ["-0.05.1", "-1_000", "+inf", "-", "-5 %", "--5"])
def test_what_only_looks_like_a_number_is_text(words: str) -> None:
    assert csv_text([{"slack": words}], ["slack"]) == f"slack\n'{words}\n"


def test_nothing_is_an_empty_cell_and_columns_are_those_of_every_line() -> None:
    assert csv_text([{"b": None, "a": 1}], ["a", "b"]) == "a,b\n1,\n"
    assert csv_text([], ["a", "b"]) == "a,b\n"
    for line in ({"a": 1}, {"a": 1, "b": 2, "c": 3}):
        with pytest.raises(ValueError, match="under the columns"):
            csv_text([line], ["a", "b"])


def table(command: str, scene: str, folder: Path, capsys: pytest.CaptureFixture[str], *options: str) -> list[list[str]]:
    path = folder / "scene.toml"
    path.write_text(scene, encoding="utf-8")
    assert main([command, str(path), *options, "--csv"]) == 0
    return list(csv.reader(io.StringIO(capsys.readouterr().out)))


@pytest.mark.parametrize("command", ["floats", "catches", "colours"])
def test_where_there_is_nothing_to_tell_the_head_line_says_of_what(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    long = little(("b.......",), floats='slack = 0.0\nlongest_gap = 3\ncatches = "planned"')
    (head, *lines) = table(command, long, tmp_path, capsys)
    assert lines
    one_yarn = little(("......",)).split('[[yarns]]\nsymbol = "b"')
    plain = one_yarn[0] + one_yarn[1][one_yarn[1].index("[") :]
    assert table(command, plain, tmp_path, capsys) == [head]


def test_a_yarn_named_as_a_formula_is_text_in_every_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = little(names=("=1+1", "@ink"))
    for command in ("colours", "yarn"):
        cells = [cell for line in table(command, scene, tmp_path, capsys) for cell in line]
        assert "'=1+1" in cells
        assert "'@ink" in cells
        assert not any(cell[:1] in "=@" for cell in cells if cell)
