"""What a line of a pattern says, as values: the leaves of the grammar put in order."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from typing import Any


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the file: line and column, both from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Number:
    """A number, one for all sizes or one by size; None where a size has none (`–`)."""

    values: tuple[float | None, ...]
    spot: Spot
    said: str = ""
    """As written; empty where the text implies it."""

    def real(self, size: int) -> float:
        """Its value for the size of that index; the last one where the list is too short."""
        value = self.values[min(size, len(self.values) - 1)]
        return 0.0 if value is None else value

    def whole(self, size: int) -> int:
        """The same as a whole number of loops or rows."""
        return int(self.real(size))


def number_of(number: Number | None, size: int, otherwise: int) -> int:
    """A number for one size, or what to take where none is said."""
    return number.whole(size) if number is not None else otherwise


# ---------------------------------------------------------------- what a row is made of


class Until(StrEnum):
    """Where a stretch of a row ends."""

    LAST = "last"
    MARKER = "marker"
    LAST_MARKER = "last marker"
    GAP = "gap"
    """The next place where the work was turned."""
    MIDDLE = "middle"
    """The loop in the middle of all that are there, as a shawl's spine."""
    OVER = "over"
    """As far as `short` loops go from here."""
    WAITING = "waiting"
    """All the loops that wait, as an instep's do while the heel is worked."""


@dataclass(frozen=True, slots=True)
class Limit:
    """To the end less `short` loops (none: 0), or to `short` loops before the next marker."""

    until: Until
    short: Number | None = None
    at_least_all: bool = False
    """Said as "to end" or "across": what still follows in the row is left room for."""


@dataclass(frozen=True, slots=True)
class Times:
    """How often; `more` where the text says so, besides the first time."""

    number: Number
    more: bool = False
    in_all: bool = False
    """Said to count the first time in."""


Parts = tuple[tuple[str, int], ...]
"""Stitches of the table with how often each is worked, for one abbreviation: sk2p is three."""


class Doubt(StrEnum):
    """What the word for a stitch leaves open; `engine.pattern.count.readings` settles it."""

    NONE = ""
    INTO = "into"
    """Said "in next st": alone, or with the stitches before it."""
    ALL_INTO = "all into"
    """Said "all in next st": surely with those before it."""
    INCREASE = "increase"
    """`inc`: out of a loop, or between two."""
    FORWARD = "forward"
    """`yf` before a slip: a loop, or the yarn brought to the front."""
    LAID_OVER = "laid over"
    """`yo` after one slipped with the yarn in front: a loop more, or one with the slipped one."""
    STOPPED = "stopped"
    """`inc. 23 sts` at a row's end: so many, or once, and a count after the row."""
    PASSED = "passed"
    """`psso` after several slips: one of them, or all."""


@dataclass(frozen=True, slots=True)
class Stitch:
    """One abbreviation, worked `count` × `times`. Without a count a lone k or p goes to the end."""

    parts: Parts
    spot: Spot
    count: Number | None = None
    times: Times | None = None
    at: str = ""
    bare: bool = False
    """A k, p or work that stands without a number."""
    doubt: Doubt = Doubt.NONE
    over: str = ""
    """What a slipped loop is passed over, where that is named as a stitch: `p1`."""


@dataclass(frozen=True, slots=True)
class Toward:
    """A stitch repeated until somewhere: `k to last 3 sts`, `kfb in each st`."""

    parts: Parts
    limit: Limit
    spot: Spot


@dataclass(frozen=True, slots=True)
class Across:
    """A run of stitches whose last one says how far, without a bracket: `k6, k2tog to end`."""

    items: "tuple[Item, ...]"
    limit: Limit
    spot: Spot


@dataclass(frozen=True, slots=True)
class Group:
    """Items in brackets, or from an asterisk on."""

    items: "tuple[Item, ...]"
    spot: Spot
    times: Times | None = None
    limit: Limit | None = None
    into: bool = False
    """All of it is worked into one loop."""
    starred: bool = False
    ragged: bool = False
    """A rib: it may stop anywhere within its repeat."""
    ending: bool = False
    """The text goes on with "end …": the last repeat may be cut short for it."""
    slips: "tuple[Slip, ...]" = ()


