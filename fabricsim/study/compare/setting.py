"""From a scene and a setting to the scene as it would be with it: what is asked for in place of what it says."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from fabricsim.design.catches.plan import catches_of, with_catches
from fabricsim.design.piece.making import piece_of
from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.complaint import complaint
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.yarn import Gauge
from fabricsim.errors import InputError
from fabricsim.study.compare.grid import GAUGE, Grid, Setting, option_of
from fabricsim.units import CM


@dataclass(frozen=True)
class Study:
    """Scenes and the settings that they are compared in. ``version`` is that of the program."""

    grid: Grid
    scenes: tuple[Scene, ...]
    version: str

    def scene_of(self, setting: Setting) -> Scene:
        """Return the scene with everything that the setting changes in it, the catches planned where asked for."""
        return with_setting(self.scenes[setting.scene], setting)

    def case_of(self, setting: Setting) -> Case:
        """Return the load case."""
        scene = self.scenes[setting.scene]
        return piece_of(scene).case if self.is_whole(setting) else setting.case or scene.case

    def is_whole(self, setting: Setting) -> bool:
        """Return whether all of the piece is looked at: where the scene shapes it, unless a case is asked for."""
        return setting.case is None and self.scenes[setting.scene].shaping is not None

    def inside_out(self, setting: Setting) -> bool:
        """Return whether it is worked with its floats outside, which only a tube is."""
        asked = setting.inside_out
        chosen = self.scenes[setting.scene].simulation.inside_out if asked is None else asked
        return chosen and self.case_of(setting) == "round"

    @property
    def tells_onset(self) -> bool:
        """Whether it is told from what slack on each begins to pucker: of several scenes, unless said otherwise."""
        return len(self.scenes) > 1 if self.grid.onset is None else self.grid.onset

    def gauge_of(self, setting: Setting) -> Gauge:
        """Return the gauge."""
        return _gauge(self.scenes[setting.scene], setting.gauge)

    def slack_of_yarns(self, setting: Setting) -> tuple[float, ...]:
        """Return the slack that the floats of each yarn have, whoever says it: setting, scene or knitter's file."""
        return _written(self.scenes[setting.scene], setting).slack_of_yarns

    def stitches(self, setting: Setting) -> int:
        """Return how many stitches are brought to rest."""
        scene = self.scenes[setting.scene]
        if self.is_whole(setting):
            return sum(row.after for row in piece_of(scene).rows)
        rows = scene.chart_rows() if self.case_of(setting) == "repeat" else scene.piece_rows()
        return len(rows) * len(rows[0])


def checked(study: Study, hashes: Sequence[str]) -> Study:
    """Return the study, if every one of its settings can be asked of every scene; else raise InputError."""
    grid, scenes = study.grid, study.scenes
    for number, one in enumerate(hashes):
        if one in hashes[:number]:
            raise InputError("SCENE", f"'{scenes[number].title}' twice", "every scene once", "leave one out")
    cases = {case or scene.case for case in grid.case or (None,) for scene in scenes}
    if True in grid.inside_out and cases != {"round"}:
        other = " and ".join(sorted(cases - {"round"}))
        raise InputError("--inside-out", f"with the case '{other}'", "with the case 'round' only", "add --case round")
    for scene in scenes:
        for symbol in grid.slack_by_yarn:
            if symbol not in scene.symbols:
                raise InputError(
                    option_of("slack_by_yarn"),
                    f"'{symbol}', which is no yarn of '{scene.title}'",
                    f"the symbol of a yarn ({', '.join(scene.symbols)})",
                    "name a yarn",
                )
        for gauge in grid.gauge:
            _gauge(scene, gauge)
    return study


def with_setting(scene: Scene, setting: Setting) -> Scene:
    """Return ``scene`` as ``setting`` has it, but for case, turning and stiffness, which are no part of it."""
    made = _written(scene, setting)
    return _listed(made) if made.floats.plan_catches else made


def _written(scene: Scene, setting: Setting) -> Scene:
    """Return ``scene`` with what ``setting`` says in it, catches not yet planned."""
    gauge = _gauge(scene, setting.gauge)
    floats: dict[str, object] = {}
    by_yarn = dict(setting.slack_by_yarn)
    if setting.slack is not None:
        floats |= {"slack": setting.slack, "slack_by_yarn": by_yarn}
    elif by_yarn:
        floats["slack_by_yarn"] = {**scene.floats.slack_by_yarn, **by_yarn}
    if setting.longest_gap is not None:
        if not scene.limits.none_open or setting.longest_gap == 0:
            floats |= {"longest_gap": setting.longest_gap, "longest_cm": None}
        else:  # where nothing may stay open both have to be written
            width = setting.longest_gap * gauge.stitch_width / CM
            floats |= {"longest_gap": setting.longest_gap, "longest_cm": width * (1.0 + 1e-6)}
    if setting.catches in ("none", "planned"):
        floats |= {"catches": (), "plan_catches": setting.catches == "planned"}
    return scene.model_copy(update={"gauge": gauge, "floats": scene.floats.model_copy(update=floats)})


def _listed(scene: Scene) -> Scene:
    """Return ``scene`` with the catches that are planned listed, so that whoever gets it need not plan again."""
    return with_catches(scene, catches_of(scene))


def _gauge(scene: Scene, asked: str | float | None) -> Gauge:
    if asked is None:
        return scene.gauge
    if isinstance(asked, str):
        found = GAUGE.fullmatch(asked)
        assert found is not None  # the grid has seen to it
        stitches, rows = float(found[1]), float(found[2])
    else:
        stitches, rows = scene.gauge.stitches * asked, scene.gauge.rows * asked
    try:
        return Gauge(stitches=stitches, rows=rows)
    except ValidationError as problem:
        refused = complaint(Path("gauge"), problem.errors(include_url=False), Gauge)
        made = f"'{asked}', with which '{scene.title}' has {stitches:g} stitches and {rows:g} rows to 10 cm"
        raise InputError(option_of("gauge"), made, refused.allowed, refused.todo) from None
