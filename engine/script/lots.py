"""Two dye lots worked in turn, so that no line shows where one would end and the other begin.

Every two rows the yarn is changed where the other one hangs: after two rows the hand is back at the
edge at which it was left, and rounds always end where they begin. The yarn that waits is not cut,
unless the work parts there: then it cannot go along. Where the script cuts its yarn both are cut,
and the second comes in again when there are rows enough for it (common practice, no source).
"""

from bisect import bisect_left
from collections.abc import Iterator

from engine.base.refusal import Refusal
from engine.script.explaining import cautioned
from engine.script.fabric import leftward
from engine.script.yarns import by_colour, ends_of
from models.frozen import Frozen
from models.script import Kind, Operation, RowScript, Step
from models.stitch import STITCHES, Role

EVERY = 2
"""Rows from one change to the next: the fewest after which the hand is back at an edge."""
END = STITCHES["tail"].yarn
"""Loops of one yarn's end."""
LOTS = "the first lot", "the second lot"
"""What the two yarns are called, as colours are."""
LAID_OVER = (
    "lay the yarn just used over the one that waits and take that up from below, neither tight nor "
    "slack, and do not cut it"
)
"""How they change (common practice, no source)."""


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
    cuts: tuple[tuple[int, int], ...] = ()
    """Steps before which the lot that waits is cut, and which one that is."""
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
        self.cuts: list[tuple[int, int]] = []
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
            parts = self._parts(step)
            if self.waits and (parts or self._is_cut(step)):
                self._end(1 - self.lot)
                self.cuts.append((step.number, 1 - self.lot))
                self.waits = ""
            if parts:
                self.rows = 0
            if self._due(index):
                self._change(step)
            self.loops[self.lot] += step.yarn_loops
            self.rows += step.counts_row or step.kind is Kind.PICK_UP
            if step.counts_row:
                self.turned = any(o.entry.role is Role.TURN for o in step.operations)
            if self._is_cut(step):
                self.lot, self.rows = 0, 0
        return Lots(
            loops=(self.loops[0], self.loops[1]),
            ends=self.ends,
            changes=tuple(self.changes),
            cuts=tuple(self.cuts),
            alone=self.alone,
        )

    def _is_cut(self, step: Step) -> bool:
        """Whether the script cuts its yarn in this step."""
        return step.kind is not Kind.FOUNDATION and _has(step, "tail")

    def _parts(self, step: Step) -> bool:
        """Whether the place at which a yarn waits is left with this step: rows follow rounds or
        rounds rows, loops are picked up, or the edge is not the same any more."""
        if step.counts_row and self.waits and (self.waits == "round") != (step.kind is Kind.ROUND):
            return True
        if self.waits == "round" and step.kind is not Kind.ROUND:
            # Their beginning is moved on by some loops.
            return any(o.takes or o.leaves for o in step.operations)
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


def taking_turns(script: RowScript, second: int) -> RowScript:
    """The script with every change of two lots in its steps, told as colours are.

    `second` is how many loops there are of the second lot. A lot that is cut while the other goes
    on has a step of its own. Raises Refusal for work in several colours.
    """
    found = in_turn(script, second)
    return _Told(script, found).script()


class _Told:
    """Puts the changes into the steps."""

    def __init__(self, script: RowScript, found: Lots) -> None:
        self.before, self.found = script, found
        self.steps: list[Step] = []
        self.hand = 0
        """The lot that was taken in hand last."""
        self.joined = {0}
        """The lots that hang at the work."""
        self.explained = False

    def script(self) -> RowScript:
        """The script in two lots, numbered anew."""
        changes = {change.step: change.lot for change in self.found.changes}
        cuts = dict(self.found.cuts)
        for step in self.before.steps:
            if step.number in cuts:
                self._cut(cuts[step.number])
            self._work(step, changes.get(step.number))
            if step.kind is Kind.FINISH:
                # It tells how many ends there are to weave in.
                few, all_ends = f"{ends_of(self.before.steps)} ends", f"{ends_of(self.steps)} ends"
                told = self.steps[-1].note.replace(few, all_ends, 1)
                self.steps[-1] = self.steps[-1].model_copy(update={"note": told})
        # Where a lot that waits is cut first the scissors are minded there.
        return self.before.model_copy(update={"steps": tuple(cautioned(self.steps))})

    def _work(self, step: Step, lot: int | None) -> None:
        note, operations = step.note, list(step.operations)
        if step.kind is Kind.FOUNDATION:
            self.joined.add(0)
            if self.hand or not self.steps:
                operations.insert(0, _lot(0))
        elif lot is not None:
            operations[:0] = [_lot(lot)] if lot in self.joined else [_lot(lot), _one("join")]
            note = self._said(note, lot)
        elif self.hand and _has(step, "join"):
            # After both were cut the work goes on with the first.
            at = next(i for i, o in enumerate(operations) if o.stitch == "join")
            operations.insert(at, _lot(0))
        begins = lot if lot is not None else self.hand
        for one in operations:
            if one.stitch == "colour":
                self.hand = LOTS.index(one.at)
            elif one.stitch == "join":
                self.joined.add(self.hand)
            elif one.stitch == "tail" and step.kind is not Kind.FOUNDATION:
                self.joined.discard(self.hand)
        self._add(step, operations, colour=LOTS[begins], note=note)

    def _said(self, note: str, lot: int) -> str:
        """How the yarns change, the first time that one waits."""
        if self.explained or lot not in self.joined:
            return note
        self.explained = True
        how = LAID_OVER[:1].upper() + LAID_OVER[1:]
        return f"{note.rstrip('.')}. {how}" if note else how

    def _cut(self, lot: int) -> None:
        """The lot that waits ends here."""
        self.joined.discard(lot)
        last = self.steps[-1]
        step = Step(
            number=0,
            part=last.part,
            kind=Kind.MARKER,
            loops_before=last.loops_after,
            loops_after=last.loops_after,
            held=last.held,
            yarn_loops=0,
        )
        name = LOTS[lot]
        note = f"{name[:1].upper()}{name[1:]} ends here for now"
        ops = [_lot(lot), _one("tail"), _lot(self.hand)]
        self._add(step, ops, colour=name, note=note)

    def _add(self, step: Step, operations: list[Operation], *, colour: str, note: str) -> None:
        self.steps.append(
            step.model_copy(
                update={
                    "number": len(self.steps) + 1,
                    "operations": tuple(operations),
                    "yarn_loops": sum(o.yarn(self.before.craft) for o in operations),
                    "colour": colour,
                    "note": note,
                }
            )
        )


def _lot(lot: int) -> Operation:
    return Operation(stitch="colour", times=1, at=LOTS[lot])


def _one(stitch: str) -> Operation:
    return Operation(stitch=stitch, times=1)
