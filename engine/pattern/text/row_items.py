"""What a row of a pattern is made of, as values: stitches, groups and stars, limits, claims."""

from dataclasses import dataclass, field, replace
from enum import StrEnum

from engine.pattern.text.numbers import Number, Spot


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
    gaps: bool = False
    """Said of loops cast on: over those that were bound off."""


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
    to_marker: bool = False
    """As many as lie before the next marker."""
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


DROPPING = "dropping overs: "
"""Before k or p, what the name of a row is that works the one below and drops its yarn overs."""


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


def uncounted(row: Row) -> Row:
    """The row without the loops it says it leaves, where it is worked among others; by how many it
    says there are more or fewer stays."""
    kept = tuple(i for i in row.items if not isinstance(i, Claim) or i.change)
    return row if len(kept) == len(row.items) else replace(row, items=kept)


def one_stitch(items: tuple[Item, ...]) -> str:
    """`k` or `p` where a row is all of it; else empty."""
    names = {
        i.parts[0][0] if isinstance(i, (Stitch, Toward)) and len(i.parts) == 1 else ""
        for i in items
        if not isinstance(i, Claim)
    }
    return names.pop() if len(names) == 1 else ""
