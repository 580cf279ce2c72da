"""One row or round, in either craft, and the counts that may have been decided for it."""

import re
from collections.abc import Sequence

from engine.designs.design import decided, handed
from engine.designs.fabric import way
from engine.designs.shapes.colours import Colours
from engine.designs.shapes.cover import Cover
from engine.script.builder import ScriptBuilder, op
from models.plan import Plan
from models.script import LOOP_KINDS, Craft, Direction, Hand, Kind, Operation, RowScript

_EDGE = re.compile(r"(the (?:right|left) edge of the )(.+)")


def loops_for(plan: Plan, wanted: float, multiple: int = 1) -> int:
    """Loops of the foundation, a multiple of so many: nearest to those decided, else wanted."""
    return multiple * round((plan.count("foundation") or wanted) / multiple)


def rows_for(plan: Plan, part: str, wanted: float, least: int = 1) -> int:
    """Rows of a part: those that were decided, else the nearest to those wanted."""
    said = decided(plan, part)
    return max(least, round(wanted) if said is None else said)


def taken_out(b: ScriptBuilder) -> list[Operation]:
    """The markers that are still in, taken out."""
    left: dict[str, int] = {}
    for step in b.steps:
        for o in step.operations:
            if o.stitch in {"pm", "rm"}:
                left[o.at] = left.get(o.at, 0) + (o.times if o.stitch == "pm" else -o.times)
    return [op("rm", count, at) for at, count in left.items() if count > 0]


def lay_aside(b: ScriptBuilder, part: str, waits: dict[str, int], *, note: str = "") -> None:
    """So many loops of a ring wait, by their names, from its far end on. With a note the yarn is
    cut before, and all of them wait."""
    if note:
        b.step(part, Kind.MARKER, *taken_out(b), op("tail"), note=note)
    said = "Counted back from the end of the round"
    for name, count in waits.items():
        b.step(part, Kind.MARKER, *taken_out(b), op("rest", count, name), note=said)
        said = "The next ones before these"


def worn(script: RowScript, hand: Hand) -> RowScript:
    """The right and left of parts as they are worn: a left-handed maker works them in turn.

    Edges are mirrored by the builder; of these only the part's name is another.
    """
    if hand is Hand.RIGHT:
        return script

    def place(words: str) -> str:
        edge = _EDGE.fullmatch(words)
        return edge[1] + handed(hand, edge[2]) if edge else handed(hand, words)

    steps = tuple(
        step.model_copy(
            update={
                "part": handed(hand, step.part),
                "operations": tuple(
                    o.model_copy(update={"at": place(o.at)}) for o in step.operations
                ),
            }
        )
        for step in script.steps
    )
    level = tuple(tuple(handed(hand, part) for part in group) for group in script.level)
    alike = tuple((handed(hand, one), handed(hand, other)) for one, other in script.alike)
    mirrored = tuple((handed(hand, one), handed(hand, other)) for one, other in script.mirrored)
    regular = tuple(handed(hand, part) for part in script.regular)
    return script.model_copy(
        update={
            "steps": steps,
            "level": level,
            "alike": alike,
            "mirrored": mirrored,
            "regular": regular,
        }
    )


_HOW = {
    "k2tog": "Knit two together: go into both at once, and the second lies on the first",
    "ssk": "Slip two, one by one, as if to knit, and knit both through their backs: the first lies "
    "on the second",
    "p2tog": "Purl two together: go into both at once",
    "kfb": "Knit front and back: knit the next stitch, leave it on its needle, and knit it once "
    "more through its back, two of one",
    "m1l": "Make one left: lift the strand before the next stitch from the front and knit it "
    "through its back",
    "m1r": "Make one right: lift the strand before the next stitch from behind and knit it "
    "through its front",
}
"""What needles do where a stitch comes for the first time, for who only listens (common practice,
no source); in loop yarn the parts say it themselves."""


def _first_time(b: ScriptBuilder, operations: Sequence[Operation]) -> str:
    """How the stitches are worked that come here for the first time."""
    new = [s for s in dict.fromkeys(o.stitch for o in operations if o.times) if s in _HOW]
    if b.plan.craft is Craft.LOOP or not new:
        return ""
    before = {o.stitch for step in b.steps for o in step.operations}
    return together(*(_HOW[stitch] for stitch in new if stitch not in before))


def flat_row(
    b: ScriptBuilder,
    part: str,
    row: int,
    *operations: Operation,
    rows: int | None = None,
    planned: int | None = None,
    clock: int | None = None,
    cover: Cover | None = None,
    colours: Colours | None = None,
    note: str = "",
) -> None:
    """Row `row` of a part, to and fro. `clock` is its number where it is not the part's own, so
    that odd ones go right to left, on the right side. `cover` lies over its plain stretches, and
    it is worked in `colours`."""
    travel = way(b.plan.craft, row if clock is None else clock)
    back = travel.wrong_side or travel.direction is Direction.LEFT_TO_RIGHT
    if cover:
        operations = cover.row(row, *operations, back=back)
        note = together(note, cover.said)
    if colours:
        operations, said = colours.row(part, row, operations, back=back)
        note = together(note, said)
    note = together(note, _first_time(b, operations))
    if row == 1 and _was_round(b):
        turned = "the work is never turned" if b.plan.craft is Craft.LOOP else "turn after each row"
        note = together(f"From here in rows, to and fro; {turned}", note)
    b.step(
        part,
        Kind.ROW,
        *operations,
        row=row,
        rows=rows,
        planned=planned,
        direction=travel.direction,
        side=travel.side,
        note=note,
    )


def _was_round(b: ScriptBuilder) -> bool:
    """Whether what is in work was worked in rounds until now."""
    last = next((s for s in reversed(b.steps) if s.kind in LOOP_KINDS), None)
    return last is not None and last.kind is Kind.ROUND


def a_round(
    b: ScriptBuilder,
    part: str,
    row: int,
    *operations: Operation,
    rows: int | None = None,
    planned: int | None = None,
    cover: Cover | None = None,
    colours: Colours | None = None,
    note: str = "",
) -> None:
    """Round `row` of a part; `cover` lies over its plain stretches, its stripes are `colours`."""
    if cover:
        operations = cover.row(row, *operations)
        note = together(note, cover.said)
    if colours:
        operations, said = colours.row(part, row, operations)
        note = together(note, said)
    note = together(note, _first_time(b, operations))
    b.step(
        part,
        Kind.ROUND,
        *operations,
        row=row,
        rows=rows,
        planned=planned,
        direction=Direction.AROUND,
        note=note,
    )


def together(*said: str) -> str:
    """Several notes as one; the same is said once."""
    return ". ".join(dict.fromkeys(filter(None, said)))


def lean(craft: Craft, *, left: bool) -> str:
    """One decrease: on needles it leans, in loop yarn one loop lies on its neighbour."""
    if craft is Craft.LOOP:
        return "dec"
    return "ssk" if left else "k2tog"
