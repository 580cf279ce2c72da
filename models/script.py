"""The row script: every step of a make, every loop accounted for."""

from enum import StrEnum

from pydantic import model_validator

from models.frozen import Frozen
from models.gauge import Gauge
from models.stitch import STITCHES, Stitch
from models.text import Words


class Craft(StrEnum):
    """What the loops are made with. A loop is a stitch."""

    LOOP = "loop yarn"
    NEEDLES = "needles"


class Hand(StrEnum):
    """The hand that leads; a left-handed maker works every direction mirrored."""

    RIGHT = "right"
    LEFT = "left"


class Kind(StrEnum):
    """What a step is."""

    FOUNDATION = "foundation"
    ROW = "row"
    ROUND = "round"
    BIND_OFF = "bind off"
    PICK_UP = "pick up"
    SEAM = "seam"
    BACK_CHECK = "back check"
    MEASURE = "measure"
    FIT_CHECK = "fit check"
    MARKER = "marker"
    FINISH = "finish"


ROW_KINDS = frozenset({Kind.ROW, Kind.ROUND})
"""Steps that are counted as rows."""
LOOP_KINDS = ROW_KINDS | {Kind.FOUNDATION, Kind.BIND_OFF, Kind.PICK_UP, Kind.SEAM}
"""Steps that move loops; the others are looks, markers and measurements."""

CHECK_KINDS = frozenset({Kind.BACK_CHECK, Kind.MEASURE, Kind.FIT_CHECK})
"""Steps that ask something: a plain yes answers them."""


class Direction(StrEnum):
    """Which way the hand travels, seen from the front. Loop yarn is not turned."""

    RIGHT_TO_LEFT = "right to left"
    LEFT_TO_RIGHT = "left to right"
    AROUND = "around"

    @property
    def back(self) -> "Direction":
        """The other way; a round has none."""
        match self:
            case Direction.RIGHT_TO_LEFT:
                return Direction.LEFT_TO_RIGHT
            case Direction.LEFT_TO_RIGHT:
                return Direction.RIGHT_TO_LEFT
            case _:
                return self


class Operation(Frozen):
    """One stitch or handling, worked `times` times."""

    stitch: Words
    """A key of `models.stitch.STITCHES`."""
    times: int
    at: Words = ""
    """The resting place, edge or marker it refers to; `a|b` for a pair of resting places.

    A decrease that names a resting place takes in a loop that was taken up from there.
    """

    @property
    def entry(self) -> Stitch:
        """Its line in the stitch table."""
        return STITCHES[self.stitch]

    @property
    def takes(self) -> int:
        """Live loops used up, in all."""
        return self.entry.takes * self.times

    @property
    def leaves(self) -> int:
        """Live loops left, in all."""
        return self.entry.leaves * self.times

    @property
    def moves(self) -> int:
        """Loops that come into the working row from a resting place, or, below 0, go there."""
        match self.stitch:
            case "rest" | "rest next":
                return -self.times
            case "resume":
                return self.times
            case "pair":
                return 2 * self.times
            case _:
                return 0

    def yarn(self, craft: Craft) -> int:
        """Loops of working yarn pulled in."""
        entry = self.entry
        if craft is Craft.NEEDLES and entry.yarn_on_needles is not None:
            return entry.yarn_on_needles * self.times
        return entry.yarn * self.times


class Step(Frozen):
    """One instruction. Loop counts are taken after the step's own regrouping."""

    number: int
    """Counted from 1 through the whole script."""
    part: Words
    kind: Kind
    row: int | None = None
    rows: int | None = None
    """Rows of the part; None where a length decides (then see `rows_planned`)."""
    rows_planned: int | None = None
    """Rows of the part as now planned, decided or not."""
    direction: Direction | None = None
    side: Words | None = None
    """RS or WS where the work is turned (needles); None where it is not."""
    operations: tuple[Operation, ...] = ()
    loops_before: int
    loops_after: int
    held: int
    """Live loops resting elsewhere."""
    yarn_loops: int
    """Loops of working yarn this step pulls in."""
    target_cm: float | None = None
    """What the tape should say, on a measure step."""
    colour: Words = ""
    """Of the yarn it is worked with, where the make has several."""
    note: Words = ""
    """Why or how, in a sentence of the design's own."""

    @model_validator(mode="before")
    @classmethod
    def _without_words(cls, data: object) -> object:
        """Scripts used to carry their sentences; now `engine.script.wording` has them alone."""
        if isinstance(data, dict) and ("text" in data or "spoken" in data):
            return {name: value for name, value in data.items() if name not in {"text", "spoken"}}
        return data

    @property
    def reached(self) -> int:
        """Loops that the hand comes to, before or after it has worked them: of a row that is
        turned before its end, only those up to there."""
        if not self.counts_row:
            return max(self.loops_before, self.loops_after)
        return max(sum(o.takes for o in self.operations), sum(o.leaves for o in self.operations))

    @property
    def counts_row(self) -> bool:
        """Whether it is one of the part's rows or rounds."""
        return self.kind in ROW_KINDS


class RowScript(Frozen):
    """A whole make, worked out before the first loop. Proven by `engine.script.audit`."""

    title: Words
    design: Words
    size: Words
    craft: Craft
    gauge: Gauge
    hand: Hand = Hand.RIGHT
    steps: tuple[Step, ...]
    level: tuple[tuple[Words, ...], ...] = ()
    """Parts that must have the same number of rows, since they are closed together."""
    mirrored: tuple[tuple[Words, Words], ...] = ()
    """Pairs of parts of which the second mirrors the first."""
    alike: tuple[tuple[Words, Words], ...] = ()
    """Pairs of parts that are worked the same way, but where a loop is named."""
    regular: tuple[Words, ...] = ()
    """Parts of which each row reads the same from both ends, or is one stretch again and again."""
    finished_cm: dict[Words, float] = {}
    """The garment's own measurements that follow from the counts."""

    @property
    def yarn_loops(self) -> int:
        """Loops of working yarn in all, tails counted."""
        return sum(step.yarn_loops for step in self.steps)

    @property
    def parts(self) -> tuple[str, ...]:
        """Parts in the order in which they are first worked."""
        return tuple(dict.fromkeys(step.part for step in self.steps))
