"""What may be asked of ``compare``: settings, in words or in a file, and what becomes of them; checked at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import fabricsim
from fabricsim.cli.shell.cluster import check_workers
from fabricsim.cli.shell.kinds import HEAD, kind_of_file
from fabricsim.cli.shell.options import open_scene
from fabricsim.cli.shell.outputs import said_of, suffix_of
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import InputError
from fabricsim.study.compare.grid import Grid, grid_of, option_of, read_grid
from fabricsim.study.compare.setting import Study, checked

PLOTS, PICTURES = (".png", ".pdf", ".svg"), (".png",)
MOST_PICTURES = 12
"""Settings that are all drawn; of more the best and the worst (chosen: smaller pictures show no floats)."""
MOST_CURVES = 12
"""Lines of a plot (chosen: more can't be told apart)."""

Words = Sequence[str]
"""What was given for one setting, once or several times, each with values between commas."""


@dataclass(frozen=True)
class CompareOptions:
    """A study, in which form it is told, and what else is made of it; raises ``InputError`` for what can't be drawn."""

    study: Study
    json: bool = False
    csv: bool = False
    out: Path | None = None
    plots: Path | None = None
    pictures: Path | None = None
    processes: int | None = None
    cluster: str | None = None

    def __post_init__(self) -> None:
        grid = self.study.grid
        check_workers(self.processes, self.cluster)
        if self.plots is not None:
            with said_of("--plots"):
                suffix_of(self.plots, PLOTS)
            if len(grid.axes[-1][1]) < 2:
                raise InputError("--plots", "with one slack", "two slacks or more", "add --slack -0.1,-0.05,0,0.05")
            if grid.chain_count > MOST_CURVES:
                given = f"{grid.chain_count} lines, one for each other setting"
                raise InputError("--plots", given, f"at most {MOST_CURVES}", "leave some values out")
        if self.pictures is not None:
            with said_of("--pictures"):
                suffix_of(self.pictures, PICTURES)

    @property
    def grid(self) -> Grid:
        """The settings of the study."""
        return self.study.grid

    @property
    def rows(self) -> Path | None:
        """Where rows are kept as they come: beside the file for the answer, if there is to be one."""
        return self.out.with_name(self.out.name + ".rows") if self.out is not None else None


def study_of(
    path: Path | None, files: Sequence[Path] | None, given: Mapping[str, Words | None], slack_of: Words | None
) -> Study:
    """Return what is to be compared, from the words of the command line or from the file at ``path``.

    ``given``: the words of each setting; ``slack_of``: those of single yarns. Raises ``InputError``.
    """
    written_out: dict[str, object] = {key: _values(words) for key, words in given.items() if words is not None}
    for switch in ("even", "onset"):
        if switch in written_out:
            written_out[switch] = written_out[switch] == [True]
    if slack_of is not None:
        written_out["slack_by_yarn"] = _by_yarn(slack_of)
    if path is not None:
        if files or written_out:
            also = "SCENE" if files else option_of(next(iter(written_out)))
            raise InputError("--study", f"together with {also}", "one of the two", "write all of it into the file")
        grid = read_grid(path)
        files = [path.parent / one for one in grid.scenes]
    else:
        files = _in_folders(files or ())
        grid = grid_of({"scenes": [str(one) for one in files], **written_out} if files else written_out)
    scenes = tuple(open_scene(one) for one in files) if files else (open_scene(None),)
    return checked(Study(grid, scenes, fabricsim.__version__), [scene_hash(scene) for scene in scenes])


def _in_folders(files: Sequence[Path]) -> list[Path]:
    """Return scene files, in place of a folder all scenes in it, by their names; raises ``InputError`` for none."""
    found: list[Path] = []
    for one in files:
        if not one.is_dir():
            found.append(one)
            continue
        scenes = [path for path in sorted(one.glob("*.toml")) if _is_scene(path)]
        if not scenes:
            raise InputError(
                "SCENE", f"'{one}', a folder without scenes", "scene files, or a folder of them", "name one"
            )
        found += scenes
    return found


def _is_scene(path: Path) -> bool:
    with path.open("rb") as file:
        return kind_of_file(path, file.read(HEAD)) == "a scene"


def _values(words: Sequence[str]) -> list[object]:
    """Return the values between commas, of all times that an option was given."""
    return [_value(part.strip()) for word in words for part in word.split(",") if part.strip()]


def _value(word: str) -> object:
    """Return a number as one; yes and no; anything else as it is."""
    if word.lower() in ("yes", "no"):
        return word.lower() == "yes"
    for kind in (int, float):
        try:
            return kind(word)
        except ValueError:
            continue
    return word


def _by_yarn(words: Sequence[str]) -> dict[str, list[object]]:
    found: dict[str, list[object]] = {}
    for word in words:
        symbol, equals, values = word.strip()[:1], word.strip()[1:2], word.strip()[2:]
        if equals != "=":
            raise InputError("--slack-of", f"'{word}'", "a yarn's symbol, = and slacks", "such as x=-0.05,0,0.05")
        found.setdefault(symbol, []).extend(_values([values]))
    return found
