"""Steeks: stitches for cutting, knitted through, counted, and left out where they don't count."""

from __future__ import annotations

from collections import Counter
from itertools import groupby, pairwise
from random import Random

import pytest

from fabricsim.cli.commands.rounds import words
from fabricsim.cli.commands.rounds.finishing import finishing
from fabricsim.cli.shell.recorded import Sentence, recorded
from fabricsim.cli.words.cautions import cautions
from fabricsim.cli.words.steeks import CUT_ONCE, steek_said
from fabricsim.design.catches.plan import held_in_piece, plan_of, with_catches
from fabricsim.design.counted.yarn_amounts import yarn_amounts
from fabricsim.design.floats.faults import faults
from fabricsim.design.floats.of_scene import floats, floats_of_chart
from fabricsim.design.floats.on_paper import charted_piece, charted_repeat
from fabricsim.design.piece.making import piece_of
from fabricsim.design.piece.used import around_of
from fabricsim.design.rows.squares import Layout, floats_behind
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.scene.steek import DEFAULT_STEEK, SteekColumns
from fabricsim.design.sizes.every_size import without_forecast
from fabricsim.errors import InputError
from fabricsim.fabric.setup import set_up
from tests.design.piece.needle import knit
from tests.design.scenes import scene_table
from tests.design.walker import caught_in_the_round, in_the_round

YARNS = [
    {"symbol": symbol, "name": name, "colour": "#102030", "tex": 500}
    for symbol, name in zip(".AB", ("oat", "pine", "rust"), strict=True)
]


PIECES = 120
"""As many as show each of them often (400 of each were counted: no difference)."""


def steeked(seed: int) -> Scene:
    """Return a random scene with a steek, of what may have one."""
    at = Random(seed)
    yarns, stitches = at.randint(1, 3), at.randint(2, 14)
    chart = ["".join(at.choices(".AB"[:yarns], k=stitches)) for _ in range(at.randint(1, 6))]
    table = scene_table(
        chart,
        yarns=YARNS,
        across=at.randint(1, 5),
        up=at.randint(1, 3),
        plain_below=at.randint(0, 2),
        plain_above=at.randint(0, 2),
    )
    table["steek"] = {"stitches": at.randint(6, 12), "pattern": at.choice(["stripes", "checks"])}
    table["floats"] = {"longest_gap": at.randint(2, 6)}
    if at.random() < 0.7:
        table["item"] = at.choice(["body", "cowl", "sleeves"])
        table["sizes"] = {"rib": at.choice(["1x1", "2x2", "3x1", "none"]), "rib_fewer_percent": at.choice([0, 10])}
    return Scene.model_validate(table)


def worked(scene: Scene) -> tuple[list[list[str]], list[list[str]]]:
    """Knit the printed words; return every round's yarns, and those of the scene's rounds alone."""
    piece = piece_of(scene)
    told = recorded(lambda page: words.tell(page, piece))
    needle = knit("\n".join(one.text for one in told if isinstance(one, Sentence)))
    rounds = [[yarn for _, yarn in row.made] for row in needle.rows]
    assert needle.ended == "Bind off"
    assert set(needle.sides) == {"RS"}
    first = next(at for at, row in enumerate(piece.rows) if row in piece.section("chart").rows)
    return rounds, rounds[first : first + len(scene.piece_rows())]


def test_random_steeks_are_knitted_through_and_take_turns_stitch_by_stitch() -> None:
    seen: Counter[str] = Counter()
    for seed in range(PIECES):
        scene = steeked(seed)
        assert scene.steek is not None
        many, wide = scene.steek.stitches, len(scene.piece_rows()[0])
        right, left = (many + 1) // 2, many // 2
        every, own = worked(scene)
        called = words.letters(piece_of(scene))
        for yarn_j, knitted in zip(scene.piece_rows(), own, strict=True):
            assert len(knitted) == wide + many
            assert knitted[right : right + wide] == [called[yarn] for yarn in reversed(yarn_j)]
        # around the cut: on from the end of a round to the next, as long as both are of the same yarns
        used = [sorted(set(row)) for row in own]
        for below, above in pairwise(range(len(own))):
            steek = [*own[below][-left:], *own[above][:right]]
            if used[below] == used[above]:
                yarns = len(used[above])
                assert all(
                    len(set(steek[at : at + yarns])) == yarns for at in range(many - yarns + 1)
                )  # each in turn: none passes more than the others are
                seen["turns"] += yarns > 1
        by_round = {tuple(row[:right]) for row in own if len(set(row)) == 2}
        seen[scene.steek.pattern] += bool(by_round)
        made = yarn_amounts(scene, around=around_of(piece_of(scene)))
        loops = Counter(yarn for row in every for yarn in row)
        assert {called[one.yarn]: one.stitches for one in made.yarns} == dict(loops)
        for one in made.yarns:
            assert one.loops == pytest.approx(loops[called[one.yarn]] * scene.gauge.loop_length)
    assert min(seen.values()) > 20, seen


