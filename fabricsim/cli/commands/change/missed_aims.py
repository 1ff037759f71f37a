"""What ``change`` says of the aims: which are missed and by how much, and whether they contradict one another."""

from __future__ import annotations

from fabricsim.cli.words.counts import count, listed, row_word
from fabricsim.cli.words.shares import percent
from fabricsim.lengths import fine
from fabricsim.study.change.aims import Aims, TriedScene
from fabricsim.study.change.found_ways import Changing

AIM_SAID = {
    "may_lose": "the width kept",
    "pucker": "the fabric flat",
    "over": "room to go over",
    "within": "floats within your limit",
}
"""What is kept, by the names of the aims."""
LEAST_TOLD = 0.001
"""Share of the width of which no less is told as missed (derived: the last digit printed of it)."""


def over_said(aims: Aims) -> str:
    """Return what it is to go over: ``a head (woman)``."""
    article = "an" if aims.over == "arm" else "a"
    return f"{article} {aims.over}{f' ({aims.size})' if aims.size is not None else ''}"


def misses_said(aims: Aims, tried: TriedScene) -> str:
    """Return which aims a way misses and by how much: ``0.4 % of the width, 2 floats``; nothing where none."""
    missed = tried.misses(aims)
    said = []
    if "may_lose" in missed and aims.may_lose is not None:
        said.append(f"the width by {_missed_percent(tried.lost - aims.may_lose)}")
    if "pucker" in missed and aims.pucker is not None:
        said.append(f"flat by {fine(tried.pucker - aims.pucker)}")
    if "over" in missed:
        said.append(
            f"going over {over_said(aims)} by {percent(tried.lacking, 1)} of its tightest {row_word(tried.scene)}"
        )
    if "within" in missed:
        said.append(f"{count(tried.over, 'float')} over the limit")
    return listed(said)


def _missed_percent(share: float) -> str:
    """Return by how much a share is missed, never that it is by nothing."""
    return percent(share, 1) if share >= LEAST_TOLD else f"less than {percent(LEAST_TOLD, 1)}"


def against_one_another(found: Changing) -> list[str]:
    """Return, where no way meets all aims, whether each of them can be met alone, and by how much it is missed at the
    least where it can't or where the others are kept."""
    tried = [one for way in found.ways for one in (way.tried, way.nearest) if one is not None]
    if not tried or any(not one.misses(found.aims) for one in tried):
        return []
    missed = [one.misses(found.aims) for one in tried]
    names = [name for name in AIM_SAID if any(name in one for one in missed)]
    out = [name for name in names if all(name in one for one in missed)]
    if out:
        said = []
        for name in out:
            least = min(tried, key=lambda one, name=name: _by_how_much(found.aims, one, name))  # type: ignore[misc]
            said.append(_alone_said(found.aims, least, name))
        return [f"Out of reach of all that was tried: {listed(said)}, at the least."]
    if len(names) < 2:
        return []
    said = []
    for name in names:
        keeping = [one for one in tried if name not in one.misses(found.aims)]
        least = min(keeping, key=lambda one: (len(one.misses(found.aims)), one.lost, one.pucker))
        said.append(f"with {AIM_SAID[name]} it misses {misses_said(found.aims, least)}")
    return [f"What is wanted contradicts itself here: {'; '.join(said)}."]


def _by_how_much(aims: Aims, tried: TriedScene, name: str) -> float:
    """Return by how much an aim is missed, in its own unit."""
    if name == "may_lose":
        return tried.lost - (aims.may_lose or 0.0)
    if name == "pucker":
        return tried.pucker - (aims.pucker or 0.0)
    return tried.lacking if name == "over" else float(tried.over)


def _alone_said(aims: Aims, tried: TriedScene, name: str) -> str:
    """Return by how much one aim is missed."""
    if name == "may_lose":
        return f"the width, by {_missed_percent(_by_how_much(aims, tried, name))}"
    if name == "pucker":
        return f"flat, by {fine(_by_how_much(aims, tried, name))}"
    if name == "over":
        return f"going over {over_said(aims)}, by {percent(tried.lacking, 1)}"
    return f"your limit, by {count(tried.over, 'float')}"
