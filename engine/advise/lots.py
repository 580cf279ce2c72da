"""Two dye lots worked in turn, so that no line shows where one would end and the other begin.

Every two rows the yarn is changed where the other one hangs: after two rows the hand is back at the
edge at which it was left, and rounds always end where they begin. The yarn that waits is not cut,
unless the work parts there: then it cannot go along. Where the script cuts its yarn both are cut,
and the second comes in again when there are rows enough for it (common practice, no source).
"""

from bisect import bisect_left
from collections.abc import Iterator, Sequence

from engine.advise.yarn import END, balls_for
from engine.base.plural import noun, some
from engine.base.refusal import Refusal
from engine.script.fabric import leftward
from engine.script.wording import counted, row_word
from engine.script.yarns import by_colour
from models.frozen import Frozen
from models.script import Kind, RowScript, Step
from models.stitch import Role

EVERY = 2
"""Rows from one change to the next: the fewest after which the hand is back at an edge."""


class Change(Frozen):
    """A row that begins with the other lot."""

    step: int
    part: str
    kind: Kind
    row: int
    lot: int
    """The lot that is taken up, 0 or 1."""


class Lots(Frozen):
    """Two lots worked in turn over a whole script."""

    loops: tuple[int, int]
    """Of yarn, by lot, all ends counted."""
    ends: int
    """Loops for the ends that one lot alone would not have."""
    changes: tuple[Change, ...]
    alone: int | None = None
    """The step from which the first lot goes on alone, since the second does not reach further."""


def reaches(balls: int, ball_loops: int) -> int:
    """Loops for which so many balls reach, the ends of each join taken off."""
    return balls * ball_loops - 2 * END * (balls - 1)


def in_turn(script: RowScript, second: int | None = None) -> Lots:
    """The loops of two lots that take turns, and every change.

    `second` is how many loops there are of the second lot; without it there are enough. Raises
    Refusal for work in several colours.
    """
    if len(by_colour(script)) > 1:
        raise Refusal("Two dye lots take turns in work of one colour; this is in several.")
    whole = _Turns(script).taken()
    if second is None or whole.loops[1] <= second:
        return whole
    turns = range(sum(change.lot for change in whole.changes) + 1)
    few = bisect_left(turns, True, key=lambda n: _Turns(script, n).taken().loops[1] > second)
    return _Turns(script, few - 1).taken()


