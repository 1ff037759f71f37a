"""What the page may ask of the server; whatever is not one of these is refused."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, JsonValue, TypeAdapter

from fabricsim.design.scene.choices import Case
from fabricsim.design.scene.limits import LARGEST_FILE
from fabricsim.table.messages.sought import Sought

LONGEST_MESSAGE = 4 * LARGEST_FILE // 3 + 1_000_000
"""Bytes of one message at most: the largest file, as base64 has it, and its key (derived)."""
MOST_FILES = 4
"""Files opened at once (derived: a scene, its chart, its knitter, its bodies)."""
MOST_SQUARES = 1_000_000
"""Squares of one message (chosen: more than any chart may have)."""

Index = Annotated[int, Field(ge=0, le=1_000_000, strict=True)]
Shift = Annotated[int, Field(ge=-1_000_000, le=1_000_000, strict=True)]
Stroke = Annotated[int, Field(ge=0, le=2**53, strict=True)]
"""Changes of one stroke are one step of undo; 0 is a stroke of its own."""
Text = Annotated[str, Field(max_length=LARGEST_FILE)]
Base64 = Annotated[str, Field(max_length=4 * LARGEST_FILE // 3 + 4)]
Word = Annotated[str, Field(max_length=200)]


class Asked(BaseModel):
    """A message of the page: nothing in it is taken for something else, and no key is overlooked."""

    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False, hide_input_in_errors=True)


class AskHello(Asked):
    """The first message of every page: the ``secret`` of the address's fragment; ``tab``: a name of its own choice."""

    kind: Literal["hello"]
    secret: Word
    tab: Word = ""


class AskPaint(Asked):
    """Make stitches in other yarns: squares of the chart as (row, column, yarn)."""

    kind: Literal["paint"]
    squares: Annotated[tuple[tuple[Index, Index, Index], ...], Field(min_length=1, max_length=MOST_SQUARES)]
    stroke: Stroke = 0


class AskChart(Asked):
    """Put another chart in place of this one, bottom row first, yarns by number."""

    kind: Literal["chart"]
    rows: Annotated[tuple[tuple[Index, ...], ...], Field(min_length=1, max_length=MOST_SQUARES)]
    stroke: Stroke = 0


class Box(Asked):
    """A part of the chart: its first ``row`` and ``column``, how many ``rows`` and ``columns``. It may run over the
    edge of the repeat and on at the other side."""

    row: Index
    column: Index
    rows: Annotated[Index, Field(ge=1)]
    columns: Annotated[Index, Field(ge=1)]


class AskMotif(Asked):
    """Do something with a part of the chart, round its edges.

    ``copy``: also at ``to`` (row, column); ``mirror across`` swaps left and right, ``mirror up`` top and bottom;
    ``turn``: by half, or by a quarter if it is square (``quarters`` to the left); ``shift``: ``by`` rows and columns.
    """

    kind: Literal["motif"]
    do: Literal["copy", "mirror across", "mirror up", "turn", "shift"]
    box: Box
    to: tuple[Index, Index] | None = None
    by: tuple[Shift, Shift] | None = None
    quarters: Annotated[int, Field(ge=1, le=3)] = 2
    stroke: Stroke = 0


class AskSize(Asked):
    """Make the chart larger or smaller; what is new is knitted in ``yarn``. It stays where ``keep`` says.

    A piece of so many repeats ``across``, in the same step; of as many as before where that is None.
    """

    kind: Literal["size"]
    rows: Annotated[Index, Field(ge=1)]
    stitches: Annotated[Index, Field(ge=1)]
    yarn: Index = 0
    keep: tuple[Literal["bottom", "top"], Literal["left", "right"]] = ("bottom", "right")
    across: Annotated[Index, Field(ge=1)] | None = None
    stroke: Stroke = 0


