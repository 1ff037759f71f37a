"""The page of a lesson: one HTML file that holds its pictures, its style and its script, and asks nobody for more."""

from __future__ import annotations

import base64
import hashlib
import io
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files

import numpy as np
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from PIL import Image

from fabricsim.lengths import long_plain
from fabricsim.render.basics.scale import ColourScale
from fabricsim.render.handouts.lesson_curves import LessonCurve
from fabricsim.render.layout.sheet import scale_length

WEBP_QUALITY, WEBP_EFFORT = 80, 5
"""Quality and effort of the pictures (chosen: no eye tells them from PNG at the size they are shown, at a sixth of the
bytes)."""
BAR_SHARE = 0.35
"""Greatest length of the scale bar, share of a picture's width (chosen)."""


@dataclass(frozen=True)
class Plate:
    """A picture: ``kind`` for style and script, ``caption`` below it, ``alt`` for who can't see it."""

    kind: str
    caption: str
    alt: str
    image: Image.Image


@dataclass(frozen=True)
class Scene3D:
    """The page with the fabric in 3-D: its file's ``name``, beside this page, and ``said``, what it shows."""

    name: str
    said: str


@dataclass(frozen=True)
class Station:
    """One step of the slider.

    ``slack`` as a share; ``group``: tight, right, loose or nothing; ``name`` and ``verdict`` in words; ``heard``: what
    the slider says to who can't see it; ``key``: whether it is one of the few that are printed.
    """

    slack: float
    group: str
    name: str
    verdict: str
    heard: str
    figures: tuple[tuple[str, str], ...]
    telling: tuple[str, ...]
    plates: tuple[Plate, ...]
    key: bool

    @property
    def tick(self) -> str:
        """The slack as a tick of the slider: a number of per cent with its sign."""
        per_cent = round(100.0 * self.slack, 1)
        return f"{per_cent:+g}".replace("-", "\N{MINUS SIGN}") if per_cent else "0"


@dataclass(frozen=True)
class Beside:
    """Pictures side by side under a ``title``, and what is ``said`` of them, a paragraph each."""

    title: str
    said: tuple[str, ...]
    plates: tuple[Plate, ...]


@dataclass(frozen=True)
class Lesson:
    """All that the page shows. ``stations`` from tight to loose, ``shown`` the number of the first to see;
    ``colours``: what those of the floats mean; ``made``: how it was made, (what, how);
    ``notes``: what must be known, a paragraph each."""

    title: str
    lead: tuple[str, ...]
    stations: tuple[Station, ...]
    shown: int
    curves: tuple[LessonCurve, ...]
    metres_per_px: float
    colours: ColourScale
    made: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    scene_3d: Scene3D | None = None
    beside: Beside | None = None
    worn: Beside | None = None


def lesson_page(lesson: Lesson) -> str:
    """Return the ``lesson`` as HTML. Names are escaped, whatever they hold; nothing is loaded from anywhere."""
    columns = len(lesson.stations)
    wide = lesson.stations[0].plates[0].image.width
    bar = scale_length(BAR_SHARE * wide * lesson.metres_per_px)
    over = bands([one.group for one in lesson.stations])
    style = page_part("lesson.css") + "".join(
        [
            f":root {{ --steps: {columns}; --bar: {100.0 * bar / lesson.metres_per_px / wide:.3f}%; }}\n",
            *(f".band.{word} {{ grid-column: {first} / span {across}; }}\n" for word, first, across in over),
        ]
    )
    script = page_part("lesson.js")
    return (
        templates()
        .get_template("lesson.html.j2")
        .render(
            lesson=lesson,
            bands=over,
            ramp=data_uri(ramp(lesson.colours)),
            bar_words=f"{long_plain(bar)}",
            style=Markup(style),
            script=Markup(script),
            policy=policy(style, script),
        )
    )


def policy(style: str, script: str) -> str:
    """Return the rule by which a browser lets this page run its own style and script and load nothing at all."""
    allowed = {"style-src": style, "script-src": script}
    own = "; ".join(f"{what} 'sha256-{_sha256(text)}'" for what, text in allowed.items())
    return f"default-src 'none'; img-src data:; {own}; base-uri 'none'; form-action 'none'"


def bands(groups: Sequence[str]) -> list[tuple[str, int, int]]:
    """Return groups of neighbouring steps as (word, first column, columns), columns from 1; unnamed ones left out."""
    found: list[tuple[str, int, int]] = []
    for number, word in enumerate(groups, start=1):
        if found and found[-1][0] == word:
            found[-1] = (word, found[-1][1], found[-1][2] + 1)
        else:
            found.append((word, number, 1))
    return [band for band in found if band[0]]


def data_uri(image: Image.Image) -> str:
    """Return a picture as text that stands in a page."""
    buffer = io.BytesIO()
    image.save(buffer, "WEBP", quality=WEBP_QUALITY, method=WEBP_EFFORT)
    return f"data:image/webp;base64,{base64.b64encode(buffer.getvalue()).decode('ascii')}"


def ramp(colours: ColourScale) -> Image.Image:
    """Return the colours of a scale as a picture one pixel high."""
    return Image.fromarray(np.rint(colours.colours_k3).astype(np.uint8)[None])


def templates() -> Environment:
    """Return the pages' templates, in which every name is escaped and every missing value is an error."""
    made = Environment(
        loader=PackageLoader("fabricsim.render.handouts", "pages"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["data_uri"] = data_uri
    return made


def page_part(name: str) -> str:
    """Return a style or a script of the pages."""
    return (files("fabricsim.render.handouts") / "pages" / name).read_text(encoding="utf-8")


def _sha256(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
