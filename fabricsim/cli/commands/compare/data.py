"""What a comparison says to programs and spreadsheets, in full."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fabricsim.design.scene.read import scene_hash
from fabricsim.study.compare.grid import Setting
from fabricsim.study.compare.setting import Study

SCHEMA_VERSION = 2
"""Of the JSON; raised whenever a key changes its meaning or goes."""

Rows = Mapping[int, Mapping[str, Any]]
"""What came out, by the number of the setting; maybe not yet of all."""
RESULTS = (
    "draw_in_percent",
    "draw_in_low_percent",
    "draw_in_high_percent",
    "draw_in_cm",
    "width_cm",
    "pucker_mm",
    "pucker_low_mm",
    "pucker_high_mm",
    "onset_slack_percent",
    "floats",
    "taut_floats",
    "greatest_tension_cN",
    "stretch_left_percent",
    "floats_over_limit",
)
"""Keys of what came out, in their order; after them come the yarns, the status and the remark."""


def lines(study: Study, rows: Rows) -> list[dict[str, Any]]:
    """Return a line for each setting that is done, in their order."""
    return [_line(study, number, rows[number]) for number in sorted(rows)]


def columns(study: Study) -> tuple[str, ...]:
    """Return the keys of every line."""
    return tuple(_line(study, 0, {"status": "", "remark": ""}))


def _line(study: Study, number: int, row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a row in full: the setting, with what the scene says where nothing was asked for, and what came out."""
    setting = study.grid.setting(number)
    said = settings_said(study, setting)
    yarn_m = row.get("yarn_m", [])
    most = max(len(scene.yarns) for scene in study.scenes)
    return {
        "setting": number + 1,
        **said,
        **{key: row.get(key) for key in RESULTS},
        **{f"yarn_{yarn + 1}_m": yarn_m[yarn] if yarn < len(yarn_m) else None for yarn in range(most)},
        "status": row["status"],
        "remark": row["remark"],
    }


def settings_said(study: Study, setting: Setting) -> dict[str, Any]:
    """Return a setting with units in the keys."""
    scene = study.scenes[setting.scene]
    gauge = study.gauge_of(setting)
    slack_of = {symbol: _slack_of(study, setting, symbol) for symbol in own_slacks(study)}
    return {
        "scene": scene_name(study, setting.scene),
        "case": study.case_of(setting),
        "whole": study.is_whole(setting),
        "inside_out": study.inside_out(setting),
        "gauge_stitches_per_10_cm": gauge.stitches,
        "gauge_rows_per_10_cm": gauge.rows,
        "stretch_stiffness_times": setting.stretch_stiffness or 1.0,
        "bending_stiffness_times": setting.bending_stiffness or 1.0,
        "catches": catches_said(study, setting),
        "longest_gap_stitches": scene.limits.longest_gap if setting.longest_gap is None else setting.longest_gap,
        "slack_percent": _slack(study, setting),
        **{f"slack_of_{symbol}_percent": slack for symbol, slack in slack_of.items()},
    }


def per_cent(share: float) -> float:
    """Return a share in per cent without the digits that 0.07 x 100 brings with it."""
    return round(100.0 * share, 9)


def scene_name(study: Study, number: int) -> str:
    """Return what a scene is called in a table: by its file, in full only where two files share a name."""
    sources = [scene.source for scene in study.scenes]
    source = sources[number]
    if source is None or not Path(source).stem:
        return study.scenes[number].title
    alike = sum(one is not None and one.stem == source.stem for one in sources)
    return source.stem if alike == 1 else str(source)


def own_slacks(study: Study) -> list[str]:
    """Return the yarns that have a slack of their own somewhere, in the order of the scenes: as asked for or written,
    or where a knitter's file tells yarns apart."""
    own = set(study.grid.slack_by_yarn)
    for scene in study.scenes if not study.grid.slack else ():
        written = scene.floats.slack_by_yarn
        slack_of = dict(zip(scene.symbols, scene.slack_of_yarns, strict=True))
        others = {slack for symbol, slack in slack_of.items() if symbol not in written}
        own.update(written if len(others) <= 1 else scene.symbols)
    return list(dict.fromkeys(symbol for scene in study.scenes for symbol in scene.symbols if symbol in own))


def _slack(study: Study, setting: Setting) -> float | None:
    """Return the slack of all yarns that have none of their own, per cent; None where there are no such yarns."""
    if setting.slack is not None:
        return per_cent(setting.slack)
    symbols, own = study.scenes[setting.scene].symbols, own_slacks(study)
    slack_of = dict(zip(symbols, study.slack_of_yarns(setting), strict=True))
    return next((per_cent(slack) for symbol, slack in slack_of.items() if symbol not in own), None)


def _slack_of(study: Study, setting: Setting, symbol: str) -> float | None:
    """Return the slack of one yarn, per cent; None where the scene has no such yarn."""
    symbols = study.scenes[setting.scene].symbols
    return per_cent(study.slack_of_yarns(setting)[symbols.index(symbol)]) if symbol in symbols else None


def catches_said(study: Study, setting: Setting) -> str:
    """Return what catches there are, as a word."""
    rules = study.scenes[setting.scene].floats
    if setting.catches in ("none", "planned"):
        return setting.catches
    return "planned" if rules.plan_catches else "listed" if rules.catches else "none"


def for_programs(study: Study, lines: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the scenes and the ``lines`` of all settings for JSON, units in the keys."""
    return {
        "schema_version": SCHEMA_VERSION,
        "command": "compare",
        "version": study.version,
        "scenes": [
            {
                "name": scene_name(study, number),
                "title": scene.title,
                "scene_hash": scene_hash(scene),
                "yarns": [yarn.name for yarn in scene.yarns],
            }
            for number, scene in enumerate(study.scenes)
        ],
        "floats_alike": study.grid.even,
        "onset_looked_for": study.tells_onset,
        "settings": study.grid.count,
        "done": len(lines),
        "rows": lines,
    }
