"""What ``sizes`` says, from shares of the width that nobody forecast."""

from __future__ import annotations

import pytest

from fabricsim.cli.commands.sizes.command import answer_of
from fabricsim.design.scene.read import scene_hash
from fabricsim.design.sizes.every_size import Lost, Sizes, settled, without_forecast
from fabricsim.design.sizes.plan import plan_of
from tests.cli.made_up import scene_of
from tests.cli.printed import printed, rounded

LOST = Lost(0.01, 0.04, 0.06)
BODIES = [
    "woman",
    58.5,
    {"name": "my head", "cm": 55.0},
    {"name": "doll", "cm": 9.0},
    {"name": "thick hair", "cm": 48.0, "widest_cm": 64.0},
]


def found(lost: Lost = LOST, *, forecast: bool = True, **more: object) -> Sizes:
    return settled(plan_of(scene_of(0.05, **more)), lambda _: lost, forecast=forecast)


def said(one: Sizes) -> str:
    return printed(answer_of(one).tell)


def test_all_that_is_said_of_a_hat() -> None:
    assert (
        said(found(item="hat", sizes={"bodies": BODIES, "rib": "2x2", "rib_fewer_percent": 10}))
        == """\
**Made up**
By the gauge that the floats will leave: that of plain stockinette, 20 stitches to 10 cm, and what they draw
in at each count.

**Counts: whole repeats of 12 stitches**
size        rib  repeats       stitches    crown
----------  ---  -------  -------------  -------
doll          -        -  no count fits        -
thick hair   88        8             96   8 x 12
woman        96        9            108   9 x 12
my head      96        9            108   9 x 12
58.5 cm     108       10            120  10 x 12

**Widths, round the head**
size        body cm  wanted cm  draw-in %  finished cm     likely cm  off cm  ease %
----------  -------  ---------  ---------  -----------  ------------  ------  ------
**doll            9.0        8.6          -            -             -       -       -**
thick hair     48.0       46.1        4.0         46.1  45.1 to 47.5    +0.0    -4.0
woman          55.0       52.8        4.0         51.8  50.8 to 53.5    -1.0    -5.7
my head        55.0       52.8        4.0         51.8  50.8 to 53.5    -1.0    -5.7
58.5 cm        58.5       56.2        4.0         57.6  56.4 to 59.4    +1.4    -1.5

One repeat more or less makes 5.8 cm.
Ease is finished over body, less 1. Wanted: -4 %, within -8 to 0 % (seen in tables).
Body sizes: doll, thick hair, my head and 58.5 cm yours; woman seen in tables, which differ by up to 3.5 cm.
woman and my head come to the same 108 stitches.
doll: no count fits: 1 or 2 repeats make 5.8 or 11.5 cm, 8.6 cm is wanted. Try a narrower chart or another
yarn.

**Does it go over the head? Stretch, %**
size        weakest place  needed  with ease  at most  goes on
----------  -------------  ------  ---------  -------  -------
**thick hair  colourwork         39          9       14  no**
woman       colourwork          6          9       14  yes
my head     colourwork          6          9       14  yes
58.5 cm     colourwork          2          9       14  yes

Colourwork stretches with ease until its floats are taut: reckoned here from its slack and draw-in alone, so
the forecast of one fabric, in which floats take short cuts, may find a little more. At most it stretches 5 %
farther (from memory).
Rib stretches 30 to 50 % beyond the plain width of its stitches (from memory), if cast on loosely.
First more stitches, or a larger needle, which makes it wider with the same ones. By this reckoning the
colourwork passes from so many stitches on: thick hair 120. Or knit that part in one colour.
Slacker floats help too, up to 25 %: beyond that they hang in loops and snag.

**Depth, brim to middle of the crown, cm**
size        rib  adjusting  chart  plain  crown  deep  usual  so it is
----------  ---  ---------  -----  -----  -----  ----  -----  --------
thick hair  4.0        0.5    1.5    5.0    7.5  18.5   18.7  as usual
woman       4.0        0.5    1.5    7.0    8.5  21.5   21.4  as usual
my head     4.0        0.5    1.5    7.0    8.5  21.5   21.4  as usual
58.5 cm     4.0        0.5    1.5    7.5    9.5  23.0   22.8  as usual

Usual is 0.39 of the way round the head, or what your file of bodies says; within 1.5 cm it still sits well
(from memory, and the 1.5 cm chosen).

The sizes differ in the wedges of their crowns (8, 9 and 10): no number is whole repeats, or whole parts of
one, in all of them.
thick hair: 96 stitches
    After the rib, one plain round: *k11, m1; rep from * to end. [96 sts]
    Crown: 8 wedges of 12; decrease in rounds 15, 17, 19, 21, 22, 23, 24, 25, 26, 27, 28, plain in the others.
        Round 15: *k10, k2tog; rep from * to end. [88 sts] Each time one stitch fewer before k2tog.
        Stitches left: 88, 80, 72, 64, 56, 48, 40, 32, 24, 16, 8.
        Draw the yarn through the last 8.
woman and my head: 108 stitches
    After the rib, one plain round: *k8, m1; rep from * to end. [108 sts]
    Crown: 9 wedges of 12; decrease in rounds 19, 21, 23, 25, 27, 29, 30, 31, 32, 33, 34, plain in the others.
        Round 19: *k10, k2tog; rep from * to end. [99 sts] Each time one stitch fewer before k2tog.
        Stitches left: 99, 90, 81, 72, 63, 54, 45, 36, 27, 18, 9.
        Draw the yarn through the last 9.
58.5 cm: 120 stitches
    After the rib, one plain round: *k9, m1; rep from * to end. [120 sts]
    Crown: 10 wedges of 12; decrease in rounds 20, 22, 24, 26, 28, 30, 32, 34, 35, 36, 37, plain in the
    others.
        Round 20: *k10, k2tog; rep from * to end. [110 sts] Each time one stitch fewer before k2tog.
        Stitches left: 110, 100, 90, 80, 70, 60, 50, 40, 30, 20, 10.
        Draw the yarn through the last 10.
Every round from cast-on to the last stitch: 'fabricsim rounds' with --size and its name."""
    )