def test_random_pieces_have_their_floats_as_a_knitter_walks_them() -> None:
    ends = 0
    for seed in range(PIECES):
        scene = steeked(seed)
        assert scene.steek is not None
        rows, wide = scene.knitted_rows(), len(scene.piece_rows()[0])
        left, end = scene.steek.stitches // 2, scene.steek.stitches // 2 + wide
        walked = sorted(in_the_round(rows))
        found = floats(scene)
        assert sorted((one.yarn, one.row, one.start, one.direction, one.gap) for one in found) == walked
        over = set()
        for yarn, row, start, direction, gap in walked:
            passed = [(start + direction * step) % len(rows[0]) for step in range(1, gap + 1)]
            if sum(left <= column < end for column in passed) > scene.limits.most(scene.gauge.stitch_width):
                over.add((yarn, row, start))
        assert {(one.float.yarn, one.float.row, one.float.start) for one in faults(found, scene.limits)} == over
        inside = [one.gap for one in found if one.kind == "steek"]
        assert all(one.gap == one.in_steek for one in found if one.kind == "steek")
        most = max(len(set(row)) for row in rows) - 1
        assert max(inside, default=0) <= 2 * most  # from turns of some yarns into turns of others
        said = steek_said(scene)[0]
        assert ("take turns" in said) == (most > 0)
        if inside:
            assert f"more than {max(inside)} stitch" in said
            ends += max(inside) == 1
    assert ends > 30


def test_random_pieces_caught_as_planned_have_no_float_over_the_limit() -> None:
    planned = 0
    for seed in range(PIECES):
        scene = steeked(seed)
        assert scene.steek is not None
        plan = plan_of(scene)
        planned += len(plan.planned)
        rows, left = scene.knitted_rows(), scene.steek.stitches // 2
        told = {
            (row, column + left, yarn)
            for (row, column), yarns in held_in_piece(scene, plan.caught).items()
            for yarn in yarns - {scene.piece_rows()[row][column]}
        }
        longest, held = caught_in_the_round(rows, told)
        most_beside = max(len(set(row)) for row in rows) - 1  # stitches of the steek that it may pass too
        assert longest <= plan.most + most_beside
        assert not faults(floats(with_catches(scene, plan.caught)), scene.limits)
        assert {(row, column, yarn) for row, column, yarn in held} <= told
    assert planned > 90


def test_a_chart_once_round_has_floats_as_far_as_it_goes() -> None:
    scene = Scene.model_validate({**scene_table(["....A....."]), "steek": {}, "floats": {"longest_gap": 3}})
    gaps = {(one.yarn, one.start, one.gap) for one in floats_of_chart(scene)}
    assert gaps == {(1, 10, 5), (1, 4, 4), (0, 5, 1)}  # from the steek at the right, to the one at the left
    assert len(faults(floats_of_chart(scene), scene.limits)) == len(faults(floats(scene), scene.limits)) == 2


def table(**more: object) -> dict[str, object]:
    return {**scene_table(["A...", ".A..", "...A"], across=12), "steek": {}, **more}


def test_the_usual_steek_and_where_it_is_counted() -> None:
    scene = Scene.model_validate(table(item="body", sizes={"bodies": [100]}))
    assert DEFAULT_STEEK == 7
    assert scene.beside == (4, 3)
    bare = Scene.model_validate({**table(item="body", sizes={"bodies": [100]}), "steek": None})
    assert scene_hash(scene) != scene_hash(bare)
    (one,), (plain,) = without_forecast(scene).sizes, without_forecast(bare).sizes
    assert one.counted is not None
    assert plain.counted is not None
    assert (one.counted.finished, one.counted.repeats) == (plain.counted.finished, plain.counted.repeats)
    assert one.counted.stitches == plain.counted.stitches + 7
    assert one.counted.rib is not None
    assert (one.counted.rib - 7) % 4 == 2  # alike at both edges once it is cut
    piece = piece_of(scene)
    assert not piece.is_tube
    assert piece.taken_in == 7


