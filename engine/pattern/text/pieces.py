"""What the grammar's rules hand to each other before it is one of `statements`."""

from dataclasses import dataclass

from engine.pattern.text.numbers import Number, Spot
from engine.pattern.text.row_items import Parts
from engine.pattern.text.statements import Filler, Range


@dataclass(frozen=True)
class Op:
    """A stitch or shaping word; `plain` are knit, purl and work, which may stand for a row."""

    parts: Parts
    spot: Spot
    plain: bool = False
    said: str = ""
    """As written, without spaces, where that matters."""


@dataclass(frozen=True)
class Count:
    """How many times a stitch is worked; None for all there are."""

    number: Number | None


@dataclass(frozen=True)
class Named:
    """A place's name."""

    text: str
    quoted: bool = False


@dataclass(frozen=True)
class SizeNames:
    """Names of sizes."""

    names: tuple[str, ...]


@dataclass(frozen=True)
class Where:
    """Where in a row it is shaped."""

    where: str


@dataclass(frozen=True)
class RowMark:
    """One mark of a row: its side, its direction or its name."""

    side: str | None = None
    direction: str | None = None
    name: str = ""


@dataclass(frozen=True)
class Unit:
    """A unit of length, in cm."""

    cm: float


@dataclass(frozen=True)
class Label:
    """What stands before the colon of a row."""

    kind: str
    rounds: bool
    spot: Spot
    ranges: tuple[Range, ...] = ()
    fillers: tuple[Filler, ...] = ()
    number: Number | None = None
    side: str | None = None
    name: str = ""


@dataclass(frozen=True)
class Rib:
    """The knit and purl stitches of a rib."""

    knit: Number
    purl: Number


@dataclass(frozen=True)
class Style:
    """A fabric's name; `patterned`: as the pattern says, or one that it describes by a name."""

    name: str
    patterned: bool = False
    of: str = ""
    border: Number | None = None
    """Loops at either edge that are in garter stitch."""


@dataclass(frozen=True)
class About:
    """The rows that a length, or so many times, come to, as the pattern says."""

    number: Number
    in_all: bool = False


@dataclass(frozen=True)
class EndSide:
    """The side of the last row of a stretch."""

    side: str


@dataclass(frozen=True)
class EndRow:
    """The row, by its number or its one stitch, that a stretch ends with."""

    number: Number | None = None
    stitch: str = ""
    other: Number | None = None
    """`row 3 or 6`: whichever comes first."""


@dataclass(frozen=True)
class RowsMeant:
    """Rows that are to be repeated."""

    kind: str
    ranges: tuple[Range, ...] = ()
    number: Number | None = None
    name: str = ""
    part: str = ""


@dataclass(frozen=True)
class Tail:
    """Stitches of a lone line about the yarn's ends."""

    op: Op
