"""How a step reads and how it sounds. The only place where instructions become sentences."""

import re
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from engine.script.repeats import Repeat, folded
from models.script import ROW_KINDS, Craft, Direction, Kind, Operation, Step
from models.stitch import Role

_ARROWS = {
    Direction.RIGHT_TO_LEFT: "←",
    Direction.LEFT_TO_RIGHT: "→",
    Direction.AROUND: "↻",
}


_SIDES = {"RS": "right", "WS": "wrong"}

SCISSORS = "Mind the scissors"
"""Where it stands in a last step, what follows it is for the head alone."""
CUT_AND_WEAVE = "Cut the 2 loops of each end open and weave them in"
WEAVE_IN = "Weave in the ends"
SECOND = "The second {} is begun anew, and is the same"
"""Said of what two are made of; `twice` knows them by it."""


def arrow(direction: Direction | None) -> str:
    """The arrow that goes with a direction's word; empty where there is none."""
    return _ARROWS[direction] if direction else ""


def loop_word(craft: Craft, count: int = 2) -> str:
    """Loop or stitch, in the plural unless `count` is one."""
    word = "loop" if craft is Craft.LOOP else "stitch"
    if count == 1:
        return word
    return "loops" if craft is Craft.LOOP else "stitches"


def counted(count: int, craft: Craft) -> str:
    """`1 loop`, `12 loops`, `12 stitches`."""
    return f"{count} {loop_word(craft, count)}"


def row_word(kind: Kind) -> str:
    """Row or round."""
    return "round" if kind is Kind.ROUND else "row"


def filled(template: str, operation: Operation, craft: Craft) -> str:
    """A template of the stitch table with this operation's number and place in it."""
    times, at = operation.times, operation.at
    front, _, back = at.partition("|")
    return template.format(
        n=times,
        loops=counted(times, craft),
        word=loop_word(craft, times),
        loop=loop_word(craft, 1),
        many=loop_word(craft),
        at=at,
        front=front,
        back=back,
    )


def operation_text(operation: Operation, craft: Craft) -> str:
    """One operation in words: `knit 12`, `decrease 1`, `leave 30 loops resting`."""
    entry, once = operation.entry, operation.times == 1
    template = entry.told_loop if craft is Craft.LOOP else ""
    template = template or (entry.told_once if once else "") or entry.told
    if not template:
        template = f"{entry.name} {{n}}" if entry.counted else entry.name
        template = template if entry.counted or once else f"{{n}} times {template}"
    if operation.at:
        template += _placed(operation.at) if entry.role is Role.MARKER else entry.told_at
    return filled(template, operation, craft)


_BY_COUNT = re.compile(r"after \d|\d+ \w+ before ")


def _placed(at: str) -> str:
    """Where a marker hangs, as one says it: `at the join`, `after 7 loops`; else its name."""
    return " at {at}" if at.startswith("the ") else " {at}" if _BY_COUNT.match(at) else " ({at})"


class Doing(NamedTuple):
    """The operations of a step, by when they are done."""

    before: tuple[Operation, ...]
    row: tuple[Operation, ...]
    after: tuple[Operation, ...]


def doing(step: Step) -> Doing:
    """What is done before the row, in it and after it; what a row leaves resting it leaves last.

    A foundation's tail is only left, not cut: it is none of them. Where no loop is worked, the last
    thing done is the row: the loops that are drawn together, left resting or taken up.
    """
    silent = "tail" if step.kind is Kind.FOUNDATION else ""
    operations = [o for o in step.operations if o.stitch != silent]
    worked = [i for i, o in enumerate(operations) if _worked(o)]
    # A marker that is taken out before the first loop is no part of the row.
    out = worked[0] if worked else len(operations) if any(map(_besides, operations)) else 0
    beside = [i for i, o in enumerate(operations) if o.entry.second or (_out(o) and i < out)]
    row_at = [i for i in range(len(operations)) if i not in beside]
    # A yarn that is joined at the beginning is joined before its first loop.
    loops = [i for i in row_at if operations[i].entry.role not in {Role.COLOUR, Role.MARKER}]
    first = (loops or row_at or [len(operations)])[0]
    early = [i for i in beside if i < first and not (step.counts_row and _left(operations[i]))]
    early += [i for i in beside if i > first and _taken_up(operations[i])]
    before = [operations[i] for i in early]
    row = [operations[i] for i in row_at]
    after = [operations[i] for i in beside if i not in early]
    if not row and operations:
        ends = [o for o in operations if o.stitch == "fasten"]
        row = ends or [o for o in operations if o.stitch == operations[-1].stitch]
        before = [o for o in before if o not in row]
        after = [o for o in after if o not in row]
    return Doing(tuple(before), tuple(row), tuple(after))


