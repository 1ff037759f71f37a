"""What ``slack`` says to a knitter."""

from __future__ import annotations

from fabricsim.cli.commands.slack.data import lines
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Table
from fabricsim.cli.words.advice import USUAL
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.fabric import seen_as
from fabricsim.cli.words.knitter import hands_used
from fabricsim.cli.words.needles import ONE_SIZE_SAID
from fabricsim.cli.words.shares import percent
from fabricsim.design.floats.in_the_hand import (
    SHORTEST_CIRCULAR,
    SPREAD_STITCHES,
    corner_share,
    inside_out_gain,
    spread_to,
)
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.rules import BAGGY
from fabricsim.lengths import fine_number, fine_unit, long, long_number, long_unit
from fabricsim.study.forecast.aiming import Aim, aim_of, stitches_for
from fabricsim.study.forecast.loosening import TIGHTEST, HowLoose
from fabricsim.study.hands.prior import SLACK_DOUBT
from fabricsim.units import CM, MM

NEEDLES = (3, 4)
"""Double-pointed needles that knitting hangs on."""


def tell(page: Page, scene: Scene, found: HowLoose, asked: bool) -> None:
    """Print the answer; ``asked``: whether the stretch was asked for, rather than taken from the item."""
    mesh = found.rest.mesh
    page.say(scene.title, bold=True, wrap=True)
    page.say(seen_as(scene, mesh), wrap=True)
    for sentence in hands_used(scene, other_slack=True):
        page.say(sentence, wrap=True)
    page.table(Table("How slack its floats must be", {"": "left", "at least": "right"}, _needs(scene, found, asked)))
    aim = aim_of(found)
    for sentence in (*_aim(scene, found, aim, asked), *_hands(scene, found, aim)):
        page.say(sentence, wrap=True)
    page.table(_yarn_table(found, aim))
    page.say(
        "'Hangs off' is how far the middle of a slack float can be lifted off the back. The mechanics is checked "
        "against exact solutions, not against hand-knits: knit a swatch.",
        wrap=True,
    )
    page.say(CAUTION, wrap=True)


def _needs(scene: Scene, found: HowLoose, asked: bool) -> list[list[str]]:
    band = found.for_width
    if found.any_will_do:
        width = f"any: even {-100.0 * TIGHTEST:.0f} % too short"
    else:
        low, high = (f"{100.0 * end:+.1f}" for end in (band.low, band.high))
        width = f"{100.0 * band.nominal:+.1f} %" + ("" if low == high else f" ({low} to {high} %)")
    needs = [[f"to lose no more than {100.0 * found.most_lost:g} % of its width", width]]
    if found.stretch > 0.0:
        why = "" if asked else f", as {_named(scene)} must to be put on"
        needs.append([f"to stretch by {100.0 * found.stretch:.0f} %{why}", f"{100.0 * found.for_stretch:+.1f} %"])
    return needs


def _named(scene: Scene) -> str:
    """Return the item with its article: ``a hat``, ``mittens``."""
    item = str(scene.item)
    return item if item.endswith("s") else f"a {item}"


def _aim(scene: Scene, found: HowLoose, aim: Aim, asked: bool) -> list[str]:
    least = found.slack
    if aim.wider > 0.0:
        return _too_far(scene, found, aim, asked)
    said = [
        f"So aim at {percent(aim.slack)} slack: {_least(least)}, and {100.0 * SLACK_DOUBT:.0f} % more because no hand "
        "is surer than that."
        if aim.slack > 0.0
        else f"So floats that just reach will do: even {percent(-least)} too short they keep it."
    ]
    if found.stretch <= 0.0:
        said.append(
            f"Floats as short as that leave it no stretch; the usual aim is {100.0 * USUAL[0]:.0f} to "
            f"{100.0 * USUAL[1]:.0f} %, and at least as much as the piece must stretch in wear."
        )
    return said


def _too_far(scene: Scene, found: HowLoose, aim: Aim, asked: bool) -> list[str]:
    """Return what to do where no slack that may be will let it stretch so far: width first."""
    now, more = stitches_for(scene, aim)
    said = [
        f"No slack will do: it would take {percent(found.aim)}, but floats with more than {percent(BAGGY)} hang in "
        f"loops and snag. First make it wider: {more:,} stitches in place of {now:,}, or needles that make it "
        f"{percent(aim.wider)} wider ({ONE_SIZE_SAID}). Then aim at {percent(aim.slack)} slack. Or let plain knitting "
        "or rib do the stretching there."
    ]
    if not asked:
        said.append(
            f"How far {_named(scene)} must stretch is reckoned from a usual body, which can't be known from here "
            "(memory): measure the widest place on its way, try it on, and ask again with --stretch."
        )
    return said


def _least(slack: float) -> str:
    """Return what would just do."""
    return f"at least {percent(slack)}" if slack >= 0.005 else "just reaching would do"


def _hands(scene: Scene, found: HowLoose, aim_at: Aim) -> list[str]:
    """Return what to do with the hands."""
    aim, mesh = max(aim_at.slack, 0.0), found.rest.mesh
    width, thickness = mesh.stitch_width, mesh.thickness
    said = []
    if aim > 0.0:
        said.append(
            f"Before each change of colour spread the last {SPREAD_STITCHES} stitches on the right needle from "
            f"{long_number(SPREAD_STITCHES * width)} to {long(spread_to(SPREAD_STITCHES, width, aim))}, and lay the "
            "new yarn straight along them."
        )
    if scene.worked == "round":
        girth = len(scene.piece_rows()[0]) * width
        gain = inside_out_gain(thickness, girth)
        said.append(
            f"Worked with the floats outside and turned when done, floats gain {percent(gain)} by themselves on a "
            f"tube of {long(girth, 0)}" + (", which is all it takes." if 0.0 < aim <= gain else ".")
        )
        if girth < SHORTEST_CIRCULAR:
            said.append(_corners())
    return said


def _corners() -> str:
    """Return what corners of needles do to floats, on tubes too narrow for a circular needle by itself."""
    corners = " and ".join(f"{100.0 * corner_share(n):.0f} % with {n} needles in the work" for n in NEEDLES)
    return (
        f"On double-pointed needles: a float pulled straight across a corner keeps only {corners}. On two circulars, "
        "or one long one with its cord pulled out in a loop, the tube is folded flat, and a float pulled straight "
        "across a fold keeps nothing: the sharpest corner decides. Change colour away from corners, or let the yarn "
        "lie along both needles."
    )


def _yarn_table(found: HowLoose, aim_at: Aim) -> Table:
    aim = 100.0 * max(aim_at.slack, 0.0)
    cells = [
        [
            str(line["stitches_passed"]),
            str(line["floats"]),
            long_number(line["span_cm"] * CM),
            long_number(line["yarn_cm"] * CM),
            fine_number(line["extra_yarn_mm"] * MM),
            fine_number(line["hangs_off_mm"] * MM, 0),
        ]
        for line in lines(found)
    ]
    wide, high = long_unit(), fine_unit()
    headings = (
        "stitches passed",
        "floats",
        f"stitch to stitch {wide}",
        f"yarn {wide}",
        f"extra {high}",
        f"hangs off {high}",
    )
    return Table(f"Floats at {aim:.0f} % slack", dict.fromkeys(headings, "right"), cells)
