"""A plan: everything that decides a row script, and nothing that follows from it."""

from pydantic import Field

from models.frozen import Frozen
from models.gauge import Gauge
from models.script import Craft, Hand
from models.text import Lines, Words

WRITTEN = "written"
"""The design of a plan whose pattern is written: its text decides everything."""


class MeasureSpec(Frozen):
    """A measurement that a design asks for, in centimetres."""

    name: str
    label: str
    why: str
    """One line for the maker: where the tape goes and what it decides."""
    low: float
    high: float


class DesignInfo(Frozen):
    """What a design is called and what it asks for."""

    name: str
    title: str
    blurb: str
    crafts: tuple[Craft, ...]
    sizes: tuple[str, ...]
    """Sizes it can be asked for in; empty for a design that is only measured."""
    measures: tuple[MeasureSpec, ...]
    stitches: bool = False
    """Whether a stitch pattern may be laid over it."""
    stripes: bool = False
    """Whether stripes may be worked into it, and, where it is flat, blocks of colour."""


class Plan(Frozen):
    """Design, measurements and gauge, with what the tape has since decided.

    A row script is a pure function of it, so that re-planning is making another plan.
    """

    design: Words
    title: Words
    size: Words = ""
    craft: Craft = Craft.LOOP
    hand: Hand = Hand.RIGHT
    gauge: Gauge
    measures: dict[Words, float] = {}
    """Every measurement that the design asks for, by name, in cm."""
    rows: dict[Words, int] = {}
    """Row counts that a tape or the maker decided, by the part that leads them."""
    counts: dict[Words, int] = {}
    """Loop counts or choices decided after the fact, by name (an edging's rows, say)."""
    stitch: Words = ""
    """The stitch pattern laid over it (`engine.stitches`); empty for plain."""
    stitch_text: Lines = ""
    """Its rows as written, where it is her own and not one of those that there are."""
    stripes: Words = ""
    """Colours and rows that come in turn, `cream 8, sand 4`, or `cream | sand 20` for blocks side
    by side; empty for one colour."""
    lots: tuple[int, int] | None = None
    """Balls of two dye lots that are worked in turn; None where there is one."""
    worked: dict[Words, tuple[int, ...]] = {}
    """What the worked steps had decided when it was last planned anew, by name: loops laid on or
    parted among the panels, loops lost in each round. They stand whatever else changes."""
    worked_rows: dict[Words, int] = {}
    """Rows of parts that were begun then, by the part that leads them; `rows` goes before it."""
    ball_loops: int | None = Field(default=None, ge=1)
    """Loops in one ball, where known."""
    scale: float = Field(default=1.0, gt=0, le=1)
    """Smaller than 1 for a practice piece."""
    pattern: Lines | None = None
    """The written pattern's text, where the design is one."""

    @property
    def row_counts(self) -> dict[str, int]:
        """Rows that are decided, by whatever, by the part that leads them."""
        return {**self.worked_rows, **self.rows}

    def count(self, name: str) -> int | None:
        """A count that is decided, by the maker or by the work; None where none is."""
        worked = self.worked.get(name)
        return self.counts.get(name, worked[0] if worked else None)


class Begun(Frozen):
    """How a make begins: its plan, and the script that was worked out of it then.

    The script is kept, so that no later design can change what is in somebody's hands.
    """

    plan: Plan
    script: Words
    """In its kept form (`engine.plan.written`)."""