def test_all_that_is_said_of_cuffs_worked_flat_at_once() -> None:
    sizes = {"bodies": ["woman", "man"], "rib": "none"}
    assert (
        said(without_forecast(scene_of(-0.05, item="cuffs", worked="flat", sizes=sizes)))
        == """\
**Made up**
By the plain gauge: that of plain stockinette, 20 stitches to 10 cm, as if floats drew nothing in.

**Counts: whole repeats of 12 stitches and 2 for the seam**
size   repeats  stitches
-----  -------  --------
woman        2        26
man          3        38

**Widths, round the wrist**
size   body cm  wanted cm  finished cm  off cm  ease %
-----  -------  ---------  -----------  ------  ------
**woman     14.4       14.4         12.0    -2.4   -17.0**
man       17.8       17.8         18.0    +0.2    +0.8

One repeat more or less makes 6.0 cm.
Ease is finished over body, less 1. Wanted: 0 %, within -5 to 5 % (from memory).
Body sizes: from memory, unchecked.
woman: 2.4 cm narrower than wanted. Would fit: 2 plain stitches after each of 2 repeats, 30 stitches, 14.0 cm.

**Does it go over the folded hand? Stretch, %**
size   weakest place  needed  with ease  at most  goes on
-----  -------------  ------  ---------  -------  ---------
**woman  colourwork         63          0        5  can't say**
**man    colourwork         34          0        5  can't say**

Colourwork stretches with ease until its floats are taut: reckoned here from its slack and draw-in alone, so
the forecast of one fabric, in which floats take short cuts, may find a little more. At most it stretches 5 %
farther (from memory).
Can't say: the way over the folded hand is reckoned from a usual body (memory). Measure it (widest_cm of a
body under [sizes]), and try it on.
First more stitches, or a larger needle, which makes it wider with the same ones. By this reckoning the
colourwork passes from so many stitches on: woman 50, man 50. Or knit that part in one colour.
Slacker floats help too, up to 25 %: beyond that they hang in loops and snag.

**Height, cm**
size   chart  in all
-----  -----  ------
woman    1.5     1.5
man      1.5     1.5


Every row from cast-on to the last stitch: 'fabricsim rounds' with --size and its name."""
    )


