"""What a row comes to once it is worked: its operations, what it takes and leaves, its misfits."""

from dataclasses import dataclass, field

from engine.pattern.text.numbers import Number, Spot
from engine.pattern.text.row_items import Claim, Parts
from models.script import Operation
from models.stitch import STITCHES

LOOPS_AT_MOST = 5_000
"""Loops of one row; more is a slip of the keyboard."""
OPERATIONS_AT_MOST = 12_000


@dataclass(frozen=True)
class Mend:
    """A repair that can be tried: other loops when the row is begun, or the row changed."""

    told: str
    more: int = 0
    """So many loops more, or fewer, in the row before."""
    number: tuple[Spot, int] | None = None
    """Another number at a place of the row."""
    over: int = 0
    """So many knitted: after what stops at a place, or at the row's end."""
    stops: Spot | None = None


@dataclass(frozen=True)
class Misfit:
    """Something that does not come out: where, the arithmetic, the nearest repair."""

    spot: Spot
    what: str
    repair: str
    warning: bool = False
    fixes: tuple[tuple[Spot, int], ...] = ()
    """The repair as numbers to write, by their places; empty where it is not one of numbers."""
    ways: tuple[Mend, ...] = ()
    """Repairs to choose from; those with which the row comes out are told, none else."""


class TooMuch(Exception):
    """More stitches than a row can have."""


@dataclass
class Worked:
    """A row worked on a number of loops."""

    operations: list[Operation] = field(default_factory=list)
    takes: int = 0
    leaves: int = 0
    misfits: list[Misfit] = field(default_factory=list)
    claims: list[Claim] = field(default_factory=list)
    turned: bool = False
    """Whether it turned before its end."""
    leaves_at_end: int | None = None
    """In a turned round that went on over its beginning: loops made before that."""
    gaps: list[int] = field(default_factory=list)
    """Where it was turned before and did not come by, as for `marks`."""
    holes: list[int] = field(default_factory=list)
    """Where loops were bound off, as for `marks`."""
    marks: list[int] = field(default_factory=list)
    """Where the markers stand afterwards, in loops from the row's beginning as worked."""
    stitches: int = 0
    """Times of all operations together."""

    @property
    def fits(self) -> bool:
        """Whether it comes out on the loops that are there, whatever it says is left."""
        claimed = {claim.spot for claim in self.claims}
        return all(m.warning or m.spot in claimed for m in self.misfits)

    @property
    def sound(self) -> bool:
        """Whether nothing but warnings was found."""
        return all(m.warning for m in self.misfits)


def takes_of(parts: Parts) -> int:
    """Loops that one time of an abbreviation takes."""
    # Slip 1, knit 1, pass over: what is passed over was taken by the slip already.
    return sum(STITCHES[stitch].takes * times for stitch, times in parts)


def leaves_of(parts: Parts) -> int:
    """Loops that one time of an abbreviation leaves."""
    return sum(STITCHES[stitch].leaves * times for stitch, times in parts)


def fix(number: Number | None, value: int) -> tuple[tuple[Spot, int], ...]:
    """The repair of a number that is written, where another one can stand for it."""
    return ((number.spot, value),) if number is not None and number.said and value > 0 else ()
