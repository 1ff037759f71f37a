"""What the server tells the page."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from fabricsim.design.scene.choices import Case

PROTOCOL = 1
"""Raised whenever a message changes its meaning: a page of another number is told to load itself anew."""

Pair = tuple[float, float]


class Told(BaseModel):
    """A message of the server."""

    model_config = ConfigDict(extra="forbid", frozen=True, ser_json_inf_nan="null")


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


class ToldFloat(Told):
    """A float of the chart, once for all repeats: it passes behind ``gap`` stitches, ``cm``; ``row``, ``column``: of
    the first of them from the left, the others to its right, over the edge of the repeat if need be (``edge``);
    ``over``: past a limit."""

    row: int
    column: int
    gap: int
    cm: float
    yarn: int
    edge: bool
    over: bool


class TellCounts(Told):
    """What follows by counting, at once. ``count``, ``over``: floats of the whole piece, and how many pass a limit;
    ``repeat``: those of one repeat of the chart."""

    kind: Literal["counts"] = "counts"
    revision: int
    count: int
    over: int
    longest_gap: int
    longest_cm: float
    repeat: tuple[ToldFloat, ...]


class RowSaid(Told):
    """Width of a row of the piece, from the bottom."""

    row: int
    width_cm: float
    loss_percent: float


class FloatSaid(Told):
    """A float of the piece that pulls: where in the piece its middle lies."""

    row: int
    column: int
    gap: int
    yarn: int
    pull_cN: float


class TellSaid(Told):
    """The numbers of the piece at rest, those of ``preview``.

    ``sure``: "rest" is the proven rest of one usual hand, as ``preview --draft`` has it; "likely" is the whole
    forecast, as ``preview`` has it, with its ranges. ``words``: the lines of ``preview``; ``advice``: its sentences.
    """

    kind: Literal["said"] = "said"
    revision: int
    which: Literal["first", "second"] = "first"
    sure: Literal["rest", "likely"]
    width_cm: float
    plain_cm: float
    loss_percent: float
    likely_loss_percent: Pair | None
    likely_width_cm: Pair | None
    height_percent: float
    pucker_mm: float
    likely_pucker_mm: Pair | None
    pucker_word: str
    floats: int
    over: int
    taut: int
    greatest_cN: float
    rows: tuple[RowSaid, ...]
    hardest: tuple[FloatSaid, ...]
    words: tuple[str, ...]
    advice: tuple[str, ...]


class TellWorking(Told):
    """What is being worked on for a revision; ``share`` from 0 to 1 if that is known."""

    kind: Literal["working"] = "working"
    revision: int
    on: Literal["look", "rest", "likely", "advice", "idle"]
    step: int = 0
    share: float | None = None


class Suggestion(Told):
    """A change that may be tried: ``count`` catches, stitches or repeats more, at ``places`` (row, column) of the
    chart, or another ``slack``. Before and after it: floats over a limit, width lost, pucker; null until known."""

    id: str
    what: Literal["catch", "stitch", "loosen", "repeat"]
    count: int = 0
    places: tuple[tuple[int, int], ...] = ()
    slack: float | None = None
    over_before: int
    over_after: int
    loss_percent_before: float | None = None
    loss_percent_after: float | None = None
    pucker_mm_before: float | None = None
    pucker_mm_after: float | None = None


class TellAdvice(Told):
    """What to do about the piece as it lies."""

    kind: Literal["to do"] = "to do"
    revision: int
    each: tuple[Suggestion, ...]


class Tried(Told):
    """A state that came to rest: by what ``change`` it came about, from which state ``before``, and what came of
    it; its ``chart``, bottom row first, null if it is a large one, and the ``colours`` of its yarns."""

    id: int
    before: int | None
    change: str
    loss_percent: float
    pucker_mm: float
    over: int
    slack: float
    chart: tuple[tuple[int, ...], ...] | None
    colours: tuple[str, ...]


class TellTries(Told):
    """All states that came to rest, in the order in which they did; ``now`` is on the table, ``second`` beside it."""

    kind: Literal["tries"] = "tries"
    now: int
    second: int | None
    each: tuple[Tried, ...]


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
    | TellProgress
    | TellDone
    | TellTrouble
    | TellNote,
    Field(discriminator="kind"),
]
TOLD: TypeAdapter[AnyTold] = TypeAdapter(AnyTold)
"""Reads any message of the server back, for tests."""


# ---- heads of binary frames ----------------------------------------------------------------------


class ToldArray(Told):
    """An array of a frame: little-endian, row by row, ``offset`` bytes behind the head; a multiple of four."""

    name: str
    dtype: Literal["f4", "i4", "i2", "i1", "u1"]
    shape: tuple[int, ...]
    offset: int


class ShapeHead(Told):
    """Head of a shape of fabric.

    ``rest``: whether it is at rest, else it is settling, at ``step``. ``apart``: whether yarns were kept apart.
    ``topology``: all frames of one number have the same yarn, in the same order, and only the first of them to a page
    carries the arrays marked T. ``thickness_mm`` of the yarn. ``bare``: plain fabric, nothing pulls.

    Arrays: ``point`` f4 (p, 3) mm, middles of the yarn; ``normal`` i1 (p, 4): unit normal of the yarn's frame times
    127, and its share of the thickness times 127; ``place`` f4 (n, 3) mm, the stitches; ``face`` i1 (n, 4): their
    normals times 127, and 0; ``pull`` f4 (f,) cN, of floats; ``height`` f4 (n,) mm off the smooth base, at rest alone.
    T ``first`` i4 (s + 1,): where strands begin; T ``yarn`` u1 (s,); T ``stitch`` i4 (p,): the stitch that a point
    belongs to or lies nearest to; T ``float`` i4 (p,): the float that it is part of, or -1; T ``cell`` i4 (n, 4): row
    and column in the piece, row and column in the chart, the last two -1 in plain rows; T ``ends`` i4 (f, 2):
    stitches between which a float runs, left and right; T ``floats`` i4 (f, 2): yarn, and stitches that it passes.
    """

    kind: Literal["shape"] = "shape"
    revision: int
    which: Literal["first", "second"]
    case: Case
    rest: bool
    apart: bool
    step: int
    topology: int
    thickness_mm: float
    stitch_mm: Pair
    window_mm: tuple[float, float, float, float] | None
    arrays: tuple[ToldArray, ...]


HEAD: TypeAdapter[ShapeHead] = TypeAdapter(ShapeHead)
