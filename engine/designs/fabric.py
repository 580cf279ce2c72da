"""What every design does alike, in either craft: the foundation, a row's way, the last words.

Loop yarn lies still and is knitted from the front, to and fro. On needles the work is turned, so
rows alternate between the right side (RS) and the wrong side (WS).
"""

from dataclasses import dataclass

from engine.designs.design import handed
from engine.script import wording
from engine.script.builder import ScriptBuilder, op
from engine.script.yarns import ends_of
from models.script import Craft, Direction, Hand, Kind, Operation

CHECK_EVERY = 10
"""Rows between two looks at the back: few enough to rip back (common practice, no source)."""


@dataclass(frozen=True)
class Way:
    """How one flat row is travelled."""

    direction: Direction
    side: str | None
    """RS or WS on needles; None in loop yarn."""

    @property
    def wrong_side(self) -> bool:
        """Whether the wrong side faces the maker."""
        return self.side == "WS"


def way(craft: Craft, row: int, *, first_back: bool = False) -> Way:
    """Odd rows go right to left on the right side; `first_back` lets row 1 come back instead."""
    outward = (row % 2 == 1) is not first_back
    if craft is Craft.NEEDLES:
        return Way(Direction.RIGHT_TO_LEFT, "RS" if outward else "WS")
    return Way(Direction.RIGHT_TO_LEFT if outward else Direction.LEFT_TO_RIGHT, None)


def smooth(craft: Craft, row: Way) -> str:
    """The stitch that keeps the right side smooth: knit, or purl where the wrong side faces."""
    return "p" if craft is Craft.NEEDLES and row.wrong_side else "k"


def foundation(
    b: ScriptBuilder,
    part: str,
    loops: int,
    *,
    in_the_round: bool = False,
    laid: tuple[Operation, ...] = (),
) -> None:
    """Lay on the first loops, and in the round the marker where every round begins.

    `laid`: how, where they are of several colours.
    """
    loop_yarn = b.plan.craft is Craft.LOOP
    several = sum(one.stitch == "co" for one in laid) > 1
    end = handed(b.plan.hand, "right")
    balls = f". Each colour has a ball, hanging at the {end} end of its loops" if several else ""
    b.step(
        part,
        Kind.FOUNDATION,
        *(laid or ([op("tail")] if loop_yarn else []) + [op("co", loops)]),
        direction=Direction.LEFT_TO_RIGHT,
        note=(_laid(b.plan.hand, in_the_round) if loop_yarn else _cast(in_the_round)) + balls,
    )
    if in_the_round:
        rounds_begin(b, part, JOIN, "Close the ring and see that it is not twisted")


def rounds_begin(b: ScriptBuilder, part: str, where: str, first: str = "") -> None:
    """The marker at the beginning of the rounds, and the way that they go."""
    right, left = handed(b.plan.hand, "right"), handed(b.plan.hand, "left")
    said = f"Every round begins here and goes from {right} to {left}, the right side towards you"
    b.step(part, Kind.MARKER, op("pm", 1, where), note=f"{first}. {said}" if first else said)


JOIN = "the join"
"""The marker where a tube's rounds begin."""
LOWEST = "the lowest point"
"""The marker where a sleeve's rounds begin: in the middle of the underarm."""


def _laid(hand: Hand, in_the_round: bool) -> str:
    """How counted loops lie before the first row, and where their yarn hangs."""
    right, left = handed(hand, "right"), handed(hand, "left")
    said = (
        "The first 2 loops are the tail: start counting with the third. Lay the counted loops "
        f"from {left} to {right}, each with its loop up and none twisted; the yarn to the ball "
        f"hangs at the {right} end"
    )
    if in_the_round:
        return f"{said}. The loops always point up and their right side faces you"
    return (
        f"{said}. Row 1 goes back over them from {right} to {left}, the next row comes back, and "
        "the work is never turned"
    )


def _cast(in_the_round: bool) -> str:
    if in_the_round:
        return "Cast on loosely, so that the edge stretches"
    return "Cast on loosely. Row 1 is a right-side row; turn after every row"


def look(b: ScriptBuilder, part: str, row: int, rows: int) -> None:
    """A back check after every tenth row of a long part. On needles a drop shows by itself."""
    if b.plan.craft is Craft.LOOP and row % CHECK_EVERY == 0 and row < rows:
        b.back_check(part)


def bind_off(b: ScriptBuilder, part: str, note: str = "", *, marker: str = "") -> None:
    """Bind off all that is live, fasten and cut; the marker of the rounds comes out first."""
    out = [op("rm", 1, marker)] if marker else []
    b.step(part, Kind.BIND_OFF, *out, op("bo", b.live - 1), op("fasten"), op("tail"), note=note)


def finish(b: ScriptBuilder, part: str, extra: str = "") -> None:
    """The last words: what is done with the ends."""
    ends = ends_of(b.steps)
    if b.plan.craft is Craft.LOOP:
        told = f"{wording.CUT_AND_WEAVE}: {ends} ends, and 2 more for each new ball"
    else:
        told = wording.WEAVE_IN
    b.step(part, Kind.FINISH, note=". ".join(filter(None, (told, extra))))


def alternating(one: str, other: str, loops: int, *, backwards: bool = False) -> list[Operation]:
    """Two stitches in turn over a row, the first one at its right end; `backwards` from its left.

    Each loop has the same stitch in every row, so that the columns stand.
    """
    order = [one if i % 2 == 0 else other for i in range(loops)]
    return [op(stitch) for stitch in (reversed(order) if backwards else order)]
