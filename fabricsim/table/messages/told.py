"""What the server tells the page."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from fabricsim.design.scene.choices import Case
from fabricsim.table.messages.base import Pair, Told
from fabricsim.table.messages.fabrics import TellAdvice, TellCounts, TellSaid, TellTries, TellWorking
from fabricsim.table.messages.sought import TellCosts, TellSeeking, TellWays

PROTOCOL = 1
"""Raised whenever a message changes its meaning: a page of another number is told to load itself anew."""


class Offer(Told):
    """A piece that was left on the table: how many ``changes``, and ``when`` the last was made (seconds since 1970)."""

    id: str
    title: str
    changes: int
    when: float
    file: str | None


class TellOffers(Told):
    """Pieces that were left on the table before, the newest first; told anew whenever that changes."""

    kind: Literal["offers"] = "offers"
    each: tuple[Offer, ...]


class ToldCommand(Told):
    """A command that jobs may run, and the names of its options."""

    name: str
    options: tuple[str, ...]


class TellWelcome(Told):
    """The answer to the right secret. ``tabs`` open here, this one among them; ``others``: addresses of other tables
    that have the same file open; ``commands`` that jobs may run.
    """

    kind: Literal["welcome"] = "welcome"
    protocol: int = PROTOCOL
    version: str
    tabs: int = 1
    others: tuple[str, ...] = ()
    commands: tuple[ToldCommand, ...] = ()


class ToldYarn(Told):
    """A yarn of the scene."""

    symbol: str
    name: str
    colour: str
    metres_per_100_g: float
    slack: float


class ToldCatch(Told):
    """A square where a float is caught; ``yarn``: only that strand; ``repeat``: only beside the join."""

    row: int
    column: int
    yarn: int | None
    repeat: Literal["first", "last"] | None


class TellScene(Told):
    """The scene as it lies, to every tab after every change.

    ``revision`` counts all changes; everything that follows from one says its number. ``state``: which of the states of
    the history; ``undo``, ``redo``: how many steps there are; ``file``: the name of the file it was opened from;
    ``kept``: whether that holds it as it lies. ``chart`` bottom row first. ``values``: every key that may be ``set``
    and is. ``rows``, ``stitches``: of the whole piece.
    """

    kind: Literal["scene"] = "scene"
    revision: int
    state: int
    title: str
    worked: Literal["round", "flat"]
    case: Case
    units: Literal["cm", "inch"]
    item: str | None
    chart: tuple[tuple[int, ...], ...]
    across: int
    up: int
    plain_below: int
    plain_above: int
    plain_yarn: int
    rows: int
    stitches: int
    yarns: tuple[ToldYarn, ...]
    gauge: Pair
    slack: float
    unevenness: float
    catches: Literal["none", "planned", "listed", "listed and planned"]
    caught: tuple[ToldCatch, ...]
    inside_out: bool
    longest_gap: int | None
    longest_cm: float | None
    values: dict[str, float | int | str | bool | None]
    undo: int
    redo: int
    file: str | None
    kept: bool


class TellProgress(Told):
    """How far a job is: ``share`` from 0 to 1, if that is known."""

    kind: Literal["progress"] = "progress"
    job: int
    command: str
    share: float | None
    words: str


class ToldFile(Told):
    """A file that a job made, to be had at ``url`` of this server."""

    name: str
    media: str
    size: int
    url: str


class TellDone(Told):
    """A job has ended: ``words`` that it printed, and its files. ``status``: as commands end."""

    kind: Literal["done"] = "done"
    job: int
    command: str
    status: int
    words: str
    files: tuple[ToldFile, ...]


class TellTrouble(Told):
    """Something that was asked can't be done; nothing was changed by it. ``words`` is the whole line."""

    kind: Literal["trouble"] = "trouble"
    asked: str
    where: str
    given: str
    allowed: str
    todo: str
    words: str


class TellText(Told):
    """The text of the scene as a file of this ``name``, and the ``files`` that it names beside it, in base64."""

    kind: Literal["text"] = "text"
    name: str
    text: str
    files: dict[str, str]


class TellNote(Told):
    """Something to know: "kept" in the file ``text``; "changed on disk": that file, by somebody else, and nothing was
    written; "tabs": ``count`` are open; "no rest": why in ``text``; "ending": the server."""

    kind: Literal["note"] = "note"
    what: Literal["kept", "changed on disk", "tabs", "no rest", "ending"]
    text: str = ""
    count: int = 0


AnyTold = Annotated[
    TellWelcome
    | TellOffers
    | TellText
    | TellScene
    | TellCounts
    | TellSaid
    | TellWorking
    | TellAdvice
    | TellTries
    | TellSeeking
    | TellCosts
    | TellWays
    | TellProgress
    | TellDone
    | TellTrouble
    | TellNote,
    Field(discriminator="kind"),
]
TOLD: TypeAdapter[AnyTold] = TypeAdapter(AnyTold)
"""Reads any message of the server back, for tests."""
