"""The events of a make: what happened, in order, never changed. Times are POSIX seconds."""

from typing import Annotated, Literal

from pydantic import Field, TypeAdapter

from models.frozen import Frozen
from models.text import Words


class _Event(Frozen):
    at: float


class Advanced(_Event):
    """The step was done."""

    kind: Literal["advance"] = "advance"
    step: int
    """Number of the step that is now done."""


class Undone(_Event):
    """The last action was taken back."""

    kind: Literal["undo"] = "undo"


class Dropped(_Event):
    """A dropped or missed loop was marked in the row in work."""

    kind: Literal["dropped loop"] = "dropped loop"
    step: int
    loop: int | None = None


class Repaired(_Event):
    """A mark was mended."""

    kind: Literal["repaired"] = "repaired"
    mark: int


class Accepted(_Event):
    """A mark was left as it is."""

    kind: Literal["accepted"] = "accepted"
    mark: int
    how: Words = ""
    """What was done with it, where it was not left alone: tied down."""


class RippedBack(_Event):
    """The work was undone to the beginning of a step."""

    kind: Literal["rip back"] = "rip back"
    to_step: int


class Measured(_Event):
    """The tape was laid on; the rows of the part follow from it."""

    kind: Literal["measured"] = "measured"
    step: int
    cm: float
    lead: Words
    """The part whose rows it decides."""
    rows: int
    """Rows of that part from now on."""
    done: bool = False
    """The length is reached and the measuring step is past."""
    too_long: bool = False
    """More is worked than the length wants."""
    rows_per_10cm: float | None = None
    """The hands' true row gauge, where what is still to come is planned by it."""
    kept: dict[Words, int] = {}
    """Rows of other parts that the worked steps have decided, by leading part."""
    counts: dict[Words, int] = {}
    """Counts that the worked steps have decided."""


class FitVerdict(_Event):
    """What the fit check said."""

    kind: Literal["fit verdict"] = "fit verdict"
    step: int
    verdict: Literal["fits", "too tight", "too loose", "too short"]


class MoreRows(_Event):
    """The part gets more rows than were planned."""

    kind: Literal["more rows"] = "more rows"
    lead: Words
    rows: int
    """Rows of that part from now on."""


class Replanned(_Event):
    """What is not yet worked was planned anew."""

    kind: Literal["replanned"] = "replanned"
    why: Words
    gauge: tuple[float, float] | None = None
    """Loops and rows per 10 cm from now on, where they changed."""
    size: Words | None = None
    """The size from now on, where it changed."""
    measures: dict[Words, float] = {}
    rows: dict[Words, int] = {}
    counts: dict[Words, int] = {}
    rip_to_step: int | None = None
    """The work is first ripped back to the beginning of this step."""
    done: bool = False
    """It settles the step in work, which is past."""


class NewBall(_Event):
    """A new ball was joined."""

    kind: Literal["new ball"] = "new ball"
    loops: int | None = None
    """Loops in it, where it differs from the plan's."""
    pulled: int = 0
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
