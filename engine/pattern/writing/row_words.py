"""A row or a step in the written notation, without its label."""

import re

from engine.pattern.writing.words import Num, Words, joined, num, with_numbers
from engine.script.repeats import Repeat, folded
from engine.script.wording import filled, loop_word
from models.script import Craft, Kind, Operation, Step
from models.stitch import Role

_HOLE = re.compile(r"(\{[a-z]+\})")
_OFTEN = " {n} times"


def operation_words(o: Operation, craft: Craft) -> Words:
    """One operation in the written notation."""
    entry = o.entry
    if entry.role is Role.MARKER and o.at:
        return _marker(o)
    template = (entry.written_once if o.times == 1 else "") or entry.written
    template = template or (o.stitch if o.times == 1 else o.stitch + _OFTEN)
    if template.endswith(_OFTEN) and not template.startswith("("):
        # "yo, k2tog 3 times" could be read as three of both.
        template = f"({template.removesuffix(_OFTEN)}){_OFTEN}"
    template += entry.written_at if o.at else ""
    pieces = tuple(
        num(o.times) if piece == "{n}" else filled(piece, o, craft)
        for piece in _HOLE.split(template)
    )
    return joined([pieces])


def _marker(o: Operation) -> Words:
    if o.stitch != "pm":
        # Numbers in its name differ from size to size, as where it was placed.
        return (f'{o.stitch} "', *with_numbers(o.at), '"') if o.at else (o.stitch,)
    after, before = o.at.split(" "), o.at.partition(" before the end")
    if len(after) == 3 and after[0] == "after" and after[1].isdigit():
        return ("pm after ", Num(after[1]), f" {after[2]}")
    first = before[0].split(" ")
    if before[1] and not before[2] and len(first) == 2 and first[0].isdigit():
        return ("pm ", Num(first[0]), f" {first[1]} before the end")
    return (f'{o.stitch} "{o.at}"',) if o.at else (o.stitch,)


def _stretch(items: list[Operation | Repeat], live: int) -> int | None:
    """Index of the item that is said by where it ends: the longest knit or purl, the last one of
    those, or a repeat.

    Only where every other item takes a number of loops that it says, none rests on the way, and
    what follows is no more than the stretch itself: else its own number is the easier one.
    """
    if len(items) == 1 and isinstance(items[0], Repeat):
        inside = items[0].operations
        takes = sum(o.takes for o in inside) * items[0].times
        plain = not any(o.entry.regroups or o.at for o in inside)
        return 0 if takes == live and takes and plain else None
    if any(isinstance(item, Operation) and item.stitch == "rest next" for item in items):
        return None
    longest, best = 2, None
    for index, item in enumerate(items):
        if isinstance(item, Operation) and item.stitch in {"k", "p"} and item.times >= longest:
            longest, best = item.times, index
    if best is None or sum(_taken(item) for item in items[best + 1 :]) > longest:
        return None
    return best


def row_words(step: Step, craft: Craft) -> Words:
    """What is worked in a row or a step, without its label."""
    words: list[Words] = []
    if step.kind is Kind.FOUNDATION and step.operations[0].stitch == "tail":
        words.append(("leave a tail",))
        step = step.model_copy(update={"operations": step.operations[1:]})
    items = folded(step.operations)
    taken = [_taken(item) for item in items]
    reach = _stretch(items, step.loops_before) if step.counts_row else None
    if reach is not None and sum(taken) != step.loops_before:
        reach = None
    for index, item in enumerate(items):
        after = sum(taken[index + 1 :])
        if isinstance(item, Repeat):
            inside = joined([operation_words(o, craft) for o in item.operations])
            if index == reach:
                words.append(("*", *inside, "; rep from * to end"))
            else:
                words.append(("(", *inside, ") ", num(item.times), " times"))
        elif index == reach and after == 0:
            words.append((f"{item.stitch} to end",))
        elif index == reach and after == 1:
            words.append((f"{item.stitch} to last {loop_word(craft, 1)}",))
        elif index == reach:
            words.append((f"{item.stitch} to last ", num(after), f" {loop_word(craft)}"))
        elif item.stitch == "rest" and step.counts_row:
            # The hand comes to them last, whenever it is said.
            said, *more = operation_words(item, craft)
            words.append((f"{said}the last ", *more))
        else:
            words.append(operation_words(item, craft))
    return joined(words)


def _taken(item: Operation | Repeat) -> int:
    if isinstance(item, Repeat):
        return sum(o.takes for o in item.operations) * item.times
    return item.takes
