"""Puts a script together, one step at a time, keeping count of live and resting loops.

It only counts; whether the counts make a garment is proven afterwards by `engine.script.audit`,
which works the script again loop by loop and trusts nothing that is written down here.
"""

from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from engine.script import edges
from engine.script.explaining import cautioned, explained
from engine.script.repeats import merged
from models.plan import Plan
from models.script import Craft, Direction, Hand, Kind, Operation, RowScript, Step
from models.stitch import STITCHES, Role


def op(stitch: str, times: int = 1, at: str = "") -> Operation:
    """Shorthand for one operation."""
    return Operation(stitch=stitch, times=times, at=at)


def mirrored(operation: Operation) -> Operation:
    """What is told by how it looks or where it lies, for the other hand."""
    entry = operation.entry
    if entry.role is Role.CROSS:
        return operation.model_copy(update={"stitch": entry.mirror})
    if entry.along:
        return operation.model_copy(update={"at": edges.mirrored(operation.at)})
    return operation


class _Each(NamedTuple):
    """What one time of a stitch comes to."""

    change: int
    """Loops there are more after it."""
    yarn: int
    yarn_on_needles: int
    regroups: bool
    """Whether it moves loops to or from a resting place, or takes another yarn in hand."""


@cache
def _each(stitch: str) -> _Each:
    entry, once = STITCHES[stitch], Operation(stitch=stitch, times=1)
    return _Each(
        entry.leaves - entry.takes,
        once.yarn(Craft.LOOP),
        once.yarn(Craft.NEEDLES),
        entry.role in {Role.REGROUP, Role.COLOUR},
    )


class ScriptBuilder:
    """Collects steps. `live` counts the loops in work, `rests` those put aside, by name."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.steps: list[Step] = []
        self.live = 0
        self.rests: dict[str, int] = {}
        self.colour = ""
        """The yarn in hand, where there are several."""
        self.regular: list[str] = []
        """Parts whose rows are regular, as ribs and crowns are."""

    def step(
        self,
        part: str,
        kind: Kind,
        *operations: Operation,
        row: int | None = None,
        rows: int | None = None,
        planned: int | None = None,
        direction: Direction | None = None,
        side: str | None = None,
        target_cm: float | None = None,
        note: str = "",
    ) -> None:
        """Add a step. Operations worked no times are left out, equal neighbours become one.
        Directions, crossings and the right and left edges of parts are for the right hand.

        `planned` is the part's row count as now planned; it is `rows` unless a length decides.
        """
        operations = merged(operations)
        if self.plan.hand is Hand.LEFT:
            operations = tuple(map(mirrored, operations))
        change = yarn = 0
        colour, regroups = self.colour, False
        needles = self.plan.craft is Craft.NEEDLES
        for operation in operations:
            each, times = _each(operation.stitch), operation.times
            change += each.change * times
            yarn += (each.yarn_on_needles if needles else each.yarn) * times
            regroups = regroups or each.regroups
        if regroups:
            for operation in operations:
                self._regroup(operation)
            colour = self._taken_in_hand(operations)
        before = self.live
        self.live += change
        if direction and self.plan.hand is Hand.LEFT:
            direction = direction.back
        step = Step(
            number=len(self.steps) + 1,
            part=part,
            kind=kind,
            row=row,
            rows=rows,
            rows_planned=planned if planned is not None else rows,
            direction=direction,
            side=side,
            operations=operations,
            loops_before=before,
            loops_after=self.live,
            held=sum(self.rests.values()),
            yarn_loops=yarn,
            target_cm=target_cm,
            note=note,
            colour=colour,
        )
        self.steps.append(step)

    def _taken_in_hand(self, operations: Iterable[Operation]) -> str:
        """The colour with which a step begins to work; the last that it takes stays in hand."""
        begins, worked = self.colour, False
        for one in operations:
            if one.stitch == "colour":
                self.colour = one.at
                begins = begins if worked else one.at
            worked = worked or bool(one.takes or one.leaves)
        return begins

    def _regroup(self, operation: Operation) -> None:
        match operation.stitch:
            case "rest" | "rest next":
                self.live -= operation.times
                self.rests[operation.at] = self.rests.get(operation.at, 0) + operation.times
            case "resume" | "pair":
                for name in operation.at.split("|"):
                    self.live += operation.times
                    self.rests[name] = self.rests.get(name, 0) - operation.times

    def back_check(self, part: str, why: str = "before going on") -> None:
        """A look at the wrong side for loops that stick out, or over the work for ladders."""
        if self.plan.craft is Craft.LOOP:
            note = f"Look at the back {why}: a missed loop sticks out there"
        else:
            note = f"Look the work over {why}: a dropped stitch shows as a ladder"
        self.step(part, Kind.BACK_CHECK, note=note)

    def finish(
        self,
        *,
        level: Iterable[tuple[str, ...]] = (),
        mirrored: Iterable[tuple[str, str]] = (),
        alike: Iterable[tuple[str, str]] = (),
        regular: Iterable[str] = (),
        finished_cm: dict[str, float] | None = None,
    ) -> RowScript:
        """The script, not yet audited."""
        plan = self.plan
        return RowScript(
            title=plan.title,
            design=plan.design,
            size=plan.size,
            craft=plan.craft,
            gauge=plan.gauge,
            hand=plan.hand,
            steps=tuple(cautioned(explained(self.steps, plan.craft))),
            level=tuple(level),
            mirrored=tuple(mirrored),
            alike=tuple(alike),
            regular=tuple(dict.fromkeys((*self.regular, *regular))),
            finished_cm={k: round(v, 1) for k, v in (finished_cm or {}).items()},
        )
