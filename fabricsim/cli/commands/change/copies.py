"""A copy of a scene changed as one of the ways says, all else left as it was written."""

from __future__ import annotations

from fabricsim.cli.shell.scene_copies import written_with
from fabricsim.design.catches.plan import as_catches, listed_holds
from fabricsim.design.counted.edits import changed
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.opened import read_text
from fabricsim.study.change.found_ways import ChangeWay
from fabricsim.study.change.search import slack_keys
from fabricsim.table.drafts.chart import with_chart
from fabricsim.table.drafts.keys import with_keys
from fabricsim.table.drafts.text import SceneText


def copy_with(scene: Scene, way: ChangeWay) -> str:
    """Return the scene's own text with the changes of a ``way``, comments kept; planned catches, which were not
    reckoned with, are taken out. Raises InputError where it is written so that this can't be done."""
    source = scene.source
    assert source is not None  # every scene of a command was read from a file
    return changed_draft(SceneText(read_text(source, str(source)), source), scene, way).text


def changed_draft(draft: SceneText, scene: Scene, way: ChangeWay) -> SceneText:
    """Return the ``draft`` of a scene with the changes of a way, as ``copy_with`` has it."""
    proposal = way.proposal
    assert proposal is not None
    if proposal.holds or scene.floats.plan_catches:
        caught = as_catches(scene, listed_holds(scene) | set(proposal.holds))
        draft = draft.saying(written_with(caught, draft.text, scene))
    if proposal.looser:
        keys = slack_keys(scene, proposal.looser)
        draft = with_keys(draft, {f"floats.{key}": value for key, value in keys.items()})
    if proposal.bands:
        draft = with_keys(draft, {"bands": [band.model_dump(exclude_defaults=True) for band in proposal.bands]})
    if proposal.edit:
        draft = with_chart(draft, changed(tuple(tuple(row) for row in scene.chart_rows()), proposal.edit))
    return draft