@dataclass(frozen=True, slots=True)
class Shape:
    """Increases or decreases placed by a phrase: evenly, at each end, at one end."""

    stitch: str
    count: Number | None
    where: str
    spot: Spot
    plain: str = "k"
    """What the other stitches of the row are."""
    target: Number | None = None
    """How many there are to be, where the phrase says that and not how often."""


@dataclass(frozen=True, slots=True)
class Marker:
    """A marker to place: here, after some loops, or some loops before the end."""

    spot: Spot
    number: Number | None = None
    before_end: bool = False
    at: str = ""
    off: bool = False
    """All markers are taken off in this row."""


MARKER, MARKERS = "each side of the marker", "each side of all markers"
"""Where shaping lies beside markers."""
NEEDLES = "the needles' ends"
"""Where the markers lie of a round that is told needle by needle."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Loops put to rest, taken up again, or paired from two resting places."""

    stitch: str
    number: Number | None
    places: tuple[str, ...]
    spot: Spot
    next: bool = False
    """Said of the next ones, where the hand is; else of those that the row does not reach."""
    keep: bool = False
    """The number says how many stay; none: those up to where loops were bound off."""


@dataclass(frozen=True, slots=True)
class Claim:
    """What the pattern says is there after the row, or by how many it says there are more."""

    number: Number
    spot: Spot
    change: int = 0
    """1: so many more than before, -1: so many fewer; 0: so many in all."""

    def wanted(self, before: int, size: int) -> int:
        """Loops that should be there after a row begun on `before`."""
        said = self.number.whole(size)
        return before + self.change * said if self.change else said


@dataclass(frozen=True, slots=True)
class AsRow:
    """As another row, by number or by name; or as a row of a stitch that the pattern describes."""

    rows: tuple[tuple[Number, Number], ...]
    name: str
    spot: Spot
    of: str = ""
    """The stitch, or chart, by its name in small letters; the row that comes next of it where no
    number is said."""
    part: str = ""
    """The part whose rows they are, where another one is named."""
    times: Times | None = None
    """How often all of them, where that is said."""


@dataclass(frozen=True, slots=True)
class Star:
    """An asterisk; paired with its `rep from` when the row is put together."""

    mark: str
    spot: Spot
    times: Times | None = None
    """How often, where it closes what an earlier one opened."""
    limit: Limit | None = None
    """How far, where it closes one."""
    into: bool = False
    """All of it goes into one loop, where it closes one."""


@dataclass(frozen=True, slots=True)
class RepFrom:
    """The `rep from *` that an asterisk waits for."""

    mark: str
    spot: Spot
    times: Times | None = None
    limit: Limit | None = None
    whole: bool = False
    """Said to go back to the beginning of the row."""


@dataclass(frozen=True, slots=True)
class Ending:
    """The word "end" before the last stitches."""

    spot: Spot


@dataclass(frozen=True, slots=True)
class Turn:
    """The word "turn"; with `wraps` the next loop is wrapped first."""

    spot: Spot
    wraps: bool = False


Item = (
    Stitch
    | Toward
    | Across
    | Group
    | Shape
    | Marker
    | Hold
    | Claim
    | AsRow
    | Star
    | RepFrom
    | Ending
    | Turn
)


@dataclass(frozen=True, slots=True)
class Marks:
    """What stands in brackets after a label. None: not said."""

    side: str | None = None
    direction: str | None = None
    name: str = ""
    spot: Spot = field(default=Spot(1, 1))


@dataclass(frozen=True, slots=True)
class Slip:
    """Something odd in the writing of a row itself, with its repair."""

    spot: Spot
    what: str
    repair: str
    fault: bool = False
    """It cannot be worked; else it can be read all the same."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row's items, with every asterisk resolved, and what was odd about its writing."""

    items: tuple[Item, ...]
    spot: Spot
    slips: tuple[Slip, ...] = ()
    marks: Marks | None = None
    """Side and direction, where the row says them."""


