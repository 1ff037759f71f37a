"""What a comparison says to people: a table of what differs, and the notes below it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from fabricsim.cli.commands.compare.data import Rows, catches_said, own_slacks, scene_name, settings_said
from fabricsim.cli.shell.page import Page
from fabricsim.cli.shell.tables import Alignment, Table
from fabricsim.cli.words.cautions import CAUTION
from fabricsim.cli.words.counts import count, listed
from fabricsim.cli.words.pucker import pucker_word
from fabricsim.lengths import (
    far_per_unit,
    far_unit,
    fine_number,
    fine_unit,
    gauge_number,
    gauge_over,
    long_number,
    long_unit,
)
from fabricsim.study.compare.grid import Setting
from fabricsim.study.compare.order import ends_of, goodness
from fabricsim.study.compare.setting import Study
from fabricsim.units import CM, MM

if TYPE_CHECKING:
    from fabricsim.cli.commands.compare.options import CompareOptions

FEWEST_RANKED = 3
"""Scenes of which it is said which lies best and which worst (chosen: of two one sees it)."""
MOST_LINES = 40
"""Lines of the table on the screen (chosen: a screen and a half)."""
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
STIFF = {"stretch_stiffness": "against stretch", "bending_stiffness": "against bending"}
"""What is said of a stiffness that is the same in all rows."""
_WORDS = ("scene", "case", "inside_out", "gauge", "catches")
"""Settings that are words, or no plain numbers."""


def tell(page: Page, study: Study, rows: Rows) -> None:
    """Print the settings that are done side by side."""
    grid, numbers = study.grid, sorted(rows)
    titles = [scene.title for scene in study.scenes]
    page.say(titles[0] if len(titles) == 1 else f"{len(titles)} scenes compared", bold=True, wrap=True)
    page.say(_in_common(study, numbers), wrap=True)
    varied = grid.varied or slacks(study)
    sides: dict[str, Alignment] = {heading(name): "left" if name in _WORDS else "right" for name in varied}
    cells = [
        [*(shown(study, grid.setting(number), name) for name in varied), *_results(study, number, rows[number])]
        for number in numbers[:MOST_LINES]
    ]
    for title in _headings(study):
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


def slacks(study: Study) -> tuple[str, ...]:
    """Return the names of the settings that are slacks: of all yarns alike, and of those that have their own."""
    said = settings_said(study, study.grid.setting(0))
    together = ("slack",) if said["slack_percent"] is not None else ()
    return (*together, *(f"slack of {symbol}" for symbol in own_slacks(study)))


def heading(name: str) -> str:
    """Return what heads the column of a setting."""
    return HEADINGS.get(name, f"{name} %")  # of one yarn


def shown(study: Study, setting: Setting, name: str) -> str:
    """Return one value of a setting as a person reads it."""
    said = settings_said(study, setting)
    if name == "gauge":
        return f"{gauge_number(said['gauge_stitches_per_10_cm'])} x {gauge_number(said['gauge_rows_per_10_cm'])}"
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
    if number is None:
        return "–"
    rounded = round(number, 3)
    return f"{rounded:+g}" if rounded else "0"


def _headings(study: Study) -> tuple[str, ...]:
    """Return what heads the columns of what came out."""
    draw_in, pucker = ((), ()) if study.grid.even else (("likely %",), (f"likely {fine_unit()}",))
    onset = ("puckers from %",) if study.tells_onset else ()
    over = ("too long",) if len(study.scenes) > 1 else ()
    left = (*onset, "taut", *over, "pulls cN", "stretch left %", f"yarn {far_unit()}")
    return ("draw-in %", *draw_in, long_unit(), f"pucker {fine_unit()}", *pucker, *left)


def _likely(study: Study, low: float | None, high: float | None) -> tuple[str, ...]:
    """Return the cell of a likely range; a dash where nothing floats, no cell where every float is alike."""
    if study.grid.even:
        return ()
    return ("–" if low is None or high is None else f"{max(0.0, low):.1f} to {max(0.0, high):.1f}",)


def _likely_pucker(study: Study, low: float | None, high: float | None) -> tuple[str, ...]:
    """Return the same for a pucker, in mm."""
    if study.grid.even:
        return ()
    return ("–" if low is None or high is None else f"{fine_number(low * MM)} to {fine_number(high * MM)}",)


def _results(study: Study, number: int, row: Mapping[str, Any]) -> list[str]:
    if not row["at_rest"]:
        return ["–"] * len(_headings(study))
    left = row["stretch_left_percent"]
    return [
        f"{row['draw_in_percent'] + 0.0:.1f}",
        *_likely(study, row["draw_in_low_percent"], row["draw_in_high_percent"]),
        long_number(row["draw_in_cm"] * CM + 0.0),
        fine_number(row["pucker_mm"] * MM),
        *_likely_pucker(study, row["pucker_low_mm"], row["pucker_high_mm"]),
        *((_onset_said(row["onset_slack_percent"]),) if study.tells_onset else ()),
        f"{row['taut_floats']} of {row['floats']}",
        *((str(row["floats_over_limit"]),) if len(study.scenes) > 1 else ()),
        f"{row['greatest_tension_cN']:.2f}",
        "–" if left is None else f"{left:.1f}",
        " + ".join(f"{metres / far_per_unit():.1f}" for metres in row["yarn_m"]),
    ]


def _onset_said(percent: float | None) -> str:
    return "none" if percent is None else f"{percent:+.1f}"


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
        if study.is_whole(setting) and len(study.scenes) == 1:
            what = "the whole piece as its pattern shapes it"
        parts.append(f"seen as {what}{turned}")
    if "gauge" not in varied and len(study.scenes) == 1:
        parts.append(f"{shown(study, setting, 'gauge')} stitches and rows to {gauge_over()}")
    if len(study.scenes) == 1 and "catches" not in varied:
        parts.append(
            {"none": "no catches", "listed": "caught as listed"}.get(catches_said(study, setting), "catches planned")
        )
    if "slack" not in varied and len(study.scenes) == 1 and not study.grid.slack_by_yarn:
        name_of = {f"slack of {yarn.symbol}": f"slack of {yarn.name}" for yarn in study.scenes[0].yarns}
        parts.extend(f"{name_of.get(one, one)} {shown(study, setting, one)} %" for one in slacks(study))
    parts += [
        f"{said} {shown(study, setting, name)} times as stiff as usual"
        for name, said in STIFF.items()
        if name not in varied and getattr(study.grid, name)
    ]
    text = ", ".join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else "All else as each scene has it."


def _notes(study: Study, rows: Rows) -> list[str]:
    """Return the sentences below the table."""
    said: list[str] = []
    lost = {number: row for number, row in rows.items() if not row["at_rest"]}
    said.extend(f"Setting {one + 1}, {lost[one]['status']}: {lost[one]['remark']}." for one in sorted(lost)[:3])
    if len(lost) > 3:
        said.append(f"And {count(len(lost) - 3, 'more setting')} without a result; --out FILE.csv says why.")
    if any(row["remark"].startswith("passes") for row in rows.values()):
        said.append("Where the fabric passes through itself, don't trust the numbers: it is too tight to forecast.")
    over = {row["floats_over_limit"] for row in rows.values() if row["at_rest"]}
    if over and max(over) > 0:
        words = str(max(over)) if len(over) == 1 else f"from {min(over)} to {max(over)}"
        where = " ('too long')" if len(study.scenes) > 1 else " (in the CSV setting by setting)"
        said.append(f"Floats over the limit, which want a catch: {words}{where}.")
    shaped = [scene_name(study, number) for number, scene in enumerate(study.scenes) if scene.shaping is not None]
    whole = not study.grid.case
    if shaped and not whole:
        said.append(f"Seen straight, without the shaping that the scene tells: {listed(shaped)}.")
    elif shaped and len(study.scenes) > 1:
        said.append(f"Seen whole, as the pattern shapes it: {listed(shaped)}.")
    said.extend(_ends_said(study, rows))
    if study.tells_onset:
        from fabricsim.study.forecast.puckering import TIGHTEST_CARRIED

        said.append(
            "'Puckers from': the slack of the tightest float from which on the chart without end puckers, every float "
            f"carried alike; none: not down to {100.0 * TIGHTEST_CARRIED:.0f} %."
        )
    said.append(
        "Every float alike (--even): real hands are uneven, which draws in more; leave --even out to see how much."
        if study.grid.even
        else "'Likely': nine pieces in ten lie there. --even takes every float alike: much quicker, no likely range."
    )
    yarns = " + ".join(yarn.name for yarn in study.scenes[0].yarns)
    whose = f" ({yarns})" if len(study.scenes) == 1 else ", in the order of the scene"
    said.append(
        "'Stretch left' is how far it stretches before the first float is taut. "
        f"{_yarn_said(whose, shaped if whole else [], len(study.scenes))} The mechanics is checked against exact "
        "solutions, not against hand-knits: knit a swatch."
    )
    said.append(CAUTION)
    return said


def _yarn_said(whose: str, whole: list[str], scenes: int) -> str:
    """Return what the yarn goes into; ``whole``: scenes of which all of the piece is seen."""
    bare = f"Yarn is for the chart and the plain rows about it{whose}, without rib, crown or lining, nothing to spare"
    if not whole:
        return f"{bare}."
    if len(whole) == scenes:
        return f"Yarn is for the whole piece{whose}, nothing to spare."
    return f"{bare}; of what is seen whole, for all of it."


def best_first(rows: Rows) -> list[int]:
    """Return the settings that came to rest, by their numbers, the best first."""
    return sorted((number for number in sorted(rows) if rows[number]["at_rest"]), key=lambda one: goodness(rows[one]))


def _ends_said(study: Study, rows: Rows) -> list[str]:
    """Return which of many scenes lie best and worst, and by what that is told."""
    numbers = best_first(rows)
    if len(study.scenes) < FEWEST_RANKED or len(numbers) < FEWEST_RANKED:
        return []
    best, worst = ends_of(numbers, 1)
    ends = [_end_said(study, number, rows[number]) for number in (*best, *worst)]
    return [f"The best is {ends[0]}; the worst is {ends[1]}: fewest floats over the limit first, then least narrower."]


def _end_said(study: Study, number: int, row: Mapping[str, Any]) -> str:
    """Return one setting in a line: ``rings (slack +5 %), 2.1 % narrower, flat, 3 floats over the limit``."""
    setting, varied = study.grid.setting(number), [name for name in study.grid.varied if name != "scene"]
    how = ", ".join(f"{heading(name).removesuffix(' %')} {shown(study, setting, name)}" for name in varied)
    over = row["floats_over_limit"]
    return (
        f"{shown(study, setting, 'scene')}{f' ({how})' if how else ''}, {row['draw_in_percent'] + 0.0:.1f} % narrower, "
        f"{pucker_word(row['pucker_mm'] * MM).word}, {count(over, 'float') if over else 'no float'} over the limit"
    )


def stopped(options: CompareOptions, done: int) -> str:
    """Return what is said of a comparison that was stopped, and how to go on."""
    also = f" and kept in {options.rows}; the same command goes on from there" if options.rows is not None else ""
    return f"fabricsim: {done} of {options.grid.count} settings are done{also}"


def made(options: CompareOptions, rows: Rows) -> list[str]:
    """Return the sentence that says which files were written, if any."""
    files = [str(path) for path in (options.out, options.plots, options.pictures) if path is not None]
    if not files:
        return []
    rested = sum(row["at_rest"] for row in rows.values())
    return [f"Written to {' and '.join(files)}: {count(len(rows), 'setting')}, {rested} at rest."]
