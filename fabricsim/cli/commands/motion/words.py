"""What ``motion`` says of a film and of each of its pictures."""

from __future__ import annotations

from math import pi

from fabricsim.cli.commands.motion.options import MotionOptions
from fabricsim.cli.words.fabric import straight_said
from fabricsim.cli.words.shares import SAID
from fabricsim.lengths import fine, long
from fabricsim.render.handouts.motion import Caption
from fabricsim.render.yarn.tiling import repeats_shown
from fabricsim.study.forecast.sweep import Step, Sweep

HEAVY = 4_000_000
"""Bytes of a GIF above which something lighter is pointed out (chosen: what many sites take)."""


def words(swept: Sweep, data: bytes, kind: str, options: MotionOptions) -> list[str]:
    """Return what was filmed, line by line; ``data``: the file of this ``kind``."""

    first, last = swept.steps[0], swept.steps[-1]
    scene = first.rest.scene
    lines = [one for one in (scene.title, straight_said(scene)) if one]
    for name, step in (("Loose", first), ("Tight", last)):
        widths = step.measures.widths
        width = f"{long(widths.width)}"
        wide = (
            f"as wide as plain fabric, {width}"
            if abs(widths.overall) < SAID
            else f"{_narrower(widths.overall)}, {long(widths.plain)} to {width}"
        )
        pucker = f"pucker {fine(step.measures.pucker.peak_to_valley)}"
        lines.append(f"{name:<11}slack {100 * step.slack:+.3g} %: {wide}; {pucker}")
    there_and_back = f"there and back in {options.seconds:g} s"
    lines.append(f"{'Film':<11}{len(swept.steps)} fabrics at rest, {there_and_back}, {len(data) / 1e6:.1f} MB")
    if swept.lost:
        lost = ", ".join(f"{100 * slack:+.3g} %" for slack, _ in swept.lost)
        lines.append(f"{'Left out':<11}slack {lost}: no rest was found there")
    if any(step.measures.crossing for step in swept.steps):
        lines.append(
            "Beware: at its tightest the fabric passes through itself. Don't trust that; stop at a looser --to."
        )
    if kind == "gif" and len(data) > HEAVY:
        half = options.width_px // 2
        lines.append(f"{'':<11}(a GIF of yarn is heavy: .webp takes a third of that, --width {half} a quarter)")
    return lines


def _narrower(lost: float) -> str:
    """Return by how much it is narrower than plain fabric, or wider."""
    shown = round(100.0 * lost, 1)
    return f"{abs(shown):.1f} % {'wider' if shown < 0.0 else 'narrower'}"


def caption(step: Step) -> Caption:
    """Return what is told of a step: the width of the whole piece, and of a tube the girth; and what is drawn of it."""

    widths, mesh = step.measures.widths, step.rest.mesh
    drawn, what = widths.plain, "{} wide"
    if mesh.case == "round":
        drawn, what = drawn / pi, "{} round"
    elif mesh.period_a is not None:
        drawn, what = repeats_shown(step.rest)[0] * float(mesh.period_a[0]), "the whole piece {}"
    left = 1.0 - widths.overall
    words = (
        f"slack {round(100 * step.slack, 1) + 0.0:+.1f} %",
        what.format(long(widths.width)),
        _narrower(widths.overall),
    )
    return Caption(words, drawn, drawn * left)