# ---------------------------------------------------------------- statements


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading line: title, craft, sizes, gauge, level, … with what it says."""

    kind: str
    spot: Spot
    text: str = ""
    names: tuple[str, ...] = ()
    numbers: tuple[Number, ...] = ()
    unit: float = 1.0
    """Centimetres in the unit given."""


@dataclass(frozen=True, slots=True)
class ForSizes:
    """Sizes that what follows is for; none named: all."""

    names: tuple[str, ...]
    spot: Spot


@dataclass(frozen=True, slots=True)
class Note:
    """A sentence of the pattern's own, for the step above it; sizes named or all."""

    text: str
    names: tuple[str, ...]
    spot: Spot


@dataclass(frozen=True, slots=True)
class Talk:
    """A sentence that moves no loop, for the step that comes next."""

    text: str
    spot: Spot


@dataclass(frozen=True, slots=True)
class Range:
    """Rows from first to last, by their numbers."""

    first: Number
    last: Number


@dataclass(frozen=True, slots=True)
class Filler:
    """`and every other row [to row N]`: rows that are not written out."""

    step: int
    side: str | None
    last: Number | None


@dataclass(frozen=True, slots=True)
class RowLine:
    """A labelled row or rows."""

    kind: str
    """numbered, next, named, every, side (all of a side) or others (all other rows)."""
    rounds: bool | None
    """None: it does not say whether it is a row or a round."""
    row: Row
    spot: Spot
    ranges: tuple[Range, ...] = ()
    fillers: tuple[Filler, ...] = ()
    number: Number | None = None
    side: str | None = None
    name: str = ""
    marks: Marks | None = None


@dataclass(frozen=True, slots=True)
class Fabric:
    """What is worked from here on, where rows do not say it themselves."""

    style: str
    rib: tuple[Number, Number] | None
    of: str
    """A stitch that the pattern describes."""
    spot: Spot


@dataclass(frozen=True, slots=True)
class Described:
    """A stitch whose rows are described, and not worked where they stand."""

    name: str
    rows: tuple[RowLine, ...]
    spot: Spot


@dataclass(frozen=True, slots=True)
class Forms:
    """The last rows are what the text calls its pattern from here on, or a stitch by name."""

    number: Number | None
    name: str
    spot: Spot


@dataclass(frozen=True, slots=True)
class Span:
    """How long a sentence about rows goes on."""

    kind: str
    """times, rows, total (rows in all), measures, length, remain or once."""
    number: Number | None = None
    more: bool = False
    in_all: bool = False
    """Times, or rows, that count in what was worked before."""
    unit: float = 1.0
    about: Number | None = None
    end_side: str | None = None
    end_row: Number | None = None
    """The row that the last one of the stretch is, by its number."""
    end_or: Number | None = None
    """Another that it may be."""
    end_stitch: str = ""
    """k or p: the last row is one of that stitch."""
    of: str = ""
    """What is measured, where it is not the piece from its beginning: `armhole`."""


@dataclass(frozen=True, slots=True)
class Even:
    """Rows without shaping."""

    stitch: str
    """k, p or work."""
    style: str
    """"", stockinette, garter, seed or rib."""
    rib: tuple[Number, Number] | None
    span: Span
    spot: Spot
    rounds: bool | None = None
    patterned: bool = False
    """Said to be in pattern: the rows that the text calls so."""
    of: str = ""
    """The stitch that the pattern describes by this name."""
    onward: bool = False
    """`Continue until it measures 10 cm` right below rows by their numbers: those, it may be."""
    border: Number | None = None
    """Loops at either edge that are in garter stitch."""
    last: "ShapeRows | None" = None
    """What the last of the rows shapes: `inc 6 sts evenly on last row`."""


@dataclass(frozen=True, slots=True)
class Turns:
    """Which rows a shaping falls on: every `step`-th, the next, on one side."""

    step: int
    first_now: bool
    """The next row is the first of them; else the step-th from here."""
    span: Span
    side: str | None = None
    nth: Number | None = None
    """Where the step is written, as an ordinal."""