def test_all_that_is_said_of_a_baby_hat_as_wide_as_its_rib() -> None:
    sizes = {"bodies": [39.0], "rib": "1x1", "rib_fewer_percent": 0, "crown": False}
    assert (
        said(found(item="baby hat", sizes=sizes))
        == """\
**Made up**
By the gauge that the floats will leave: that of plain stockinette, 20 stitches to 10 cm, and what they draw
in at each count.

**Counts: whole repeats of 12 stitches**
size   rib  repeats  stitches
-----  ---  -------  --------
39 cm   84        7        84

**Widths, round the head**
size   body cm  wanted cm  draw-in %  finished cm     likely cm  off cm  ease %
-----  -------  ---------  ---------  -----------  ------------  ------  ------
**39 cm     39.0       37.4        4.0         40.3  39.5 to 41.6    +2.9    +3.4**

One repeat more or less makes 5.8 cm.
Ease is finished over body, less 1. Wanted: -4 %, within -8 to 0 % (seen in tables).
Body sizes: yours.
39 cm: 2.9 cm wider than wanted. Would fit: 84 stitches at a gauge of 21.5 to 10 cm; or 72 stitches at a gauge
of 18.5 to 10 cm; or 1 plain stitch after each of 6 repeats, 78 stitches, 37.4 cm.

**Does it go over the head? Stretch, %**
size   weakest place  needed  with ease  at most  goes on
-----  -------------  ------  ---------  -------  -------
39 cm  colourwork          0          9       14  yes

Colourwork stretches with ease until its floats are taut: reckoned here from its slack and draw-in alone, so
the forecast of one fabric, in which floats take short cuts, may find a little more. At most it stretches 5 %
farther (from memory).
Rib stretches 30 to 50 % beyond the plain width of its stitches (from memory), if cast on loosely.

**Height, cm**
size   rib  chart  in all
-----  ---  -----  ------
39 cm  2.5    1.5     4.0


For every size the rib leads straight into the chart: both have the same stitches.
Every round from cast-on to the last stitch: 'fabricsim rounds' with --size and its name.

[caution]"""
    )


def test_some_sizes_lead_straight_from_the_rib() -> None:
    text = said(found(item="cuffs", sizes={"bodies": [15.0, 20.0, 34.0, 35.0], "rib": "3x2", "rib_fewer_percent": 0}))
    assert "the rib leads straight into the chart: both have the same stitches." in text
    assert [line for line in text.splitlines() if line.startswith(("For ", "    After"))] == [
        "For 34 cm and 35 cm the rib leads straight into the chart: both have the same stitches.",
        "    After the rib, one plain round: k23, k2tog. [24 sts]",
        "    After the rib, one plain round: k35, m1. [36 sts]",
    ]


def test_where_next_to_nothing_is_left() -> None:
    text = said(found(Lost(0.9, 0.95, 0.97), item="hat", sizes={"bodies": [50.0]}))
    assert "no count fits: with floats so tight next to nothing is left of the width, 48.0 cm is wanted." in text
    assert "Does it go over" not in text


def test_a_gauge_out_of_the_ordinary_is_to_be_checked() -> None:
    tight = scene_of(0.0, item="hat", sizes={"bodies": [50.0]}, gauge={"stitches": 40, "rows": 40})
    assert (
        said(without_forecast(tight)).split("\n\n")[0]
        == """\
**Made up**
By the plain gauge: that of plain stockinette, 40 stitches to 10 cm, as if floats drew nothing in.
Check the gauge: 40.6 stitches to 4 inches is tighter than usual for milk (200 m to 100 g) and ink (200 m to
100 g). The Craft Yarn Council's standard says 16 to 24 for yarn of that sort."""
    )
    loose = scene_of(0.0, item="hat", sizes={"bodies": [50.0]}, gauge={"stitches": 8, "rows": 8})
    assert "is looser than usual for milk (200 m to 100 g) and ink (200 m to 100 g)." in " ".join(
        said(without_forecast(loose)).split()
    )
    single = scene_of(0.0, item="hat", sizes={"bodies": [50.0]}, gauge={"stitches": 1, "rows": 1})
    assert "plain stockinette, 1 stitch to 10 cm," in said(without_forecast(single))


@pytest.mark.parametrize(
    ("item", "wearer", "cautioned"),
    [("hat", "woman", False), ("hat", "newborn", True), ("baby hat", 40.0, True), ("mittens", "woman", False)],
)
def test_what_a_baby_may_wear_is_cautioned_about(item: str, wearer: object, cautioned: bool) -> None:
    assert ("[caution]" in said(found(item=item, sizes={"bodies": [wearer]}))) == cautioned


