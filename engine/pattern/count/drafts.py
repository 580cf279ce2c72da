"""What one size of a pattern comes to: drafted steps, stretches a tape may change, faults."""

from dataclasses import dataclass, field

from engine.pattern.text.numbers import Spot
from engine.pattern.text.row_items import Item, Row
from engine.pattern.text.statements import Even, Heading
from models.pattern import Fault, Severity
from models.script import Direction, Kind, Operation


@dataclass
class Draft:
    """A step as the pattern says it, before its part's rows are counted."""

    part: str
    kind: Kind
    operations: list[Operation]
    spot: Spot
    direction: Direction | None = None
    side: str | None = None
    target_cm: float | None = None
    note: str = ""
    length: Heading | None = None
    """What the pattern says of the part's length, where it does."""
    before: int = 0
    after: int = 0


@dataclass(frozen=True, eq=False)
class Template:
    """A row that may be worked again."""

    said: Row | tuple[Item, ...]
    rounds: bool
    spot: Spot
    even: Even | None = None

    @property
    def items(self) -> tuple[Item, ...]:
        """What it is made of."""
        return self.said.items if isinstance(self.said, Row) else self.said

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Template):
            return NotImplemented
        told = (self.rounds, self.spot, self.even) == (other.rounds, other.spot, other.even)
        return told and (self.said is other.said or self.items == other.items)

    __hash__ = None  # type: ignore[assignment]  # none is ever looked up


@dataclass(frozen=True)
class Recurring:
    """`and every following 4th row`: a template that comes again between the rows written out."""

    start: int
    step: int
    side: str | None
    last: int | None
    template: Template


@dataclass
class Stretch:
    """Rows of a part whose number a tape may change."""

    part: str
    open: bool
    rows: int


@dataclass
class Counted:
    """One size of a pattern, counted."""

    drafts: list[Draft] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    rows: dict[str, int] = field(default_factory=dict)
    open_parts: set[str] = field(default_factory=set)
    stretches: list[Stretch] = field(default_factory=list)
    level: list[tuple[str, ...]] = field(default_factory=list)
    mirrored: list[tuple[str, str]] = field(default_factory=list)
    reversed: set[frozenset[str]] = field(default_factory=set)
    """Pairs of parts of which one is told to be the other reversed; names in small letters."""
    fixes: tuple[tuple[Spot, int], ...] = ()
    """Numbers to write, by their places, that repair the first fault that numbers repair."""
    mendable: set[Spot] = field(default_factory=set)
    """Places of the faults that numbers repair."""
    claims: dict[str, Spot] = field(default_factory=dict)
    """Where a claim about parts stands, by the parts' names."""
    finished: dict[str, tuple[float, str]] = field(default_factory=dict)
    """Finished measurements, cm, and whether they lie across or up."""

    @property
    def sound(self) -> bool:
        """Whether nothing but warnings was found."""
        return all(f.severity is Severity.WARNING for f in self.faults)
