"""Which keys of a scene from the page name files, each of which must be a plain name of one that came with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from fabricsim.errors import InputError
from fabricsim.table.drafts.opening import opened_files
from tests.table.test_counting import CHART
from tests.table.test_drafts import SMALL
from tests.table.test_state import given


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("chart.file", SMALL.replace(CHART, "file = 'NAME'")),
        ("chart.image", SMALL.replace(CHART, "image = 'NAME'")),
        ("knitter", "knitter = 'NAME'\n" + SMALL),
        ("sizes.file", SMALL + "[sizes]\nfile = 'NAME'\n"),
    ],
)
def test_no_key_names_a_file_of_this_machine(key: str, text: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as refused:
        opened_files([given("s.toml", text.replace("NAME", "../x"))], tmp_path)
    line = f"s.toml: {key}: given '../x'; allowed: the plain name of a file; lay it beside it"
    assert str(refused.value) == line
    with pytest.raises(InputError) as refused:
        opened_files([given("s.toml", text.replace("NAME", "x"))], tmp_path)
    missing = "that file too; choose both files at once, or drop both"
    assert str(refused.value) == f"s.toml: given a scene that names 'x'; allowed: {missing}"
    assert list(tmp_path.iterdir()) == []
