"""``fabricsim compare``: every combination of the settings asked for, side by side in one table."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

import fabricsim
from fabricsim.cli.shell.answer import CsvOption, JsonOption, OutOption, form, written
from fabricsim.cli.shell.options import open_scene
from fabricsim.cli.shell.outputs import (
    file_for_output,
    said_of,
    suffix_of,
    write_bytes_atomically,
    write_text_atomically,
)
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.progress import Counted
from fabricsim.cli.words.counts import count
from fabricsim.design.scene.read import scene_hash
from fabricsim.errors import InputError, NoEquilibriumError
from fabricsim.study.compare.grid import Grid, grid_of, read_grid
from fabricsim.study.compare.setting import Study, checked

if TYPE_CHECKING:
    from fabricsim.study.compare.checkpoint import Kept

PLOTS, PICTURES = (".png", ".pdf", ".svg"), (".png",)
MOST_PICTURES = 12
"""Settings that are drawn (chosen: smaller pictures show no floats)."""
MOST_CURVES = 12
"""Lines of a plot (chosen: more can't be told apart)."""
MOST_PROCESSES = 1000
"""Processes that may be asked for (chosen)."""


def _values(said: str) -> Any:
    return typer.Option(metavar="VALUES", show_default=False, help=said)


def compare(
    scenes: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="SCENE", show_default=False, help="Scene files (TOML); the built-in hat band if left out."
        ),
    ] = None,
    study: Annotated[
        Path | None,
        typer.Option(metavar="FILE", show_default=False, help="Scenes and settings from this file (TOML)."),
    ] = None,
    slack: Annotated[list[str] | None, _values("Slacks of every float: -0.1,0,0.1 or, as a range, -0.1:0.1:0.05")] = (
        None
    ),
    slack_of: Annotated[
        list[str] | None, _values("Slacks of one yarn, by its symbol: x=-0.05,0,0.05; once for each yarn.")
    ] = None,
    longest_gap: Annotated[
        list[str] | None, _values("Most stitches that a float may pass behind, in place of the scene's limits: 3,5,7")
    ] = None,
    catches: Annotated[list[str] | None, _values("Any of none, planned and scene (as it has them).")] = None,
    gauge: Annotated[
        list[str] | None, _values("Stitches and rows to 10 cm, 19x25.5,20x27, or factors on the scene's: 0.9,1,1.1")
    ] = None,
    stretch_stiffness: Annotated[list[str] | None, _values("How many times as stiff to stretch: 0.5,1,2")] = None,
    bending_stiffness: Annotated[list[str] | None, _values("How many times as stiff to bend: 0.5,1,2")] = None,
    case: Annotated[list[str] | None, _values("Any of repeat, swatch and round; by default the scene's own.")] = None,
    inside_out: Annotated[
        list[str] | None, _values("no, yes or no,yes: whether a tube is knitted with its floats outside.")
    ] = None,
    json: JsonOption = False,
    csv: CsvOption = False,
    out: OutOption = None,
    plots: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", show_default=False, help="Draw draw-in and pucker against slack: .png, .pdf or .svg."
        ),
    ] = None,
    pictures: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", show_default=False, help=f"Draw face and back of each, {MOST_PICTURES} at most: .png."
        ),
    ] = None,
    processes: Annotated[
        int | None,
        typer.Option(
            min=1,
            max=MOST_PROCESSES,
            metavar="N",
            show_default=False,
            help="How many processes work on it; by default one a core, or one where it is small.",
        ),
    ] = None,
    cluster: Annotated[
        str | None,
        typer.Option(
            metavar="ADDRESS", show_default=False, help="Work on a dask cluster: its address, or 'local' for one here."
        ),
    ] = None,
) -> None:
    """Compare every combination of settings of one scene or several.

    Several values stand between commas. With --out, rows are kept as they come beside that file: stop it, and the same
    command goes on where it was.
    """
    given = {
        "case": case,
        "inside_out": inside_out,
        "gauge": gauge,
        "stretch_stiffness": stretch_stiffness,
        "bending_stiffness": bending_stiffness,
        "catches": catches,
        "longest_gap": longest_gap,
        "slack": slack,
    }
    asked = _study(study, scenes, given, slack_of)
    if processes is not None and cluster not in (None, "local"):
        raise InputError("--processes", f"with --cluster {cluster}", "one of the two", "the cluster has its workers")
    work = _Work(asked, *form(json=json, csv=csv, out=out), out, plots, pictures, processes, cluster)
    work.check()
    work.run()


# ---- what is asked for ---------------------------------------------------------------------------


