"""Make the gallery anew from the scenes: run ``.venv/bin/python renders/make.py`` from the project's root.

Every picture is what one command leaves, and the README here names it. Words after the script's name choose scenes.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from html import escape
from pathlib import Path

from fabricsim.cli import main
from fabricsim.design.scene.read import read_scene

HERE = Path(__file__).parent
SCENES = HERE.parent / "scenes"


@dataclass(frozen=True)
class Command:
    """The words of a command, with ``{scene}`` and ``{folder}`` to be filled in, and what each file that it leaves
    shows."""

    words: str
    shows: dict[str, str]

    def of(self, name: str) -> list[str]:
        """Return its words for one scene."""
        return self.words.format(scene=f"scenes/{name}.toml", folder=f"renders/{name}").split()


def drawn(file: str, words: str, shows: str) -> Command:
    """Return the command that draws one picture."""
    return Command(f"draw {{scene}} {words} --width 800 --out {{folder}}/{file}", {file: shows})


PREVIEW = Command(
    "preview {scene} --out {folder} --width 800",
    {"face.png": "face", "back.png": "back", "pucker.png": "pucker map in mm", "widths.png": "width by row"},
)
WASHED = Command(
    PREVIEW.words,
    {
        **PREVIEW.shows,
        "washed.png": "how wide each round is off the needles, washed, and pinned out",
        "blocked.png": "pinned out on its board",
    },
)
SWATCH = Command(PREVIEW.words, {**PREVIEW.shows, "unpinned.png": "off its pins, its edges curled"})
ASLANT = drawn("three-quarter.png", "--view three-quarter", "face, from the front and above")
CLOSE = drawn("close-up.png", "--view close-up --side back", "back, from near by")
PULL = drawn("pull.png", "--view back --show pull", "back, floats in the colours of their pull")
PUCKER = drawn("pucker-on-fabric.png", "--view three-quarter --show pucker", "pucker on the fabric itself")
SECTION = drawn("section.png", "--view section", "one row seen edge on")
SHEET = Command("sheet {scene} --out {folder}/sheet.pdf", {})
ROUND_CORNERS = drawn(
    "lines.png", "--view three-quarter --show pucker", "the lines up the tube, in the colours of how far they stand out"
)
SQUARE = drawn("section.png", "--view section --row 12", "one round seen edge on, square for its corners")
INSIDE_OUT = drawn("inside-out.png", "--view three-quarter --show pucker --inside-out", "the same knitted inside out")
WHOLE = drawn("whole.png", "--whole", "the whole piece with rib and crown")
ABOVE = drawn("above.png", "--whole --view above", "the whole piece from above")
WORN = drawn("worn.png", "--whole --on head", "the whole piece worn on a head")
COSTS = Command("why {scene} --map {folder}/costs.png", {"costs.png": "which floats, rows and squares cost the width"})
CHART = Command("chart {scene} --out {folder}/chart.svg", {"chart.svg": "chart to print"})
MAP = Command(
    "catches {scene} --map {folder}/catches.png",
    {"catches.png": "where to catch, from the back"},
)
EYES = Command("colours {scene} --out {folder}/eyes.png", {"eyes.png": "colours in grey and to colour-blind eyes"})
AGREE = Command(
    "agree {scene} --within 1 --plots {folder}/rows.png --picture {folder}/evened.png",
    {"rows.png": "width row by row, before and after", "evened.png": "the piece before and after"},
)
MOTIFS = Command(
    "motifs {scene} --symmetric --rows 6 --stitches 8 --page {folder}/motifs.html --pictures {folder}/motifs.png",
    {"motifs.png": "the best and the worst of 200 small symmetric motifs in its yarns"},
)
MOTION = Command("motion {scene} --width 400 --out {folder}/motion.webp", {"motion.webp": "drawing in, in motion"})

MORE: dict[str, tuple[Command, ...]] = {
    "across_the_edge": (PULL, MAP),
    "flat_swatch": (CLOSE, PULL, SECTION, COSTS, MOTIFS),
    "needle_corners": (ROUND_CORNERS, SQUARE, INSIDE_OUT),
    "one_tight_float": (drawn("bump.png", "--show pucker", "the bump that the tight float makes, face"),),
    "hat_band": (ASLANT, SECTION, SHEET, CHART, MOTION),
    "three_colours": (CLOSE, EYES),
    "two_bands": (ASLANT, AGREE),
    "whole_hat": (WHOLE, ABOVE, WORN, ASLANT, CHART),
    "wide_above_small": (ASLANT, PUCKER),
}
"""What is shown of a scene beside its preview."""
EVEN_FACE = drawn("face.png", "--even", "face")
EVEN_BACK = drawn("back.png", "--even --view back", "inside")
EVEN_ASLANT = drawn("three-quarter.png", "--even --view three-quarter", "from the front and above")
EVEN_ABOVE = drawn("above.png", "--even --view above", "from above")
UNDER_THE_ARM = drawn("close-up.png", "--even --view close-up --at 42,2", "increases beside the line under the arm")
DRAWN_ONLY: dict[str, tuple[Command, ...]] = {
    "curling_swatch": (EVEN_ASLANT, EVEN_FACE),
    "tapered_sleeve": (EVEN_FACE, EVEN_BACK, UNDER_THE_ARM),
    "round_yoke": (EVEN_ASLANT, EVEN_ABOVE, EVEN_BACK),
}
"""What is shown of scenes in place of a preview."""


def commands_of(name: str) -> tuple[Command, ...]:
    """Return the commands whose pictures show a scene."""
    previews = {"washed_cowl": WASHED, "flat_swatch": SWATCH, "plain_control": SWATCH}
    return DRAWN_ONLY.get(name) or (previews.get(name, PREVIEW), *MORE.get(name, ()))


OPENING = """# Pictures of the scenes

Every folder holds what the commands below leave (the numbers, `summary.json`, are left out). The same scene gives the
same pictures. All of it, this page too, is made anew by one command from the project's root, after `./setup.sh`:

```sh
.venv/bin/python renders/make.py
```
"""


def section(name: str) -> str:
    """Return the part of the page about one scene."""
    scene = read_scene(SCENES / f"{name}.toml")
    commands = commands_of(name)
    told = "\n".join(f".venv/bin/fabricsim {' '.join(command.of(name))}" for command in commands)
    images = "\n".join(
        f'<img src="{name}/{file}" width="49%" alt="{escape(f"{scene.title}, {shows}")}">'
        for command in commands
        for file, shows in command.shows.items()
    )
    handout = f"\nThe handout: [sheet.pdf]({name}/sheet.pdf).\n" if SHEET in commands else ""
    if MOTIFS in commands:
        handout += f"\nAll 200 motifs, with what makes each good or bad: [motifs.html]({name}/motifs.html).\n"
    return (
        f"\n## {scene.title}\n\n{' '.join(scene.story.split())}\n\n```sh\n{told}\n```\n\n<p>\n{images}\n</p>\n{handout}"
    )


def make(names: list[str]) -> int:
    """Make the pictures of the scenes ``names`` (all, if none are named) and the page; return the exit status."""
    every = sorted(path.stem for path in SCENES.glob("*.toml"))
    for name in names or every:
        for command in commands_of(name):
            status = main(command.of(name))
            if status != 0:
                return status
    (HERE / "README.md").write_text(OPENING + "".join(section(name) for name in every), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(make(sys.argv[1:]))
