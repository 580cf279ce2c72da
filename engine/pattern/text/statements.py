"""What a line of a pattern says, as values: the leaves of the grammar put in order."""

from dataclasses import dataclass

from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.row_items import Claim, Item, Marks, Row


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


MARK = "**"
"""Talk of nothing but this marks a place: "work as for back from ** to **"."""


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
    """How many rows it says that this is."""
    about_all: bool = False
    """Those are all that there are then."""
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
    """Where the step is written, as an ordinal; it may be another one in each size."""

    def every(self, size: int) -> int:
        """The step in one size."""
        return number_of(self.nth, size, self.step)


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
    shaping: bool = False
    """That shaping alone, and not what comes before it."""
    marks: str = ""
    """Between two marks of it: `between`; to its mark: `to`; on from its mark: `from`."""


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
