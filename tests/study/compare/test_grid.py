"""Which settings a grid makes, in what order, and what it refuses without listing it."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.errors import InputError
from fabricsim.study.compare.grid import MOST_SETTINGS, Grid, grid_of, read_grid

SLACKS = st.lists(st.integers(-90, 100).map(lambda n: n / 100), min_size=1, max_size=6, unique=True)


@given(
    slack=SLACKS,
    bends=st.lists(st.integers(1, 9), max_size=3, unique=True),
    caught=st.lists(st.sampled_from(["none", "planned", "scene"]), max_size=3, unique=True),
)
def test_every_combination_is_there_once_and_each_in_one_chain(
    slack: list[float], bends: list[int], caught: list[str]
) -> None:
    grid = grid_of(
        {"slack": slack} | ({"bending_stiffness": bends} if bends else {}) | ({"catches": caught} if caught else {})
    )
    settings = [grid.setting(number) for number in range(grid.count)]
    assert grid.count == len(slack) * max(1, len(bends)) * max(1, len(caught)) == len(set(settings))
    chains = list(grid.chains())
    assert len(chains) == grid.chain_count
    assert sorted(number for chain in chains for number in chain) == list(range(grid.count))
    for chain in chains:
        along = [settings[number].slack for number in chain]
        assert along == sorted(slack, reverse=True)
        assert len({(settings[n].bending_stiffness, settings[n].catches) for n in chain}) == 1


def test_chains_run_along_one_yarn_where_only_its_slack_is_varied() -> None:
    grid = grid_of({"slack_by_yarn": {"a": [0.0], "b": [-0.1, 0.1]}, "gauge": [0.9, 1.1]})
    assert grid.swept == "slack of b"
    first = [grid.setting(number) for number in next(grid.chains())]
    assert [dict(one.slack_by_yarn)["b"] for one in first] == [0.1, -0.1]
    assert grid.varied == ("gauge", "slack of b")


@given(low=st.integers(-90, 0), steps=st.integers(0, 60), step=st.integers(1, 3))
def test_a_range_is_its_numbers_to_the_last_bit(low: int, steps: int, step: int) -> None:
    high = low + steps * step
    if high > 100:
        return
    grid = grid_of({"slack": [f"{low / 100}:{high / 100}:{step / 100}"]})
    assert grid.slack == tuple(n / 100 for n in range(low, high + 1, step))


def test_a_billion_settings_are_refused_without_being_listed() -> None:
    tracemalloc.start()
    for given_ in (
        {"slack": ["0:1:0.000000001"]},
        {"longest_gap": ["1:1000:1"], "slack": ["0:1:0.001"], "bending_stiffness": ["1:100:0.1"]},
    ):
        with pytest.raises(InputError, match=rf"allowed: at most {MOST_SETTINGS:,}"):
            grid_of(given_)
    assert tracemalloc.get_traced_memory()[1] < 2_000_000
    tracemalloc.stop()


@pytest.mark.parametrize(
    ("given_", "line"),
    [
        ({"slack": []}, "--slack: given no value at all"),
        ({"slack": [5]}, "--slack: given 5; .* write 0.05 if you mean 5 %"),
        ({"slack": [0, 0.0]}, "--slack: given 0.0 twice"),
        ({"slack": ["0:1:0"]}, "--slack: given '0:1:0'; allowed: a range from:to:step"),
        ({"slack": ["1:0:0.1"]}, "--slack: given '1:0:0.1'; allowed: a range"),
        ({"slack": ["nan:1:1"]}, "--slack: given 'nan:1:1'; allowed: a range"),
        ({"slack": ["tight"]}, "--slack: given 'tight'; allowed: a number"),
        ({"case": ["tube"]}, "--case: given 'tube'; allowed: 'repeat', 'swatch' or 'round'"),
        ({"catches": ["some"]}, "--catches: given 'some'"),
        ({"gauge": ["19"]}, "--gauge: given '19'; allowed: stitches and rows"),
        ({"gauge": [0]}, "--gauge: given 0; allowed: stitches and rows"),
        ({"inside_out": ["perhaps"]}, "--inside-out: given 'perhaps'; allowed: yes or no"),
        ({"longest_gap": [2.5]}, "--longest-gap: given 2.5; allowed: a whole number"),
        ({"stretch_stiffness": [0]}, "--stretch-stiffness: given 0; allowed: at least 0.01, at most 100"),
        ({"slack_by_yarn": {"b": [-7]}}, "--slack-of: given -7; .* write -0.07 if you mean -7 %"),
    ],
)
def test_what_makes_no_sense_is_refused(given_: dict[str, object], line: str) -> None:
    with pytest.raises(InputError, match=line):
        grid_of(given_)


def test_a_file_says_the_same_and_unknown_keys_are_refused_with_the_nearest(tmp_path: Path) -> None:
    path = tmp_path / "study.toml"
    path.write_text('slack = ["-0.1:0.1:0.1"]\nslack_by_yarn = { b = 0.0 }\ngauge = ["19x25.5", 1.1]\ncase = "round"\n')
    same = grid_of({"slack": [-0.1, 0, 0.1], "slack_by_yarn": {"b": [0]}, "gauge": ["19x25.5", 1.1], "case": ["round"]})
    assert read_grid(path) == same
    path.write_text("slak = [0.1]\n")
    with pytest.raises(InputError, match=r"study\.toml: given the unknown key 'slak'; .* did you mean 'slack'\?"):
        read_grid(path)
    path.write_text("slack = [[\n")
    with pytest.raises(InputError, match="a file that isn't TOML"):
        read_grid(path)


def test_every_key_of_a_study_says_what_it_is() -> None:
    for key, said in Grid.model_json_schema()["properties"].items():
        assert said.get("description"), key