def test_for_programs() -> None:
    sizes = {"bodies": [58.5, {"name": "doll", "cm": 9.0}], "rib": "2x2", "rib_fewer_percent": 10}
    one = found(item="hat", sizes=sizes, gauge={"stitches": 40, "rows": 40})
    told = dict(answer_of(one).said)
    assert told.pop("scene_hash") == scene_hash(one.plan.scene)
    assert rounded(told) == {
        "schema_version": 1,
        "command": "sizes",
        "title": "Made up",
        "item": "hat",
        "worked": "round",
        "forecast": True,
        "measured": False,
        "gauge_stitches_per_10_cm": 40.0,
        "repeat_stitches": 12,
        "lining_takes_cm": 0.0,
        "ease_percent": {"aim": -4.0, "least": -8.0, "most": 0.0},
        "gauge_outside_yarn_standard": [
            {
                "yarn": "milk",
                "metres_per_100_g": 200.0,
                "stitches_per_4_in": 40.64,
                "usual_stitches_per_4_in": [16, 24],
            },
            {"yarn": "ink", "metres_per_100_g": 200.0, "stitches_per_4_in": 40.64, "usual_stitches_per_4_in": [16, 24]},
        ],
        "sizes": [
            {
                "size": "doll",
                "body_cm": 9.0,
                "body_source": "yours",
                "wanted_cm": 8.64,
                "step_cm": 2.88,
                "counted": {
                    "repeats": 3,
                    "stitches": 36,
                    "rib_stitches": 32,
                    "drawn_in_percent": 4.0,
                    "finished_cm": 8.64,
                    "finished_likely_cm": [8.46, 8.91],
                    "ease_percent": -4.0,
                    "off_cm": 0.0,
                    "adjusting": {
                        "before": 32,
                        "after": 36,
                        "change": "m1",
                        "words": "*k8, m1; rep from * to end. [36 sts]",
                    },
                    "crown": {
                        "wedges": 9,
                        "wedge_stitches": 4,
                        "adjusting": None,
                        "rounds": [
                            {
                                "round": 2,
                                "round_of_piece": 5,
                                "stitches": 27,
                                "words": "*k2, k2tog; rep from * to end. [27 sts]",
                            },
                            {
                                "round": 4,
                                "round_of_piece": 7,
                                "stitches": 18,
                                "words": "*k1, k2tog; rep from * to end. [18 sts]",
                            },
                            {
                                "round": 6,
                                "round_of_piece": 9,
                                "stitches": 9,
                                "words": "*k2tog; rep from * to end. [9 sts]",
                            },
                        ],
                    },
                    "rows_of": {"rib": 16, "adjusting": 1, "chart": 3, "crown": 6},
                    "height_cm": 6.5,
                    "heights_cm": {"rib": 4.0, "adjusting": 0.25, "chart": 0.75, "crown": 1.5},
                    "usual_depth_cm": 3.51,
                    "depth": "too deep",
                    "goes_on": "yes",
                    "weakest_place": "colourwork",
                    "passes_from_stitches": 36,
                    "places": [
                        {
                            "place": "colourwork",
                            "needed_stretch_percent": 4.16667,
                            "easy_stretch_percent": 9.375,
                            "most_stretch_percent": 14.375,
                            "goes_on": "yes",
                        },
                        {
                            "place": "rib",
                            "needed_stretch_percent": 12.5,
                            "easy_stretch_percent": 30.0,
                            "most_stretch_percent": 50.0,
                            "goes_on": "yes",
                        },
                    ],
                },
                "why_not": "",
                "other_gauges": [],
                "spacers": None,
            },
            {
                "size": "58.5 cm",
                "body_cm": 58.5,
                "body_source": "yours",
                "wanted_cm": 56.16,
                "step_cm": 2.88,
                "counted": {
                    "repeats": 19,
                    "stitches": 228,
                    "rib_stitches": 204,
                    "drawn_in_percent": 4.0,
                    "finished_cm": 54.72,
                    "finished_likely_cm": [53.58, 56.43],
                    "ease_percent": -6.46154,
                    "off_cm": -1.44,
                    "adjusting": {
                        "before": 204,
                        "after": 228,
                        "change": "m1",
                        "words": "*k8, m1, k9, m1; rep from * to end. [228 sts]",
                    },
                    "crown": {
                        "wedges": 8,
                        "wedge_stitches": 28,
                        "adjusting": {
                            "before": 228,
                            "after": 224,
                            "change": "k2tog",
                            "words": "*k55, k2tog; rep from * to end. [224 sts]",
                        },
                        "rounds": [
                            {
                                "round": 2,
                                "round_of_piece": 40,
                                "stitches": 216,
                                "words": "*k26, k2tog; rep from * to end. [216 sts]",
                            },
                            {
                                "round": 4,
                                "round_of_piece": 42,
                                "stitches": 208,
                                "words": "*k25, k2tog; rep from * to end. [208 sts]",
                            },
                            {
                                "round": 6,
                                "round_of_piece": 44,
                                "stitches": 200,
                                "words": "*k24, k2tog; rep from * to end. [200 sts]",
                            },
                            {
                                "round": 8,
                                "round_of_piece": 46,
                                "stitches": 192,
                                "words": "*k23, k2tog; rep from * to end. [192 sts]",
                            },
                            {
                                "round": 10,
                                "round_of_piece": 48,
                                "stitches": 184,
                                "words": "*k22, k2tog; rep from * to end. [184 sts]",
                            },
                            {
                                "round": 12,
                                "round_of_piece": 50,
                                "stitches": 176,
                                "words": "*k21, k2tog; rep from * to end. [176 sts]",
                            },
                            {
                                "round": 14,
                                "round_of_piece": 52,
                                "stitches": 168,
                                "words": "*k20, k2tog; rep from * to end. [168 sts]",
                            },
                            {
                                "round": 16,
                                "round_of_piece": 54,
                                "stitches": 160,
                                "words": "*k19, k2tog; rep from * to end. [160 sts]",
                            },
                            {
                                "round": 18,
                                "round_of_piece": 56,
                                "stitches": 152,
                                "words": "*k18, k2tog; rep from * to end. [152 sts]",
                            },
                            {
                                "round": 19,
                                "round_of_piece": 57,
                                "stitches": 144,
                                "words": "*k17, k2tog; rep from * to end. [144 sts]",
                            },
                            {
                                "round": 20,
                                "round_of_piece": 58,
                                "stitches": 136,
                                "words": "*k16, k2tog; rep from * to end. [136 sts]",
                            },
                            {
                                "round": 21,
                                "round_of_piece": 59,
                                "stitches": 128,
                                "words": "*k15, k2tog; rep from * to end. [128 sts]",
                            },
                            {
                                "round": 22,
                                "round_of_piece": 60,
                                "stitches": 120,
                                "words": "*k14, k2tog; rep from * to end. [120 sts]",
                            },
                            {
                                "round": 23,
                                "round_of_piece": 61,
                                "stitches": 112,
                                "words": "*k13, k2tog; rep from * to end. [112 sts]",
                            },
                            {
                                "round": 24,
                                "round_of_piece": 62,
                                "stitches": 104,
                                "words": "*k12, k2tog; rep from * to end. [104 sts]",
                            },
                            {
                                "round": 25,
                                "round_of_piece": 63,
                                "stitches": 96,
                                "words": "*k11, k2tog; rep from * to end. [96 sts]",
                            },
                            {
                                "round": 26,
                                "round_of_piece": 64,
                                "stitches": 88,
                                "words": "*k10, k2tog; rep from * to end. [88 sts]",
                            },
                            {
                                "round": 27,
                                "round_of_piece": 65,
                                "stitches": 80,
                                "words": "*k9, k2tog; rep from * to end. [80 sts]",
                            },
                            {
                                "round": 28,
                                "round_of_piece": 66,
                                "stitches": 72,
                                "words": "*k8, k2tog; rep from * to end. [72 sts]",
                            },
                            {
                                "round": 29,
                                "round_of_piece": 67,
                                "stitches": 64,
                                "words": "*k7, k2tog; rep from * to end. [64 sts]",
                            },
                            {
                                "round": 30,
                                "round_of_piece": 68,
                                "stitches": 56,
                                "words": "*k6, k2tog; rep from * to end. [56 sts]",
                            },
                            {
                                "round": 31,
                                "round_of_piece": 69,
                                "stitches": 48,
                                "words": "*k5, k2tog; rep from * to end. [48 sts]",
                            },
                            {
                                "round": 32,
                                "round_of_piece": 70,
                                "stitches": 40,
                                "words": "*k4, k2tog; rep from * to end. [40 sts]",
                            },
                            {
                                "round": 33,
                                "round_of_piece": 71,
                                "stitches": 32,
                                "words": "*k3, k2tog; rep from * to end. [32 sts]",
                            },
                            {
                                "round": 34,
                                "round_of_piece": 72,
                                "stitches": 24,
                                "words": "*k2, k2tog; rep from * to end. [24 sts]",
                            },
                            {
                                "round": 35,
                                "round_of_piece": 73,
                                "stitches": 16,
                                "words": "*k1, k2tog; rep from * to end. [16 sts]",
                            },
                            {
                                "round": 36,
                                "round_of_piece": 74,
                                "stitches": 8,
                                "words": "*k2tog; rep from * to end. [8 sts]",
                            },
                        ],
                    },
                    "rows_of": {"rib": 16, "adjusting": 1, "chart": 3, "plain": 34, "crown": 37},
                    "height_cm": 22.75,
                    "heights_cm": {"rib": 4.0, "adjusting": 0.25, "chart": 0.75, "plain": 8.5, "crown": 9.25},
                    "usual_depth_cm": 22.815,
                    "depth": "as usual",
                    "goes_on": "yes",
                    "weakest_place": "colourwork",
                    "passes_from_stitches": 228,
                    "places": [
                        {
                            "place": "colourwork",
                            "needed_stretch_percent": 6.90789,
                            "easy_stretch_percent": 9.375,
                            "most_stretch_percent": 14.375,
                            "goes_on": "yes",
                        },
                        {
                            "place": "rib",
                            "needed_stretch_percent": 14.7059,
                            "easy_stretch_percent": 30.0,
                            "most_stretch_percent": 50.0,
                            "goes_on": "yes",
                        },
                    ],
                },
                "why_not": "",
                "other_gauges": [],
                "spacers": None,
            },
        ],
    }