def _out(one: Operation) -> bool:
    return one.stitch == "rm"


def _besides(one: Operation) -> bool:
    return bool(one.entry.second)


def _worked(one: Operation) -> bool:
    return not one.entry.second and not _out(one) and one.entry.role is not Role.COLOUR


_LEFT = frozenset({"rest", "rest next"})
"""Regroupings that leave loops where they are; others come before the row."""


def _left(one: Operation) -> bool:
    return one.stitch in _LEFT


def _taken_up(one: Operation) -> bool:
    return one.entry.regroups and not _left(one)


def seconds(operations: Sequence[Operation], craft: Craft) -> tuple[str, ...]:
    """What is done beside the row in a few words: `take up 17 from body`, `cut the yarn`."""
    said = [_second(o, craft) for o in operations]
    counts = [(one, len(list(same))) for one, same in groupby(said)]
    return tuple(one if times == 1 else f"{one}, {times} times" for one, times in counts)


def _second(operation: Operation, craft: Craft) -> str:
    entry = operation.entry
    if not entry.second:  # a marker that is taken out first
        return operation_text(operation, craft)
    once = entry.told_once if operation.times == 1 else ""
    return filled(once or entry.second, operation, craft)


class Noted(NamedTuple):
    """What a step's note has the hands do, in few words, beside its operations."""

    before: tuple[str, ...] = ()
    row: tuple[str, ...] = ()
    """Of a step without operations: the thing itself."""
    after: tuple[str, ...] = ()


_DONE_FIRST = re.compile(
    r"(Close the ring|Fold|Turn|Change to(?=.*needles)|Break|Block|Inside out|Right sides together"
    r"|Wrong sides together|Put (?!them)|Using|With)\b"
)
_DONE_THEN = re.compile(r"(Put them|Leave it|Leave the tail|Pull it|Close the corners)\b")
_SENTENCES = re.compile(r"(?<=[.!?])\.?\s+")
_HANGING = re.compile(r"(?:[\s.,!]|\band try it on|\bfirst|\band)+$")


_TALK = re.compile(
    r"""[\W_]*(?:
    (?:with\s|much\s|all\smy\s|lots\sof\s)*(?:love\b|regards\b|hugs\b|kisses\b|xx*\b|cheers\b|best\swishes\b|yours\b)
    |and[\W_]*$|please[\W_]*$|(?:(?:all|you(?:'|’)re|you\sare)\s)?(?:done|finish(?:ed)?|the\send|ta-?da|voil[aà])[\W_]*$
    |enjoy\b|thank|happy\b|have\sfun\b|good\sluck\b|congratulations|p\.?\s?s\b
    |(?:please\s)?send\sme\b|i\b|i(?:'|’)\w+|we\b|my\b|it(?:'|’)s\b|if\syou\s(?:make|like|want|sell)\b|hospitals?\b
    |©|\(c\)|copyright\b|all\srights\b|for\spersonal\suse|do\snot\s(?:sell|copy|share)\b|https?:|www\.
    |\d+\s(?:thoughts?|comments?|replies|responses)\b|\w+\s(?:says|said|wrote)\b
    |caution\b|warning\b|not\sfor\s(?:children|babies|infants)\b|keep\s[^.;]*\b(?:away\sfrom|out\sof)\b
    )""",
    re.I | re.X,
)
"""What a pattern says at its end and no hand does: greetings, a page's own lines, cautions.

They stand in the sentence below the big lines.
"""
_BY_HAND = re.compile(
    r"\b(?:sew|seam|stitch|fold|join|weave|press|block|stuff|thread|attach|work|wash|pin|trim)\b",
    re.I,
)
"""Said in talk, these are still to be done."""


