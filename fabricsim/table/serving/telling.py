"""The scene on the table as it is told."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Literal

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.model import Scene
from fabricsim.table.drafts.history import History
from fabricsim.table.drafts.keys import told_values
from fabricsim.table.drafts.text import SceneText
from fabricsim.table.jobs.alone import alone
from fabricsim.table.messages.told import TellScene, TellText, ToldCatch, ToldYarn
from fabricsim.table.serving.workshop import file_name
from fabricsim.units import tex_of_metres_per_100_g


def scene_told(history: History, revision: int, case: Case | None) -> TellScene:
    """Return what is told of the scene on the table, seen in a ``case`` (None: its own)."""
    draft = history.draft
    scene = draft.scene
    chart_ij = scene.chart_rows()
    rows, stitches = scene.chart.piece_size(len(chart_ij), len(chart_ij[0]))
    plain = scene.chart.plain_yarn
    return TellScene(
        revision=revision,
        state=history.now,
        title=scene.title,
        worked=scene.worked,
        case=case or scene.case,
        units=scene.units,
        item=scene.item,
        chart=tuple(map(tuple, chart_ij)),
        across=scene.chart.across,
        up=scene.chart.up,
        plain_below=scene.chart.plain_below,
        plain_above=scene.chart.plain_above,
        plain_yarn=0 if plain is None else scene.symbols.index(plain),
        rows=rows,
        stitches=stitches,
        yarns=tuple(
            ToldYarn(
                symbol=yarn.symbol,
                name=yarn.name,
                colour=yarn.colour,
                metres_per_100_g=tex_of_metres_per_100_g(yarn.tex_value),  # which is its own inverse
                slack=slack,
            )
            for yarn, slack in zip(scene.yarns, scene.slack_of_yarns, strict=True)
        ),
        gauge=(scene.gauge.stitches, scene.gauge.rows),
        slack=scene.floats.slack,
        unevenness=_unevenness(scene),
        catches=_catches(scene),
        caught=tuple(
            ToldCatch(
                row=one.row - 1,
                column=len(chart_ij[0]) - one.stitch,
                yarn=None if one.yarn is None else scene.symbols.index(one.yarn),
                repeat=one.repeat,
            )
            for one in scene.floats.catches
        ),
        inside_out=scene.simulation.inside_out,
        longest_gap=scene.limits.longest_gap,
        longest_cm=scene.limits.longest_cm,
        values=told_values(draft.table),
        undo=history.undo_steps,
        redo=history.redo_steps,
        file=None if history.file is None else Path(history.file).name,
        kept=history.is_kept,
    )


def _unevenness(scene: Scene) -> float:
    """Return how uneven floats are carried, as written or as is usual."""
    from fabricsim.study.hands.prior import UNEVENNESS

    return UNEVENNESS if scene.floats.unevenness is None else scene.floats.unevenness


def _catches(scene: Scene) -> Literal["none", "planned", "listed", "listed and planned"]:
    if scene.floats.plan_catches:
        return "listed and planned" if scene.floats.catches else "planned"
    return "listed" if scene.floats.catches else "none"


def text_told(draft: SceneText) -> TellText:
    """Return a copy of the scene that stands alone, as a file to be kept elsewhere."""
    text, files = alone(draft)
    coded = {name: base64.b64encode(data).decode() for name, data in files.items()}
    return TellText(name=f"{file_name(draft.scene.title)}.toml", text=text, files=coded)
