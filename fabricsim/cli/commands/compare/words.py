"""What a comparison says: to people in a table of what differs, to programs and spreadsheets in full."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from fabricsim.cli.shell.answer import Answer
from fabricsim.cli.shell.page import Page, Side, Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count
from fabricsim.design.scene.read import scene_hash
from fabricsim.study.compare.grid import Setting
from fabricsim.study.compare.setting import Study

SCHEMA_VERSION = 1
"""Of the JSON; raised whenever a key changes its meaning or goes."""
MOST_LINES = 40
"""Lines of the table on the screen (chosen: a screen and a half)."""

Rows = Mapping[int, Mapping[str, Any]]
RESULTS = (
    "draw_in_percent",
    "draw_in_cm",
    "width_cm",
    "pucker_mm",
    "floats",
    "taut_floats",
    "greatest_tension_cN",
    "stretch_left_percent",
    "floats_over_limit",
)
"""Keys of what came out, in their order; after them come the yarns, the status and the remark."""
HEADINGS = {
    "scene": "scene",
    "case": "case",
    "inside_out": "inside out",
    "gauge": "gauge",
    "stretch_stiffness": "stretch x",
    "bending_stiffness": "bend x",
    "catches": "catches",
    "longest_gap": "gap",
    "slack": "slack %",
}
"""What heads the column of a setting on the screen."""


def answer_of(study: Study, rows: Rows) -> Answer:
    """Return the comparison; ``rows`` by the number of their setting, in any order, maybe not yet all."""
    lines = [_line(study, number, rows[number]) for number in sorted(rows)]
    columns = tuple(_line(study, 0, {"status": "", "remark": ""}))
    return Answer(lambda page: _tell(page, study, rows), _for_programs(study, lines), lines, columns)


# ---- for programs and spreadsheets ---------------------------------------------------------------


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
    slack_of = {symbol: _slack_of(study, setting, symbol) for symbol in _symbols(study)}
    return {
        "scene": scene_name(study, setting.scene),
        "case": study.case_of(setting),
        "inside_out": study.inside_out(setting),
        "gauge_stitches_per_10_cm": gauge.stitches,
        "gauge_rows_per_10_cm": gauge.rows,
        "stretch_stiffness_times": setting.stretch_stiffness or 1.0,
        "bending_stiffness_times": setting.bending_stiffness or 1.0,
        "catches": _catches(study, setting),
        "longest_gap_stitches": scene.limits.longest_gap if setting.longest_gap is None else setting.longest_gap,
        "slack_percent": per_cent(scene.floats.slack if setting.slack is None else setting.slack),
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


def _symbols(study: Study) -> list[str]:
    """Return the yarns that have a slack of their own somewhere, in the order of the scenes."""
    own = set(study.grid.slack_by_yarn)
    if not study.grid.slack:
        own.update(symbol for scene in study.scenes for symbol in scene.floats.slack_by_yarn)
    return list(dict.fromkeys(symbol for scene in study.scenes for symbol in scene.symbols if symbol in own))


def _slack_of(study: Study, setting: Setting, symbol: str) -> float | None:
    """Return the slack of one yarn, per cent; None where the scene has no such yarn."""
    scene, asked = study.scenes[setting.scene], dict(setting.slack_by_yarn)
    if symbol not in scene.symbols:
        return None
    if symbol in asked:
        return per_cent(asked[symbol])
    if setting.slack is not None:
        return per_cent(setting.slack)
    return per_cent(scene.floats.slack_by_yarn.get(symbol, scene.floats.slack))


def _catches(study: Study, setting: Setting) -> str:
    """Return what catches there are, as a word."""
    rules = study.scenes[setting.scene].floats
    if setting.catches in ("none", "planned"):
        return setting.catches
    return "planned" if rules.plan_catches else "listed" if rules.catches else "none"


def _for_programs(study: Study, lines: list[dict[str, Any]]) -> dict[str, Any]:
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
        "settings": study.grid.count,
        "done": len(lines),
        "rows": lines,
    }


# ---- for people ----------------------------------------------------------------------------------


def _tell(page: Page, study: Study, rows: Rows) -> None:
    grid, numbers = study.grid, sorted(rows)
    titles = [scene.title for scene in study.scenes]
    page.say(titles[0] if len(titles) == 1 else f"{len(titles)} scenes compared", bold=True, wrap=True)
    page.say(_in_common(study, numbers), wrap=True)
    varied = grid.varied or ("slack",)
    sides: dict[str, Side] = {heading(name): "left" if name in _WORDS else "right" for name in varied}
    cells = [
        [*(shown(study, grid.setting(number), name) for name in varied), *_results(study, number, rows[number])]
        for number in numbers[:MOST_LINES]
    ]
    for title in ("draw-in %", "cm", "pucker mm", "taut", "pulls cN", "stretch left %", "yarn m"):
        sides[title] = "right"
    remarks = [rows[number]["remark"] for number in numbers[:MOST_LINES]]
    if any(remarks) or not all(rows[number]["at_rest"] for number in numbers[:MOST_LINES]):
        sides["status"] = "left"
        for line, number in zip(cells, numbers, strict=False):
            line.append(_status(rows[number]))
    page.table(Table(count(len(numbers), "setting"), sides, cells))
    if len(numbers) > MOST_LINES:
        page.say(f"The first {MOST_LINES} of {len(numbers)} are shown; --out FILE.csv writes all of them.", wrap=True)
    for sentence in _notes(study, rows):
        page.say(sentence, wrap=True)


_WORDS = ("scene", "case", "inside_out", "gauge", "catches")
"""Settings that are words, or no plain numbers."""


def heading(name: str) -> str:
    """Return what heads the column of a setting."""
    return HEADINGS.get(name, f"{name} %")  # of one yarn


def shown(study: Study, setting: Setting, name: str) -> str:
    """Return one value of a setting as a person reads it."""
    said = settings_said(study, setting)
    if name == "gauge":
        return f"{said['gauge_stitches_per_10_cm']:g} x {said['gauge_rows_per_10_cm']:g}"
    if name == "inside_out":
        return "yes" if said[name] else "no"
    if name in ("stretch_stiffness", "bending_stiffness"):
        return f"{said[name + '_times']:g}"
    if name == "longest_gap":
        return str(said["longest_gap_stitches"])
    if name == "slack":
        return _signed(said["slack_percent"])
    if name in said:
        return str(said[name])
    return _signed(said[f"slack_of_{name.removeprefix('slack of ')}_percent"])


def _signed(number: float | None) -> str:
    """Return a slack in per cent with its sign; a dash where the scene has no such yarn."""
    return "–" if number is None else f"{number:+g}" if number else "0"


def _results(study: Study, number: int, row: Mapping[str, Any]) -> list[str]:
    if not row["at_rest"]:
        return ["–"] * 7
    left = row["stretch_left_percent"]
    return [
        f"{row['draw_in_percent'] + 0.0:.1f}",
        f"{row['draw_in_cm'] + 0.0:.1f}",
        f"{row['pucker_mm']:.1f}",
        f"{row['taut_floats']} of {row['floats']}",
        f"{row['greatest_tension_cN']:.2f}",
        "–" if left is None else f"{left:.1f}",
        " + ".join(f"{metres:.1f}" for metres in row["yarn_m"]),
    ]


def _status(row: Mapping[str, Any]) -> str:
    if not row["at_rest"]:
        return str(row["status"])
    return str(row["remark"]).split(":")[0]


def _in_common(study: Study, numbers: list[int]) -> str:
    """Return what is alike in all rows."""
    if not numbers:
        return "Nothing done yet."
    setting, varied = study.grid.setting(numbers[0]), study.grid.varied
    parts = []
    if "case" not in varied and len({study.case_of(study.grid.setting(number)) for number in numbers}) == 1:
        case = study.case_of(setting)
        turned = ", knitted with the floats outside" if study.inside_out(setting) else ""
        what = {"repeat": "the chart endlessly repeated", "swatch": "a swatch on a table", "round": "a tube"}[case]
        parts.append(f"seen as {what}{turned}")
    if "gauge" not in varied and len(study.scenes) == 1:
        parts.append(f"{shown(study, setting, 'gauge')} stitches and rows to 10 cm")
    if len(study.scenes) == 1 and "catches" not in varied:
        parts.append(
            {"none": "no catches", "listed": "caught as listed"}.get(_catches(study, setting), "catches planned")
        )
    if "slack" not in varied and len(study.scenes) == 1 and not study.grid.slack_by_yarn:
        parts.append(f"slack {shown(study, setting, 'slack')} %")
    text = ", ".join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else "All else as each scene has it."


def _notes(study: Study, rows: Rows) -> list[str]:
    """Return the sentences below the table."""
    said: list[str] = []
    lost = {number: row for number, row in rows.items() if not row["at_rest"]}
    said.extend(f"Setting {one + 1}, {lost[one]['status']}: {lost[one]['remark']}." for one in sorted(lost)[:3])
    if len(lost) > 3:
        said.append(f"And {len(lost) - 3} more settings without a result; --out FILE.csv says why.")
    if any(row["remark"].startswith("passes") for row in rows.values()):
        said.append("Where the fabric passes through itself, don't trust the numbers: it is too tight to forecast.")
    over = {row["floats_over_limit"] for row in rows.values() if row["at_rest"]}
    if over and max(over) > 0:
        words = str(max(over)) if len(over) == 1 else f"from {min(over)} to {max(over)}"
        said.append(f"Floats over the limit, which want a catch: {words} (in the CSV setting by setting).")
    yarns = " + ".join(yarn.name for yarn in study.scenes[0].yarns)
    whose = f" ({yarns})" if len(study.scenes) == 1 else ", in the order of the scene"
    said.append(
        f"'Stretch left' is how far it stretches before the first float is taut. Yarn is for the whole piece{whose}, "
        "nothing to spare. The mechanics is checked against exact solutions, not against hand-knits: knit a swatch."
    )
    said.append(CAUTION)
    return said