def _study(
    path: Path | None, files: list[Path] | None, given: dict[str, list[str] | None], slack_of: list[str] | None
) -> Study:
    """Return what is to be compared, from the words of the command line or from a file; raises InputError."""
    written_out: dict[str, object] = {key: _read(words) for key, words in given.items() if words is not None}
    if slack_of is not None:
        written_out["slack_by_yarn"] = _by_yarn(slack_of)
    if path is not None:
        if files or written_out:
            also = "SCENE" if files else f"--{next(iter(written_out)).replace('_', '-')}"
            raise InputError("--study", f"together with {also}", "one of the two", "write all of it into the file")
        grid = read_grid(path)
        files = [path.parent / one for one in grid.scenes]
    else:
        grid = grid_of({"scenes": [str(one) for one in files], **written_out} if files else written_out)
    scenes = tuple(open_scene(one) for one in files) if files else (open_scene(None),)
    return checked(Study(grid, scenes, fabricsim.__version__), [scene_hash(scene) for scene in scenes])


def _read(words: Sequence[str]) -> list[object]:
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
        found.setdefault(symbol, []).extend(_read([values]))
    return found


# ---- the work ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Work:
    """A study and what is to become of it."""

    study: Study
    json: bool
    csv: bool
    out: Path | None
    plots: Path | None
    pictures: Path | None
    processes: int | None
    cluster: str | None

    @property
    def grid(self) -> Grid:
        return self.study.grid

    def check(self) -> None:
        """Raise InputError for what can't be drawn."""
        if self.plots is not None:
            with said_of("--plots"):
                suffix_of(self.plots, PLOTS)
            if len(self.grid.axes[-1][1]) < 2:
                raise InputError("--plots", "with one slack", "two slacks or more", "add --slack -0.1,-0.05,0,0.05")
            if self.grid.chain_count > MOST_CURVES:
                given = f"{self.grid.chain_count} lines, one for each other setting"
                raise InputError("--plots", given, f"at most {MOST_CURVES}", "leave some values out")
        if self.pictures is not None:
            with said_of("--pictures"):
                suffix_of(self.pictures, PICTURES)
            if self.grid.count > MOST_PICTURES:
                given = f"with {self.grid.count:,} settings"
                raise InputError("--pictures", given, f"at most {MOST_PICTURES}", "leave some values out")

    def run(self) -> None:
        """Solve what is not yet solved, and write or print all of it; stopped by Ctrl-C, what there is."""
        from contextlib import ExitStack

        from fabricsim.study.compare.chains import identity
        from fabricsim.study.compare.checkpoint import Kept

        with ExitStack() as files:
            for option, path in (("--out", self.out), ("--plots", self.plots), ("--pictures", self.pictures)):
                if path is not None:
                    with said_of(option):
                        files.enter_context(file_for_output(path))
            rows = self.out.with_name(self.out.name + ".rows") if self.out is not None else None
            with Kept(rows, identity(self.study), hold=self.pictures is not None) as kept:
                try:
                    self._solve(kept)
                except KeyboardInterrupt:
                    self._stopped(kept, rows)
                    raise
                self._give(kept)
                self._draw(kept)
                self._note_failure(kept)

    def _solve(self, kept: Kept) -> None:
        from fabricsim.study.compare.chains import compare, usual_processes

        left = self.grid.count - len(kept.rows)
        processes = self.processes or usual_processes(self.study, left if self.cluster is None else sys.maxsize)
        with Counted("settings brought to rest", self.grid.count, len(kept.rows)) as counted:
            for _ in compare(self.study, kept, processes=processes, cluster=self.cluster):
                counted.one_more()

    def _give(self, kept: Kept) -> None:
        from fabricsim.cli.commands.compare.words import answer_of

        answer = answer_of(self.study, kept.rows)
        if self.out is None:
            if self.json or self.csv:
                print(written(answer, json=self.json, csv=self.csv), end="")
            else:
                answer.tell(Page())
            return
        write_text_atomically(self.out, written(answer, json=self.json, csv=self.csv))

    def _stopped(self, kept: Kept, rows: Path | None) -> None:
        """Keep what there is; say how to go on."""
        if not kept.rows:
            return
        self._give(kept)
        done = f"{len(kept.rows)} of {self.grid.count} settings are done"
        also = f" and kept in {rows}; the same command goes on from there" if rows is not None else ""
        print(f"fabricsim: {done}{also}", file=sys.stderr)

    def _draw(self, kept: Kept) -> None:
        from fabricsim.cli.commands.compare import pictures as drawings

        if self.plots is not None:
            data = drawings.plots(self.study, kept.rows, self.plots.suffix.lower())
            with said_of("--plots"):
                write_bytes_atomically(self.plots, data)
        if self.pictures is not None:
            data = drawings.pictures(self.study, kept)
            with said_of("--pictures"):
                write_bytes_atomically(self.pictures, data)
        made = [str(path) for path in (self.out, self.plots, self.pictures) if path is not None]
        if made and not ((self.json or self.csv) and self.out is None):
            rested = sum(row["at_rest"] for row in kept.rows.values())
            Page().say(f"Written to {' and '.join(made)}: {count(len(kept.rows), 'setting')}, {rested} at rest.")

    def _note_failure(self, kept: Kept) -> None:
        """Raise NoEquilibriumError if no setting at all came to rest."""
        if not any(row["at_rest"] for row in kept.rows.values()):
            raise NoEquilibriumError(f"no setting came to rest; the first: {kept.rows[0]['remark']}")
