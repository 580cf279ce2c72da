"""What happens at the same time, on one row clock.

An armhole and a neck that are shaped in the same rows are two `Shaping`s: `row` works out what the
hand does in a row of the clock when both fall into it. Two sides of a neck that are worked with a
ball each are two `Track`s: `side_by_side` takes them in turn, row by row, and keeps the other
waiting, so that both are always equally high.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from engine.base.refusal import Refusal
from engine.script.builder import ScriptBuilder, op
from models.script import Direction, Kind, Operation
from models.stitch import STITCHES


@dataclass(frozen=True)
class Shaping:
    """The same stitches at one end of certain rows."""

    stitch: str
    at_right: bool
    """As seen from the right side."""
    rows: range | tuple[int, ...]
    """Rows of the clock, counted from 1: `range(3, 20, 4)` is row 3 and every fourth row after."""
    times: int = 1
    plain: int = 0
    """Plain loops between the edge and it."""

    @property
    def takes(self) -> int:
        """Loops of the row that it wants, those beside the edge counted in."""
        return self.plain + STITCHES[self.stitch].takes * self.times


def row(
    number: int, live: int, shapings: Sequence[Shaping], *, leftward: bool, plain: str = "k"
) -> tuple[Operation, ...]:
    """Row `number` of the clock on `live` loops, in the order of the hand.

    `leftward`: the hand begins at the right as seen from the right side. Raises Refusal where
    what falls into the row does not find its loops.
    """
    due = [one for one in shapings if number in one.rows]
    wanted = sum(one.takes for one in due)
    if wanted > live:
        raise Refusal(
            f"Row {number} has {live} loops, and what is shaped in it at the same time takes "
            f"{wanted}: shape fewer at once, or begin one of them later."
        )
    first = [o for one in due if one.at_right is leftward for o in _inward(one, plain)]
    last = [o for one in due if one.at_right is not leftward for o in _inward(one, plain)]
    return (*first, op(plain, live - wanted), *last[::-1])


def _inward(shaping: Shaping, plain: str) -> tuple[Operation, ...]:
    """From the edge inward."""
    return op(plain, shaping.plain), op(shaping.stitch, shaping.times)


@dataclass(frozen=True)
class Row:
    """One row of a track."""

    operations: tuple[Operation, ...]
    direction: Direction
    side: str | None = None


@dataclass(frozen=True)
class Track:
    """A part that is worked beside another: its loops wait under its name."""

    part: str
    rows: tuple[Row, ...]


def side_by_side(b: ScriptBuilder, tracks: Sequence[Track]) -> None:
    """Work the tracks in turn, a row of each, until all are done; then all of them wait.

    Every track's loops rest under the name of its part when this begins, and so they do at its end.
    """
    working = ""
    for number, turn in enumerate(zip_longest(*(track.rows for track in tracks)), 1):
        for track, one in zip(tracks, turn, strict=True):
            if one is None:
                continue
            change: list[Operation] = []
            if working != track.part:
                change = [op("rest", b.live, working)] if working else []
                change.append(op("resume", b.rests[track.part], track.part))
            b.step(
                track.part,
                Kind.ROW,
                *change,
                *one.operations,
                row=number,
                rows=len(track.rows),
                direction=one.direction,
                side=one.side,
            )
            working = track.part
    if working:
        b.step(working, Kind.MARKER, op("rest", b.live, working), note="All of them wait now")
