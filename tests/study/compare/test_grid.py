"""Which settings a grid makes, in what order, and what it refuses without listing it."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fabricsim.errors import InputError
from fabricsim.study.compare.grid import MOST_SETTINGS, Grid, Setting, grid_of, option_of, read_grid

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


SLACK = "a slack as a fraction above -1, at most 1"
RANGE = 'a range from:to:step; such as "-0.1:0.1:0.05", which is -0.1, -0.05, 0, 0.05, 0.1'
GAUGES = 'stitches and rows to 10 cm such as "19x25.5", or a factor from 0.1 to 10; 1.1 is 10 % more stitches and rows'


@pytest.mark.parametrize(
    ("given_", "line"),
    [
        ({"slack": []}, "--slack: given no value at all; allowed: one value or more; write some, or leave it out"),
        ({"slack": [0.5, 0.5]}, "--slack: given 0.5 twice; allowed: every value once; leave one out"),
        ({"slack": [0.0, -0.0]}, "--slack: given 0.0 twice; allowed: every value once; leave one out"),
        ({"slack": [5]}, f"--slack: given 5; allowed: {SLACK}; write 0.05 if you mean 5 %"),
        ({"slack_by_yarn": {"b": [-7]}}, f"--slack-of: given -7; allowed: {SLACK}; write -0.07 if you mean -7 %"),
        ({"slack": ["0:1:0"]}, f"--slack: given '0:1:0'; allowed: {RANGE}"),
        ({"slack": ["1:0:0.1"]}, f"--slack: given '1:0:0.1'; allowed: {RANGE}"),
        ({"slack": ["0:1:2:3"]}, f"--slack: given '0:1:2:3'; allowed: {RANGE}"),
        ({"gauge": ["19"]}, f"--gauge: given '19'; allowed: {GAUGES}"),
        ({"gauge": [0.05]}, f"--gauge: given 0.05; allowed: {GAUGES}"),
        (
            {"longest_gap": ["0:10000:1"]},
            "the settings to compare: given 10,001 of them; allowed: at most 10,000; leave some values out",
        ),
        (
            {"slack": [0.1, 0.2], "bending_stiffness": ["1:100:0.01"]},
            "the settings to compare: given 19,802 of them; allowed: at most 10,000; leave some values out",
        ),
    ],
)
def test_what_is_refused_is_said_in_full(given_: dict[str, object], line: str) -> None:
    with pytest.raises(InputError) as why:
        grid_of(given_)
    assert str(why.value) == line


def test_as_many_settings_as_may_be() -> None:
    assert grid_of({"longest_gap": ["0:9999:1"]}).count == MOST_SETTINGS


@pytest.mark.parametrize(
    ("written", "numbers"),
    [
        ("0:0.9:0.3", (0.0, 0.3, 0.6, 0.9)),
        ("0:1:0.3", (0.0, 0.3, 0.6, 0.9)),  # what is beyond the end is not met
        ("0.1:-0.1:-0.1", (0.1, 0.0, -0.1)),
        (" -0.02 : -0.01 : 0.01 ", (-0.02, -0.01)),
        ("0.5:0.5:0.1", (0.5,)),
        ("0:0.000000002:0.000000001", (0.0, 1e-9, 2e-9)),
    ],
)
def test_ranges_as_they_may_be_written(written: str, numbers: tuple[float, ...]) -> None:
    found = grid_of({"slack": [written]}).slack
    assert found == numbers
    assert [str(one) for one in found] == [str(one) for one in numbers]  # no -0.0


def test_ranges_of_whole_numbers_are_whole_and_those_too_large_or_fine_are_refused() -> None:
    assert grid_of({"longest_gap": ["2:8:3"]}).longest_gap == (2, 5, 8)
    assert all(type(one) is int for one in grid_of({"longest_gap": ["2:8:3"]}).longest_gap)
    for written in ("0.5:2:1", "0:1:0.5"):
        with pytest.raises(InputError, match=r"--longest-gap: given 0\.\d; allowed: a whole number"):
            grid_of({"longest_gap": [written]})
    for written in ("0:1000001:1000001", "-1000001:0:1000001", "0:1:1000001", "0:1e-9:9e-10", "0:inf:1", "0:1:nan"):
        with pytest.raises(InputError, match="allowed: a range from:to:step"):
            grid_of({"slack": [written]})
    for written in ("0:1000000:1000000", "-1000000:0:1000000"):  # a range, but of no slack
        with pytest.raises(InputError, match=r"--slack: given -?1000000; allowed: above -1, at most 1;"):
            grid_of({"slack": [written]})


@pytest.mark.parametrize("given_", ["19x25.5", " 19 × 25.5 ", 0.1, 10.0, 1])
def test_gauges_as_they_may_be_written(given_: object) -> None:
    assert grid_of({"gauge": [given_]}).gauge == (given_,)


@pytest.mark.parametrize("given_", [0.0999, 10.001, float("inf"), "19x", "x25", "19x25x3", "-19x25", ""])
def test_what_is_no_gauge_is_refused(given_: object) -> None:
    with pytest.raises(InputError, match=r"--gauge: given .*; allowed: "):
        grid_of({"gauge": [given_]})


def test_yes_is_not_one() -> None:
    assert grid_of({"inside_out": [True, False]}).inside_out == (True, False)
    with pytest.raises(InputError, match="--inside-out: given 1; allowed: yes or no"):
        grid_of({"inside_out": [True, 1]})


def test_settings_are_counted_with_the_swept_one_fastest_and_the_scene_slowest() -> None:
    """The numbers are those of the rows that a file keeps, so they are the same for good."""
    grid = grid_of(
        {
            "scenes": ["a.toml", "b.toml"],
            "case": ["round", "repeat"],
            "inside_out": [True],
            "gauge": [1.1],
            "stretch_stiffness": [2.0],
            "bending_stiffness": [3.0],
            "catches": ["none"],
            "longest_gap": [4, 7],
            "slack_by_yarn": {"b": [0.0, 0.1], "c": [0.2]},
            "slack": [0.3],
        }
    )
    assert grid.swept == "slack of b"
    assert grid.varied == ("scene", "case", "longest_gap", "slack of b")
    assert (grid.count, grid.chain_count) == (16, 8)
    found = [grid.setting(number) for number in range(grid.count)]
    assert [(one.scene, one.case, one.longest_gap, dict(one.slack_by_yarn)["b"]) for one in found] == [
        (scene, case, gap, slack)
        for scene in (0, 1)
        for case in ("round", "repeat")
        for gap in (4, 7)
        for slack in (0.0, 0.1)
    ]
    assert found[0] == Setting(0, "round", True, 1.1, 2.0, 3.0, "none", 4, (("b", 0.0), ("c", 0.2)), 0.3)
    assert list(grid.chains())[1] == (3, 2)
    bare = grid_of({})
    assert (bare.count, bare.swept, bare.varied) == (1, "slack", ())
    assert bare.setting(0) == Setting(0, None, None, None, None, None, None, None, (), None)
    assert list(bare.chains()) == [(0,)]
    both = grid_of({"slack": [0.0, 0.1], "slack_by_yarn": {"b": [0.0, 0.1]}})
    assert both.swept == "slack"
    assert grid_of({"slack_by_yarn": {"b": [0.0], "c": [0.1]}}).swept == "slack"


def test_options_are_named_as_they_are_typed() -> None:
    assert [option_of(key) for key in ("scenes", "slack_by_yarn", "longest_gap", "case")] == [
        "SCENE",
        "--slack-of",
        "--longest-gap",
        "--case",
    ]
    with pytest.raises(InputError, match=r"^SCENE: given "):
        grid_of({"scenes": [""]})
