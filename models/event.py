"""The events of a make: what happened, in order, never changed. Times are POSIX seconds."""

from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from models.frozen import Frozen
from models.text import Words

LATEST = 32_503_680_000.0
"""The beginning of the year 3000 in POSIX seconds: no clock shows more, and no calendar fails."""
MOST = 1_000_000
"""Steps, rows, loops or lengths beyond this are no garment's."""

Moment = Annotated[float, Field(ge=0, le=LATEST, allow_inf_nan=False)]
"""POSIX seconds."""
Number = Annotated[int, Field(ge=0, le=MOST)]
StepNumber = Annotated[int, Field(ge=1, le=MOST)]
Signed = Annotated[int, Field(ge=-MOST, le=MOST)]
"""An ease may be below nothing."""
Length = Annotated[float, Field(ge=-MOST, le=MOST, allow_inf_nan=False)]
"""Centimetres; an ease may be below nothing."""
Positive = Annotated[float, Field(gt=0, le=MOST, allow_inf_nan=False)]


class _Event(Frozen):
    at: Moment


class _Planned(_Event):
    tail: Words | None = None
    """What is to be worked from now on, and by which edition of the design, in its kept form
    (`engine.plan.written`). None in journals of the first release only; they are given one
    when they are opened (`engine.keep.moving`)."""


class Advanced(_Event):
    """The step was done."""

    kind: Literal["advance"] = "advance"
    step: StepNumber
    """Number of the step that is now done."""
    part: Words = ""
    """The part that was shown; empty in journals of the first release."""
    row: Number | None = None
    """The row of that part that was shown, where the step was one."""
    skipped: bool = False
    """Gone past on purpose: the tape was not laid on, it was not tried on."""


class Undone(_Event):
    """The last action was taken back."""

    kind: Literal["undo"] = "undo"


class Dropped(_Event):
    """A dropped or missed loop was marked in the row in work."""

    kind: Literal["dropped loop"] = "dropped loop"
    step: StepNumber
    loop: Number | None = None


class Repaired(_Event):
    """A mark was mended."""

    kind: Literal["repaired"] = "repaired"
    mark: Number


class Accepted(_Event):
    """A mark was left as it is."""

    kind: Literal["accepted"] = "accepted"
    mark: Number
    how: Words = ""
    """What was done with it, where it was not left alone: tied down."""


class RippedBack(_Event):
    """The work was undone to the beginning of a step."""

    kind: Literal["rip back"] = "rip back"
    to_step: StepNumber


class Measured(_Planned):
    """The tape was laid on; the rows of the part follow from it."""

    kind: Literal["measured"] = "measured"
    step: StepNumber
    cm: Positive
    lead: Words
    """The part whose rows it decides."""
    rows: Number
    """Rows of that part from now on."""
    done: bool = False
    """The length is reached and the measuring step is past."""
    too_long: bool = False
    """More is worked than the length wants."""
    rows_per_10cm: Positive | None = None
    """The hands' true row gauge, where what is still to come is planned by it."""
    kept: dict[Words, Number] = {}
    """Rows of other parts that the worked steps have decided, by leading part."""
    counts: dict[Words, Signed] = {}
    """Counts that the worked steps have decided."""


class FitVerdict(_Event):
    """What the fit check said."""

    kind: Literal["fit verdict"] = "fit verdict"
    step: StepNumber
    verdict: Literal["fits", "too tight", "too loose", "too short", "too few balls", "as it is"]
    """`as it is` settles one that was not good: she goes on all the same."""
    balls: Number | None = None
    """After `too few balls`: how many there are in all, those begun counted."""


class MoreRows(_Planned):
    """The part gets more rows than were planned."""

    kind: Literal["more rows"] = "more rows"
    lead: Words
    rows: Number
    """Rows of that part from now on."""


class Replanned(_Planned):
    """What is not yet worked was planned anew."""

    kind: Literal["replanned"] = "replanned"
    why: Words
    gauge: tuple[Positive, Positive] | None = None
    """Loops and rows per 10 cm from now on, where they changed."""
    size: Words | None = None
    """The size from now on, where it changed."""
    measures: dict[Words, Length] = {}
    rows: dict[Words, Number] = {}
    counts: dict[Words, Signed] = {}
    rip_to_step: StepNumber | None = None
    """The work is first ripped back to the beginning of this step."""
    done: bool = False
    """It settles the step in work, which is past."""
    settles: bool = False
    """The choice that stood open at the step in work is taken, and its verdict with it."""


Planning = Measured | MoreRows | Replanned
"""The events that plan anew what is not yet worked."""


class NewBall(_Event):
    """A new ball was joined."""

    kind: Literal["new ball"] = "new ball"
    loops: Number | None = None
    """Loops in it, where it differs from the plan's."""
    pulled: Number = 0
    """Loops of the step in work that the old ball still gave."""


class Paused(_Event):
    """The work was put down."""

    kind: Literal["pause"] = "pause"


class Resumed(_Event):
    """The work was taken up again."""

    kind: Literal["resume"] = "resume"


class Noted(_Event):
    """A note at this row."""

    kind: Literal["note"] = "note"
    text: Words
    """What she typed; empty where she spoke it."""
    sound: Annotated[Words, Field(pattern=r"^([0-9a-f]{64})?$")] = ""
    """The digest of the file that has her voice (SHA-256); empty where she typed."""
    seconds: Annotated[float, Field(ge=0, le=60, allow_inf_nan=False)] = 0.0
    """How long that is."""


class Finished(_Event):
    """The make was closed by the maker before its last step."""

    kind: Literal["finish"] = "finish"


Event = Annotated[
    Advanced
    | Undone
    | Dropped
    | Repaired
    | Accepted
    | RippedBack
    | Measured
    | FitVerdict
    | MoreRows
    | Replanned
    | NewBall
    | Paused
    | Resumed
    | Noted
    | Finished,
    Field(discriminator="kind"),
]

EVENT: TypeAdapter[Event] = TypeAdapter(Event)
"""Reads and writes any event as JSON."""