class AskSet(Asked):
    """Set keys of the scene: dotted names as in its file, yarns by number: ``{"floats.slack": -0.04, "yarns.0.colour":
    "#2f5d50"}``; null takes a key out, so that what is usual counts."""

    kind: Literal["set"]
    values: Annotated[dict[Word, JsonValue], Field(min_length=1, max_length=100)]
    stroke: Stroke = 0


class AskAddYarn(Asked):
    """Add a yarn after the last; its symbol is chosen here."""

    kind: Literal["add yarn"]
    name: Word
    colour: Word


class AskTakeYarn(Asked):
    """Take a yarn away; its stitches are made in ``instead``."""

    kind: Literal["take yarn away"]
    yarn: Index
    instead: Index


class AskUndo(Asked):
    """Go back by one step."""

    kind: Literal["undo"]


class AskRedo(Asked):
    """Take back the last undo."""

    kind: Literal["redo"]


class AskAdvice(Asked):
    """Try a piece of advice, by its ``id``: it becomes the scene, and undo takes it back."""

    kind: Literal["advice"]
    id: Word


class AskSeek(Asked):
    """Look for what costs the width, for changes so that at most ``may_lose`` per cent of it are lost, lying ``flat``
    if that is wanted, or for other places of the motif."""

    kind: Literal["seek"]
    what: Sought
    may_lose: Annotated[float, Field(ge=0.0, le=50.0)] = 3.0
    flat: bool = False


class AskLeave(Asked):
    """Leave what is looked for; what was found by then stays."""

    kind: Literal["leave"]


class AskTake(Asked):
    """Go to another state that was tried."""

    kind: Literal["take"]
    id: Index


class AskSecond(Asked):
    """Lay another state that was tried beside this one; null: none."""

    kind: Literal["second"]
    id: Index | None


class AskLook(Asked):
    """How the fabric is to be shown: in which ``case`` (null: as the scene says), its loops in so many ``steps``, and
    which row is seen edge on, if any."""

    kind: Literal["look"]
    case: Case | None = None
    steps: Annotated[int, Field(ge=4, le=40)] = 12
    section_row: Index | None = None


class FileGiven(Asked):
    """A file that was dropped on the page: its ``name`` only tells what it is, ``data`` is base64."""

    name: Word
    data: Base64


class AskOpen(Asked):
    """Open a scene: a TOML file and what it names; without files a plain piece to begin with."""

    kind: Literal["open"]
    files: Annotated[tuple[FileGiven, ...], Field(max_length=MOST_FILES)] = ()


class AskDrop(Asked):
    """Take a picture or a text as the chart of this scene."""

    kind: Literal["drop"]
    file: FileGiven
    stroke: Stroke = 0


class AskKeep(Asked):
    """Write the scene into the file that the table was opened with; ``over``: even if that was changed meanwhile."""

    kind: Literal["keep"]
    over: bool = False


class AskText(Asked):
    """Give the text of the scene, to be kept elsewhere: a copy that stands alone."""

    kind: Literal["text"]


class AskResume(Asked):
    """Go on with a piece that was left on the table before; null: those that are offered are to be let go."""

    kind: Literal["resume"]
    id: Word | None


class AskJob(Asked):
    """Have a command make something of the piece as it lies."""

    kind: Literal["job"]
    command: Word
    options: dict[Word, JsonValue] = Field(default_factory=dict)


class AskStop(Asked):
    """Stop a job."""

    kind: Literal["stop"]
    job: Index


AnyAsked = Annotated[
    AskHello
    | AskPaint
    | AskChart
    | AskMotif
    | AskSize
    | AskSet
    | AskAddYarn
    | AskTakeYarn
    | AskUndo
    | AskRedo
    | AskAdvice
    | AskSeek
    | AskLeave
    | AskTake
    | AskSecond
    | AskLook
    | AskOpen
    | AskDrop
    | AskKeep
    | AskText
    | AskResume
    | AskJob
    | AskStop,
    Field(discriminator="kind"),
]
ASKED: TypeAdapter[AnyAsked] = TypeAdapter(AnyAsked)
"""Reads any message of the page; raises pydantic's ValidationError."""