class _Turns:
    """The two yarns on their way through a script."""

    def __init__(self, script: RowScript, most: int | None = None) -> None:
        self.script, self.most = script, most
        self.loops = [0, 0]
        self.ends = 0
        self.changes: list[Change] = []
        self.alone: int | None = None
        self.lot = 0
        """The one in hand."""
        self.rows = 0
        """Rows that it has worked since it was taken up; a pick-up is one."""
        self.waits = ""
        """Where the other one hangs: at the right or left end, or at the beginning of the rounds;
        nowhere before it comes in."""
        self.turned = False

    def taken(self) -> Lots:
        """Work the script."""
        for index, step in enumerate(self.script.steps):
            if self._parts(step) and self.waits:
                self._end(1 - self.lot)
                self.waits = ""
            if self._due(index):
                self._change(step)
            self.loops[self.lot] += step.yarn_loops
            self.rows += step.counts_row or step.kind is Kind.PICK_UP
            if step.counts_row:
                self.turned = any(o.entry.role is Role.TURN for o in step.operations)
            if step.kind is not Kind.FOUNDATION and _has(step, "tail"):
                if self.waits:
                    self._end(1 - self.lot)
                self.lot, self.rows, self.waits = 0, 0, ""
        return Lots(
            loops=(self.loops[0], self.loops[1]),
            ends=self.ends,
            changes=tuple(self.changes),
            alone=self.alone,
        )

    def _parts(self, step: Step) -> bool:
        """Whether the place at which a yarn waits is left with this step: rows follow rounds or
        rounds rows, loops are picked up, or the edge is not the same any more."""
        if step.counts_row and self.waits and (self.waits == "round") != (step.kind is Kind.ROUND):
            return True
        roles = {o.entry.role for o in step.operations}
        moved = Role.REGROUP in roles or (step.counts_row and {Role.BEGIN, Role.END} & roles)
        return step.kind is Kind.PICK_UP or (bool(moved) and self.waits != "round")

    def _due(self, index: int) -> bool:
        step = self.script.steps[index]
        if not step.counts_row or self.rows < EVERY or self.turned or self.alone:
            return False
        if self.waits:
            here = self.waits == self._begins(step)
        else:
            here = sum(s.counts_row for s in self._stretch(index)) >= EVERY
        spent = self.most is not None and sum(c.lot for c in self.changes) >= self.most
        if here and self.lot == 0 and spent:
            self.alone = step.number
            return False
        return here

    def _begins(self, step: Step) -> str:
        """The place at which a row begins."""
        if step.kind is Kind.ROUND:
            return "round"
        return "right" if leftward(step, self.script.hand) else "left"

    def _stretch(self, index: int) -> Iterator[Step]:
        """The steps from here until the yarn is cut, or the work parts."""
        for step in self.script.steps[index:]:
            if _has(step, "tail", "join") or (step.kind is Kind.ROW and self._parts(step)):
                return
            yield step

    def _change(self, step: Step) -> None:
        if not self.waits:
            self._end(1 - self.lot)
        self.lot = 1 - self.lot
        self.rows, self.waits = 0, self._begins(step)
        self.changes.append(
            Change(
                step=step.number, part=step.part, kind=step.kind, row=step.row or 0, lot=self.lot
            )
        )

    def _end(self, lot: int) -> None:
        self.loops[lot] += END
        self.ends += END


def _has(step: Step, *stitches: str) -> bool:
    return any(o.stitch in stitches for o in step.operations)


def told(script: RowScript, balls: Sequence[int], ball_loops: int) -> Iterator[str]:
    """What two lots of so many balls come to, a sentence each. Raises Refusal like `in_turn`."""
    one, other = balls
    if min(one, other) < 1:
        raise Refusal("A dye lot has at least one ball: give the balls of both, as in --lots 7 3.")
    found = in_turn(script, reaches(other, ball_loops))
    first, second = found.loops
    yield (
        f"Two dye lots in turn, every {EVERY} rows: {counted(first, script.craft)} of the first "
        f"and {second} of the second; {found.ends} of these are for ends that one lot would not "
        "have."
    )
    need = balls_for(first, ball_loops)
    if need > one:
        yield f"{some(one, 'ball')} of the first do not reach: {need} are needed."
    if found.alone is not None:
        step = script.steps[found.alone - 1]
        yield (
            f"The second lot does not reach further: from {step.part} {row_word(step.kind)} "
            f"{step.row} on the first goes on alone."
        )
    yield from _rows(found.changes)
    yield (
        "Where they change lay the yarn just used over the one that waits and take that up from "
        "below, neither tight nor slack, and do not cut it: it waits at that edge, in rounds at "
        "their beginning. Where the yarn is cut both are, each with its tail; where loops are "
        "picked up, or rounds and rows follow each other, cut the one that waits and join it again."
    )


def _rows(changes: Sequence[Change]) -> Iterator[str]:
    """Where each lot is taken up, part by part."""
    for part in dict.fromkeys(change.part for change in changes):
        mine = [change for change in changes if change.part == part]
        for lot, name in ((1, "second"), (0, "first")):
            rows = [change.row for change in mine if change.lot == lot]
            if rows:
                word = noun(len(rows), row_word(mine[0].kind))
                begin = noun(len(rows), "begins", "begin")
                yield f"{part}: {word} {', '.join(map(str, rows))} {begin} with the {name} lot."