def test_what_is_said_of_it_and_how_it_is_cut() -> None:
    scene = Scene.model_validate(table())
    said = " ".join(one.text for one in words.pattern(piece_of(scene)))
    before = " ".join(words.before_reading(piece_of(scene)))
    assert "the first 4 of every round and the last 3" in before
    assert "behind more than 1 stitch" in before
    assert "begin in the middle of the steek" in before
    assert "lift the stitch below it" not in before  # no step to hide
    told = finishing(piece_of(scene), words.letters(piece_of(scene)))
    assert told[0] == CUT_ONCE
    assert told[1].startswith("Secure it")
    assert "cut the middle of stitch 1" in told[2]
    assert "7 of them for the steek" in said
    even = Scene.model_validate(table(steek={"stitches": 8}))
    told = finishing(piece_of(even), words.letters(piece_of(even)))
    assert "cut between stitch 1 and the last stitch" in told[2]
    assert "safe" not in " ".join(told)


@pytest.mark.parametrize("pattern", ["stripes", "checks"])
def test_the_chart_has_its_stitches_beside_the_repeat(pattern: str) -> None:
    scene = Scene.model_validate(table(steek={"pattern": pattern}))
    for chart in (charted_repeat(scene), charted_piece(scene)):
        columns = [column for column in range(len(chart.yarn_ij[0])) if chart.is_steek(column)]
        wide = len(chart.yarn_ij[0])
        assert columns == [0, 1, 2, *range(wide - 4, wide)]
        assert chart.repeat[3] == wide - 4
        sides = [[row[:3] for row in chart.yarn_ij], [row[-4:] for row in chart.yarn_ij]]
        for side in sides:
            assert all(len(list(group)) == 1 for row in side for _, group in groupby(row))  # never two of a yarn
            again = [above == below for below, above in pairwise(side)]
            assert all(again) if pattern == "stripes" else not any(again)
    inner = [row[3:-4] for row in charted_repeat(scene).yarn_ij]
    assert inner == list(scene.chart_rows())


@pytest.mark.parametrize(
    ("more", "names"),
    [
        ({"worked": "flat"}, "steek worked flat"),
        ({"item": "hat"}, "steek with 'hat'"),
        ({"item": "socks"}, "steek with 'socks'"),
        ({"sizes": {"crown": True}}, "steek with a crown"),
        ({"item": "body", "sizes": {"lining": True}}, "steek with a lining"),
        ({"steek": {"stitches": 3}}, "steek"),
        ({"steek": {"stitches": 21}}, "steek"),
        ({"steek": {"stitches": 4}, "chart": {"rows": ["AB."], "across": 4}}, "4 with 3 yarns in a row"),
    ],
)
def test_what_can_t_be_cut_open_is_refused(more: dict[str, object], names: str) -> None:
    given = table(**more)
    if "4 with" in names:
        given["yarns"] = YARNS
    with pytest.raises((InputError, ValueError), match=names):
        Scene.model_validate(given)


def test_the_fabric_is_forecast_cut_open_without_it() -> None:
    scene = Scene.model_validate(table())
    assert scene.case == "swatch"
    mesh = set_up(scene).mesh
    assert (mesh.rows, mesh.stitches) == (3, 48)
    with pytest.raises(InputError, match="cut open it is no tube"):
        set_up(scene, "round")


def test_the_caution_of_cutting_is_among_what_to_know_before_knitting() -> None:
    assert CUT_ONCE in cautions(Scene.model_validate(table()))
    assert CUT_ONCE not in cautions(Scene.model_validate({**table(), "steek": None}))


def test_floats_to_the_steek_lie_in_the_last_repeat_and_those_from_it_in_the_first() -> None:
    chart = ((0, 0, 1, 0, 0, 0),)
    layout = Layout(False, 3, 1, 0, 0, 0, SteekColumns(7, False))
    of_motif = {(one.squares, one.repeats) for one in floats_behind(chart, layout) if one.yarn == 1}
    assert of_motif == {
        (tuple((0, column) for column in (5, 4, 3)), ("first",) * 3),
        (tuple((0, column) for column in (1, 0, 5, 4, 3)), ("every",) * 5),
        (tuple((0, column) for column in (1, 0)), ("last",) * 2),
    }
