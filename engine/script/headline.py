"""The few words of a step that must be readable from across the room.

A step's whole instruction is a sentence (`engine.script.wording`); this is what is left of it when
only a handful of letters fit. The biggest line is the row itself: the stitch and its number, and
whether it changes the loop count. What the hands do before it and after it (take up, join, leave
resting, cut) and where (at which edge, after how many loops) stands in a second line: every
operation of a step is in one of them.
"""

from collections.abc import Iterator
from functools import lru_cache

from engine.script import wording
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


_EDGES = 3
"""More edges than this would not fit: the sentence tells of each, here is how many they are."""


class Headline(Frozen):
    """One stretch of a row, as big as it can be shown."""

    words: str
    short: str
    """The same by the standard abbreviation, for a narrow screen."""
    shaping: bool = False
    """It changes how many loops are live."""


class Big(Frozen):
    """All that the hands do in a step, in the order in which they do it."""

    before: tuple[str, ...] = ()
    row: tuple[Headline, ...] = ()
    """The row itself; never empty for a step."""
    after: tuple[str, ...] = ()
    """What follows it, and where things are."""


@lru_cache(maxsize=64)
def big(step: Step, craft: Craft) -> Big:
    """The big lines of a step."""
    before, row, after = wording.doing(step)
    noted = wording.noted(step)
    skipped: tuple[str, ...] = ()
    if step.kind is Kind.FOUNDATION and craft is Craft.LOOP:
        tail = sum(o.yarn(craft) for o in step.operations if o not in {*before, *row, *after})
        skipped = (f"the first {tail} are the tail",) if tail else ()
    return Big(
        before=(*skipped, *noted.before, *wording.seconds(before, craft)),
        row=headline(step, craft),
        after=(*_places(step, row, craft), *wording.seconds(after, craft), *noted.after),
    )


def _places(step: Step, row: tuple[Operation, ...], craft: Craft) -> tuple[str, ...]:
    """Where what stands in the first line is done, where that is said."""
    found = _edges([operation for operation in row if operation.entry.along], craft)
    for operation in row:
        entry = operation.entry
        if operation.at and entry.told_at and not entry.along:
            where = filled(entry.told_at, operation, craft).strip(" ()")
            lone = entry.role is Role.MARKER and step.kind is not Kind.MARKER
            found.append(f"marker {where}" if lone else where)
    return tuple(dict.fromkeys(found))


def _edges(picked: list[Operation], craft: Craft) -> list[str]:
    """`along the hem`, `30 along the left edge`, `along the armhole: 3 underarm, 11 back`; of many
    edges how many they are."""
    edges: dict[str, list[tuple[int, str]]] = {}
    for operation in picked:
        edge, _, piece = operation.at.partition(", ")
        if edge:
            whole = operation.model_copy(update={"at": edge})
            where = filled(operation.entry.told_at, whole, craft).strip()
            edges.setdefault(where, []).append((operation.times, piece))
    if len(edges) > _EDGES:
        return [f"{len(edges)} edges"]
    said = []
    for where, pieces in edges.items():
        # Which rows of an edge they are stands in the sentence: one number is enough here.
        if any(piece and not piece.startswith("rows ") for _, piece in pieces):
            said.append(f"{where}: {', '.join(f'{n} {piece}'.strip() for n, piece in pieces)}")
        elif len(picked) > 1:
            said.append(f"{sum(n for n, _ in pieces)} {where}")
        else:
            said.append(where)
    return said


def headline(step: Step, craft: Craft) -> tuple[Headline, ...]:
    """The row itself, in the order in which the hands work it; never empty."""
    if step.kind is Kind.MEASURE:
        target = (
            (Headline(words=f"{step.target_cm:g} cm", short=f"{step.target_cm:g} cm"),)
            if step.target_cm
            else ()
        )
        return (Headline(words="measure", short="tape"), *target)
    worked = list(wording.doing(step).row)
    if not worked and (said := wording.noted(step).row):
        return tuple(Headline(words=one, short=one) for one in said)
    if not worked:
        words, short = _LOOKS.get(step.kind, (step.kind.value, step.kind.value))
        return (Headline(words=words, short=short),)
    items = folded(tuple(_one_marker(_one_edge(worked))))
    stretches = [one for item in items for one in _item(item, craft, alone=len(items) == 1)]
    if len(stretches) > _MOST:
        return tuple(one.model_copy(update={"words": one.short}) for one in stretches)
    return tuple(stretches)


def _one_edge(operations: list[Operation]) -> list[Operation]:
    """What is picked up along several edges in one go is one number; where is said beside it."""
    found: list[Operation] = []
    for operation in operations:
        last = found[-1] if found else None
        if last and operation.entry.along and last.stitch == operation.stitch:
            found[-1] = last.model_copy(update={"times": last.times + operation.times, "at": ""})
        else:
            found.append(operation)
    return found


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
    words = (entry.big_loop if craft is Craft.LOOP else "") or entry.big
    if not words and entry.second:
        words = (entry.told_once if operation.times == 1 else "") or entry.second
    if not words:
        named = entry.counted or entry.role in {Role.BEGIN, Role.END}
        words = entry.name + (" {n}" if named else "" if operation.times == 1 else " {n} times")
    return Headline(
        words=filled(words, operation, craft),
        short=filled(entry.short or entry.key + " {n}", operation, craft),
        shaping=entry.shaping,
    )