def noted(step: Step) -> Noted:
    """What the hands do by the note: folding, turning, other needles; the ends of a piece."""
    sentences = [one for one in _SENTENCES.split(step.note) if one.strip()]
    if step.kind is Kind.FINISH:
        return _ends(sentences)
    said = [(one, _few(re.split(r"[:;]", one)[0])) for one in sentences]
    return Noted(
        before=tuple(few for one, few in said if few and _DONE_FIRST.match(one)),
        after=tuple(few for one, few in said if few and _DONE_THEN.match(one)),
    )


def _ends(sentences: list[str]) -> Noted:
    """A piece's last step: what its pattern has done with it, then its ends."""
    before: list[str] = []
    for one in sentences:
        if one.startswith(SCISSORS):
            break
        if one.startswith(CUT_AND_WEAVE):
            many, _, _ = one.removeprefix(CUT_AND_WEAVE).lstrip(": ").partition(",")
            row = ("cut each end open", "weave it in")
            return Noted(tuple(before), row, (many,) if many else ())
        if not _TALK.match(one) or _BY_HAND.search(one):
            before.append(_few(one))
        if one.startswith(WEAVE_IN):
            break
    before = [one for one in before if one]
    return Noted(tuple(before[:-1]), tuple(before[-1:]))


def _few(sentence: str) -> str:
    """A sentence as a clause among others: `fold it, right sides together`."""
    said = _HANGING.sub("", sentence.strip())
    capital, small = said[:1], said[:1].lower()
    return (small if said[1:2].islower() or said[1:2] == " " else capital) + said[1:]


def instruction(step: Step, craft: Craft) -> str:
    """What the hands do, without the row's number: the biggest thing on the screen."""
    return ", ".join(_item_text(item, craft) for item in _done(step))


def _done(step: Step) -> list[Operation | Repeat]:
    """A step's operations in the order in which they are told, what repeats drawn together.

    What a row leaves resting is told last: the hand comes to it last.
    """
    # The foundation's tail is only left, not cut: its note says where to start counting.
    silent = {"tail"} if step.kind is Kind.FOUNDATION else set()
    told = [o for o in step.operations if o.stitch not in silent]
    if step.counts_row:
        told.sort(key=lambda o: o.stitch == "rest")
    return folded(tuple(told))


def _item_text(item: Operation | Repeat, craft: Craft) -> str:
    """An operation, or what repeats, in brackets: `(knit 1, purl 1) 12 times`."""
    if isinstance(item, Operation):
        return operation_text(item, craft)
    inside = ", ".join(operation_text(o, craft) for o in item.operations)
    return f"({inside}) {item.times} times"


def _unbracketed(text: str) -> str:
    return text.replace(" (", ", ").replace(")", "")


def _item_spoken(item: Operation | Repeat, craft: Craft) -> str:
    """The same without brackets: `12 times: knit 1, purl 1`."""
    if isinstance(item, Operation):
        return _unbracketed(operation_text(item, craft))
    inside = ", ".join(_item_spoken(o, craft) for o in item.operations)
    return f"{item.times} times: {inside}"


def _sentence(text: str) -> str:
    capital = text[:1].upper()
    first = capital if len(capital) == 1 else text[:1]  # "ß" has no capital of one letter
    return first + text[1:] + ("" if text.endswith((".", "?")) else ".")


def kind_word(step: Step) -> str:
    """What kind of step it is: `Bind off`; `Between rows` where more than markers is handled."""
    handled = {o.entry.role for o in step.operations}
    if step.kind is Kind.MARKER and handled - {Role.MARKER}:
        return "Between rows"
    return step.kind.value.capitalize()


def place(step: Step) -> str:
    """`Row 3 of 8`, `Round 2` where the number is open, or the step's kind."""
    if step.kind in ROW_KINDS and step.row is not None:
        of = f" of {step.rows}" if step.rows is not None else ""
        return f"{row_word(step.kind).capitalize()} {step.row}{of}"
    return kind_word(step)


