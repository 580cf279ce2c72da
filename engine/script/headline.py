"""The few words of a step that must be readable from across the room.

A step's whole instruction is a sentence (`engine.script.wording`); this is what is left of it when
only a handful of letters fit: the stitch and its number, and whether it changes the loop count.
"""

from collections.abc import Iterator

from engine.script.repeats import Repeat, folded
from engine.script.wording import filled
from models.frozen import Frozen
from models.script import Craft, Kind, Operation, Step
from models.stitch import Role

_LOOKS = {
    Kind.BACK_CHECK: ("look at the back", "back ok"),
    Kind.FIT_CHECK: ("try it on", "try on"),
    Kind.FINISH: ("finish", "finish"),
}
_MOST = 4
"""More stretches than this are a pattern: they are shown by their abbreviations."""


class Headline(Frozen):
    """One stretch of a row, as big as it can be shown."""

    words: str
    short: str
    """The same by the standard abbreviation, for a narrow screen."""
    shaping: bool = False
    """It changes how many loops are live."""


def headline(step: Step, craft: Craft) -> tuple[Headline, ...]:
    """What the hands do in a step, in the order in which they do it; never empty."""
    if step.kind is Kind.MEASURE:
        target = (
            (Headline(words=f"{step.target_cm:g} cm", short=f"{step.target_cm:g} cm"),)
            if step.target_cm
            else ()
        )
        return (Headline(words="measure", short="tape"), *target)
    worked = [o for o in step.operations if not o.entry.regroups and not o.entry.quiet]
    if not worked:
        words, short = _LOOKS.get(step.kind, (step.kind.value, step.kind.value))
        return (Headline(words=words, short=short),)
    items = folded(tuple(_one_marker(worked)))
    stretches = [one for item in items for one in _item(item, craft, alone=len(items) == 1)]
    if len(stretches) > _MOST:
        return tuple(one.model_copy(update={"words": one.short}) for one in stretches)
    return tuple(stretches)


def _one_marker(operations: list[Operation]) -> Iterator[Operation]:
    """Two markers placed in one go are one thing to do."""
    last = ""
    for operation in operations:
        if operation.entry.role is not Role.MARKER or operation.stitch != last:
            yield operation
        last = operation.stitch


def _item(item: Operation | Repeat, craft: Craft, *, alone: bool) -> list[Headline]:
    """An operation; or what repeats and how often, in brackets unless it is the whole row."""
    if isinstance(item, Operation):
        return [_stretch(item, craft)]
    inside = [_stretch(operation, craft) for operation in item.operations]
    if not alone:
        first = inside[0]
        inside[0] = first.model_copy(
            update={"words": f"({first.words}", "short": f"({first.short}"}
        )
        last = inside[-1]
        inside[-1] = last.model_copy(update={"words": f"{last.words})", "short": f"{last.short})"})
    times = Headline(words=f"{item.times} times", short=f"{item.times} times")
    return [*inside, times]


def _stretch(operation: Operation, craft: Craft) -> Headline:
    entry = operation.entry
    big = (entry.big_loop if craft is Craft.LOOP else "") or entry.big or entry.name + " {n}"
    return Headline(
        words=filled(big, operation, craft),
        short=filled(entry.short or entry.key + " {n}", operation, craft),
        shaping=entry.shaping,
    )
