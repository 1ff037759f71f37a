"""A comparison in lines and in pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fabricsim.cli.commands.compare.data import Rows, per_cent, settings_said
from fabricsim.cli.commands.compare.options import MOST_PICTURES
from fabricsim.cli.commands.compare.words import best_first, heading, shown, slacks
from fabricsim.errors import FabricsimError
from fabricsim.fabric.equilibrium import Equilibrium
from fabricsim.lengths import fine
from fabricsim.study.compare.chains import job_of, rest_of
from fabricsim.study.compare.checkpoint import Kept
from fabricsim.study.compare.grid import Setting
from fabricsim.study.compare.order import ends_of
from fabricsim.study.compare.setting import Study
from fabricsim.study.forecast.waves import in_waves
from fabricsim.units import MM

DRAWN = 4
"""Settings of either end that are drawn where there are too many to draw all (chosen: two lines of a page)."""


def plots(study: Study, rows: Rows, suffix: str) -> bytes:
    """Return draw-in and pucker against slack as a file that ends in ``suffix``, a line for every chain."""
    from fabricsim.render.basics.files import figures_as
    from fabricsim.render.plots.slack_curves import SlackCurve, curves_figure

    swept = study.grid.swept
    others = [name for name in study.grid.varied if name != swept]
    curves = []
    for chain in study.grid.chains():
        settings = [study.grid.setting(number) for number in chain]
        results = [rows[number] for number in chain]
        curves.append(
            SlackCurve(
                label=_label(study, settings[0], others),
                slack=[_slack(study, setting, swept) for setting in settings],
                draw_in=[row.get("draw_in_percent") for row in results],
                pucker=[row.get("pucker_mm") for row in results],
            )
        )
    word = "Slack" if swept == "slack" else f"S{swept[1:]}"
    title = _title(study)
    return figures_as(suffix, [curves_figure(curves, title, word)], title)[0]


def pictures(study: Study, kept: Kept) -> bytes:
    """Return face and back of every setting as a PNG, all at one scale; of too many the best and the worst."""
    from fabricsim.render.basics.files import page_png
    from fabricsim.render.handouts.multiples import Shown, multiples_page

    drawn = _drawn(study, kept)
    rest_of_number = dict(_rests(study, kept, [number for number, _ in drawn]))
    varied = study.grid.varied or slacks(study)
    fabrics = []
    for number, end in drawn:
        row = kept.rows[number]
        result = row["status"]
        if row["at_rest"]:
            result = f"{row['draw_in_percent'] + 0.0:.1f} % narrower, {fine(row['pucker_mm'] * MM)} of pucker"
            begins = row.get("onset_slack_percent")
            result += "" if begins is None else f", puckers from slack {begins:+.1f} %"
        setting = study.grid.setting(number)
        fabrics.append(Shown(rest_of_number.get(number), f"{end}{_label(study, setting, varied)}", result))
    if len(drawn) < study.grid.count:
        title = f"{_title(study)}: the best and the worst of {study.grid.count:,} settings"
        return page_png(multiples_page(fabrics, title, columns=DRAWN))
    # a column for each of the slacks that follow one another, a line for every other setting
    side_by_side = study.grid.count // study.grid.chain_count
    return page_png(multiples_page(fabrics, _title(study), columns=side_by_side if side_by_side > 1 else None))


def _drawn(study: Study, kept: Kept) -> list[tuple[int, str]]:
    """Return the settings that are drawn, each with what its label begins with."""
    if study.grid.count <= MOST_PICTURES:
        return [(number, "") for number in range(study.grid.count)]
    best, worst = ends_of(best_first(kept.rows), DRAWN)
    return [*((number, "best: ") for number in best), *((number, "worst: ") for number in worst)]


def _rests(study: Study, kept: Kept, numbers: Sequence[int]) -> Iterator[tuple[int, Equilibrium]]:
    """Yield these settings at rest: from the shape that is held, or by going through its chain again."""
    for chain in study.grid.chains():
        start = None
        last = max((place for place, number in enumerate(chain) if number in numbers), default=-1)
        for number in chain[: last + 1]:
            if not kept.rows[number]["at_rest"]:
                continue
            held = kept.held.get(number)
            try:
                rest = rest_of(job_of(study, number, held or start), kept.rows[number]["shift"])
            except FabricsimError:  # it came to rest once, by the same way
                continue
            start = held or rest.state
            if number in numbers:
                yield number, in_waves(rest)


def _title(study: Study) -> str:
    titles = [scene.title for scene in study.scenes]
    return titles[0] if len(titles) == 1 else f"{len(titles)} scenes compared"


def _label(study: Study, setting: Setting, names: list[str] | tuple[str, ...]) -> str:
    """Return in words what tells a setting from others that differ in the settings of these ``names``."""
    return ", ".join(_named(study, setting, name) for name in names)


def _named(study: Study, setting: Setting, name: str) -> str:
    value = shown(study, setting, name)
    if name in ("scene", "case"):
        return value
    if name == "inside_out":
        return "floats outside" if value == "yes" else "floats inside"
    if name == "catches":
        return "no catches" if value == "none" else f"catches {value}"
    if name == "longest_gap":
        return f"gap up to {value}"
    if name in ("stretch_stiffness", "bending_stiffness"):
        return f"{value} times as stiff to {'stretch' if name.startswith('stretch') else 'bend'}"
    return f"{heading(name).removesuffix(' %')} {value}" + (" %" if heading(name).endswith("%") else "")


def _slack(study: Study, setting: Setting, swept: str) -> float:
    if swept == "slack":
        return float(settings_said(study, setting)["slack_percent"])
    return per_cent(dict(setting.slack_by_yarn)[swept.removeprefix("slack of ")])
