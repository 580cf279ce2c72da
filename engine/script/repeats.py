"""Finds what repeats in a row, so that it can be read, said and written in brackets."""

from dataclasses import dataclass

from models.script import Operation

_LONGEST = 24
"""Operations in a repeat: a longer one is no easier to follow than the row itself."""


@dataclass(frozen=True)
class Repeat:
    """Operations that come `times` times in a row."""

    operations: tuple[Operation, ...]
    times: int


def folded(operations: tuple[Operation, ...]) -> list[Operation | Repeat]:
    """The row with what comes twice or more drawn together, shortest repeat first."""
    items: list[Operation | Repeat] = []
    at = 0
    while at < len(operations):
        for period in range(2, min(_LONGEST, (len(operations) - at) // 2) + 1):
            unit = operations[at : at + period]
            times = 1
            while operations[at + times * period : at + (times + 1) * period] == unit:
                times += 1
            if times > 1:
                items.append(Repeat(unit, times))
                at += times * period
                break
        else:
            items.append(operations[at])
            at += 1
    return items


def merged(operations: tuple[Operation, ...]) -> tuple[Operation, ...]:
    """The same row with equal neighbours as one operation and those worked no times left out."""
    stitch = at = ""
    for operation in operations:
        if not operation.times or (operation.stitch == stitch and operation.at == at):
            break
        stitch, at = operation.stitch, operation.at
    else:
        return operations  # as most rows are written
    row: list[Operation] = []
    for operation in operations:
        last = row[-1] if row else None
        if last and (last.stitch, last.at) == (operation.stitch, operation.at):
            row[-1] = last.model_copy(update={"times": last.times + operation.times})
        elif operation.times:
            row.append(operation)
    return tuple(row)