def test_for_spreadsheets() -> None:
    sizes = {"bodies": [58.5, {"name": "doll", "cm": 9.0}], "rib": "2x2", "rib_fewer_percent": 10}
    assert answer_of(found(item="hat", sizes=sizes)).lines == [
        {
            "size": "doll",
            "body_cm": 9.0,
            "body_source": "yours",
            "wanted_cm": 8.64,
            "repeats": "",
            "stitches": "",
            "rib_stitches": "",
            "crown_wedges": "",
            "crown_wedge_stitches": "",
            "drawn_in_percent": "",
            "finished_cm": "",
            "finished_least_cm": "",
            "finished_most_cm": "",
            "ease_percent": "",
            "off_cm": "",
            "weakest_place": "",
            "goes_on": "",
            "adjusting_round": "",
            "rounds": "",
            "height_cm": "",
            "usual_depth_cm": "",
            "why_not": "1 or 2 repeats make 5.8 or 11.5 cm",
        },
        {
            "size": "58.5 cm",
            "body_cm": 58.5,
            "body_source": "yours",
            "wanted_cm": 56.16,
            "repeats": 10,
            "stitches": 120,
            "rib_stitches": 108,
            "crown_wedges": 10,
            "crown_wedge_stitches": 12,
            "drawn_in_percent": 4.0,
            "finished_cm": 57.6,
            "finished_least_cm": 56.4,
            "finished_most_cm": 59.4,
            "ease_percent": -1.54,
            "off_cm": 1.44,
            "weakest_place": "colourwork",
            "goes_on": "yes",
            "adjusting_round": "*k9, m1; rep from * to end. [120 sts]",
            "rounds": 46,
            "height_cm": 23.0,
            "usual_depth_cm": 22.82,
            "why_not": "",
        },
    ]
    bare = answer_of(found(item="cuffs", sizes={"bodies": [15.0], "rib": "none"})).lines[0]
    assert (bare["rib_stitches"], bare["crown_wedges"], bare["crown_wedge_stitches"], bare["adjusting_round"]) == (
        "",
        "",
        "",
        "",
    )
