"""A copy of a scene whose bands are worked as one of the ways says, all else left as it was written."""

from __future__ import annotations

from fabricsim.cli.shell.scene_copies import written_with
from fabricsim.design.catches.plan import as_catches, listed_holds
from fabricsim.design.scene.model import Scene
from fabricsim.design.scene.opened import read_text
from fabricsim.study.change.agreeing import Agreeing
from fabricsim.study.change.band_pieces import AgreeWay, scene_with
from fabricsim.table.drafts.keys import with_keys
from fabricsim.table.drafts.text import SceneText


def copy_with(scene: Scene, found: Agreeing, way: AgreeWay) -> str:
    """Return the scene's own text with the bands and catches of a ``way``, comments kept; catches that it plans are
    listed, as they were tried. Raises InputError where it is written so that this can't be done."""
    source = scene.source
    assert source is not None  # every scene of a command was read from a file
    made = scene_with(found.scene, found.bands, way.looser_k, way.sizes_k, way.holds)
    draft = SceneText(read_text(source, str(source)), source)
    if made.bands != scene.bands:
        said = [band.model_dump(exclude_defaults=True) for band in made.bands]
        draft = with_keys(draft, {"bands": said or None})
    if way.holds or scene.floats.plan_catches:
        draft = draft.saying(written_with(as_catches(made, listed_holds(made)), draft.text, scene))
    return draft.text