def text(step: Step, craft: Craft) -> str:
    """The whole instruction to read."""
    hands = instruction(step, craft)
    head = place(step) if step.kind in ROW_KINDS or step.kind is Kind.FOUNDATION else ""
    if step.side and head:
        head += f" ({step.side})"
    elif step.side:
        head = f"{_SIDES[step.side]} side facing"
    elif step.direction and step.kind in ROW_KINDS:
        head += f", {step.direction.value}"
    elif _flat_chain(step) and step.direction:
        head = step.direction.value.capitalize()
    body = f"{head}: {hands}" if head and hands else hands
    first, note = _in_order(step)
    parts = (first, _sentence(body) if body else "", note, _left_at_end(step, craft))
    return " ".join(filter(None, parts))


def beside(step: Step, craft: Craft) -> str:
    """What a step's text says beside what the hands do: why and how, and what comes of it."""
    note = _sentence(step.note) if step.note else ""
    return " ".join(filter(None, (note, _left_at_end(step, craft))))


def _left_at_end(step: Step, craft: Craft) -> str:
    if step.kind in ROW_KINDS and step.loops_after != step.loops_before:
        return f"{counted(step.loops_after, craft).capitalize()} at the end."
    return ""


def _in_order(step: Step) -> tuple[str, str]:
    """What a step's note has done before its loops are worked, and the rest of it: who listens
    folds or turns the work when it is said, and not once the chain is done."""
    first: list[str] = []
    then: list[str] = []
    for one in filter(str.strip, _SENTENCES.split(step.note)):
        # How it goes on stands behind the colon.
        done, colon, how = one.partition(": ")
        if not (step.operations and _DONE_FIRST.match(one)):
            then.append(one)
        elif colon:
            first.append(done)
            then.append(how)
        else:
            first.append(one)
    if not first:
        return "", _sentence(step.note) if step.note else ""
    return " ".join(map(_sentence, first)), " ".join(map(_sentence, then))


_GOES = {
    Direction.RIGHT_TO_LEFT: "to the left",
    Direction.LEFT_TO_RIGHT: "to the right",
    Direction.AROUND: "around",
}


def spoken(step: Step, craft: Craft, before: Step | None = None) -> str:
    """What to say of a step: all that the hands do, in their order, and its note.

    `before` is the step before it: the part is named where it begins, and the way, or the side
    that faces, where it is another one than then. No brackets and no totals.
    """
    head = []
    if before is None or before.part != step.part:
        head.append(_sentence(step.part))
    if step.kind in ROW_KINDS and step.row is not None:
        way = _way(step, before)
        head.append(f"{row_word(step.kind).capitalize()} {step.row}{f', {way}' if way else ''}.")
    elif (way := _way(step, before)) and (step.side or _flat_chain(step)):
        head.append(_sentence(way))
    first, note = map(_unbracketed, _in_order(step))
    if first:
        head.append(first)
    said = list(map(_sentence, _stretches(step, craft)))
    if note:
        said.append(note)
    return " ".join((*head, *(said or [_sentence(step.kind.value)])))


def _stretches(step: Step, craft: Craft) -> Iterator[str]:
    """What the hands do, said in one breath or, where a stretch repeats, in several: who only
    listens hears where it begins and where it ends."""
    for repeats, run in groupby(_done(step), key=lambda item: isinstance(item, Repeat)):
        items = [_item_spoken(item, craft) for item in run]
        yield from items if repeats else [", ".join(items)]


def _flat_chain(step: Step) -> bool:
    """Whether a bind-off goes one way, as at an armhole, and not around an edge."""
    return step.kind is Kind.BIND_OFF and step.direction in {
        Direction.RIGHT_TO_LEFT,
        Direction.LEFT_TO_RIGHT,
    }


def _way(step: Step, before: Step | None) -> str:
    """The way a row goes, or the side that faces, where the step before had another."""
    old = before if before and before.part == step.part and before.counts_row else None
    if step.side:
        return "" if old and old.side == step.side else f"{_SIDES[step.side]} side"
    if step.direction and not (old and old.direction is step.direction):
        return _GOES[step.direction]
    return ""