@dataclass(frozen=True, slots=True)
class Repeat:
    """Rows worked again."""

    kind: str
    """numbered, last, named or onward: as the last ones, shaped further."""
    ranges: tuple[Range, ...]
    number: Number | None
    name: str
    span: Span
    turns: tuple[Turns, ...]
    spot: Spot
    last: "ShapeRows | None" = None
    """What the last of the rows shapes."""
    afresh: bool = False
    """Said as "work rows 1 to 4": of rows just written that may count the first time in."""
    part: str = ""
    """The part whose rows they are, where another one is named."""


@dataclass(frozen=True, slots=True)
class ShapeRows:
    """Shaping, or loops bound off or laid on at an edge, spread over rows."""

    stitch: str
    number: Number | None
    where: str
    turns: tuple[Turns, ...]
    claim: Claim | None
    spot: Spot


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step that is no row: its kind, its items where it moves loops."""

    kind: str
    row: Row | None
    spot: Spot
    marks: Marks | None = None
    target: Number | None = None
    unit: float = 1.0
    whole: bool = False
    """A bind-off told in a sentence: where it leaves no loop, the last one is fastened."""
    said_all: bool = False
    """The sentence says all, or what remains."""


@dataclass(frozen=True, slots=True)
class YarnLine:
    """Yarn cut, joined or fastened in a line of its own; or loops put aside, or taken up."""

    items: tuple[Item, ...]
    spot: Spot


@dataclass(frozen=True, slots=True)
class AsPart:
    """A part, or the rest of one, that is as another: to a heading of it, or reversed."""

    name: str
    spot: Spot
    until: str = ""
    reversed: bool = False
    through: bool = False
    """To the end of that shaping, not to its beginning."""
    span: Span | None = None
    """To a length that is measured."""


@dataclass(frozen=True, slots=True)
class Both:
    """From here on both sides of a neck are worked, as each other's mirror image."""

    spot: Spot


@dataclass(frozen=True, slots=True)
class AtOnce:
    """Shaping that goes on beside what stands before it: "at the same time, dec 1 st at …"."""

    said: "tuple[ShapeRows, ...]"
    """Empty where the sentences after it say it."""
    spot: Spot
    when: Span | None = None
    """From where on: a measurement, or so many loops. None: from what stands just before it."""
    side: str | None = None
    """The side of the row on which it begins, where that is said."""


@dataclass(frozen=True, slots=True)
class OnLast:
    """What the last of the rows above shapes: "inc 8 sts evenly on last round"."""

    shape: "ShapeRows"
    spot: Spot


@dataclass(frozen=True, slots=True)
class Again:
    """Statements worked once more, as steps of a numbered list are."""

    said: "tuple[Statement, ...]"
    times: Number | None
    more: bool
    spot: Spot


Statement = (
    Claim
    | Both
    | AtOnce
    | Again
    | OnLast
    | AsPart
    | Heading
    | ForSizes
    | Note
    | Talk
    | Described
    | Fabric
    | Forms
    | RowLine
    | Even
    | Repeat
    | ShapeRows
    | StepLine
    | YarnLine
)


def one_stitch(items: tuple[Item, ...]) -> str:
    """`k` or `p` where a row is all of it; else empty."""
    names = {
        i.parts[0][0] if isinstance(i, (Stitch, Toward)) and len(i.parts) == 1 else ""
        for i in items
        if not isinstance(i, Claim)
    }
    return names.pop() if len(names) == 1 else ""


def numbers_in(value: object) -> Iterator[Number]:
    """Every number of a statement, in the order in which it is written."""
    found: list[Number] = []
    _gather(value, found)
    return iter(found)


def _gather(value: object, found: list[Number]) -> None:
    if type(value) is Number:
        found.append(value)
    elif isinstance(value, tuple):
        for part in value:
            _gather(part, found)
    else:
        kind: Any = type(value)
        for name in _holding(kind):
            _gather(getattr(value, name), found)


@cache
def _holding(kind: Any) -> tuple[str, ...]:
    """The fields of a value of the tree that may hold a number."""
    told: tuple[str, ...] | None = getattr(kind, "numbers_stand_in", None)
    if told is not None:
        return told
    names: tuple[str, ...] = tuple(getattr(kind, "__dataclass_fields__", ()))
    return () if kind is Spot else tuple(n for n in names if n not in {"spot", "parts"})
