"""What is offered for lines that were not read: such as come out on the loops that are there."""

from collections.abc import Sequence

from engine.pattern.count.decide import work_row
from engine.pattern.count.drafts import Counted
from engine.pattern.count.tally import RowSetting
from engine.pattern.count.worked import TooMuch
from engine.pattern.text.nearest import guessable, nearest
from engine.pattern.text.numbers import Spot
from engine.pattern.text.read import Pattern
from engine.pattern.text.row_items import AsRow, Group, Item, Marker, Shape, Stitch, Toward, Until
from engine.pattern.text.sorting import Sorted
from engine.pattern.text.statements import Heading, RowLine, Statement
from models.pattern import Severity

LINES_AT_MOST = 40
"""Unread lines for which something is looked for."""


def offers(pattern: Pattern, counted: Sequence[Counted]) -> dict[Spot, tuple[str, ...]]:
    """Up to three readings for each line that was not read, by its place.

    `counted`: the pattern in each size.
    """
    unread = [line for line in pattern.lines if line.kind == "unread"][:LINES_AT_MOST]
    return {
        line.words.spot(0): nearest(line.words, fits=_Fits(pattern, line, counted))
        for line in unread
        if guessable(line.problem)
    }


class _Fits:
    """Whether rows come out on the loops that are there where a line stands, in every size."""

    def __init__(self, pattern: Pattern, line: Sorted, counted: Sequence[Counted]) -> None:
        self.live: list[int | None] = [None] * len(counted)
        spot = line.words.spot(0)
        if not _certain(pattern, line):
            return
        for size, one in enumerate(counted):
            before = [d for d in one.drafts if (d.spot.line, d.spot.column) < _place(spot)]
            wrong = any(f.severity is Severity.FAULT and f.line < spot.line for f in one.faults)
            if before and not wrong:
                self.live[size] = before[-1].after

    def __call__(self, said: tuple[Statement, ...]) -> bool:
        rows = [s.row.items for s in said if isinstance(s, RowLine)]
        if not rows or any(map(_by_place, rows)):
            return True
        return all(self._comes_out(rows, live, size) for size, live in enumerate(self.live))

    def _comes_out(self, rows: list[tuple[Item, ...]], live: int | None, size: int) -> bool:
        for items in rows:
            if live is None:
                return True
            try:
                worked, live, _ = work_row(items, live, size, RowSetting())
            except TooMuch:
                return False
            if not worked.sound:
                return False
            live += worked.leaves - worked.takes
        return True


def _place(spot: Spot) -> tuple[int, int]:
    return spot.line, spot.column


def _certain(pattern: Pattern, line: Sorted) -> bool:
    """Whether everything above it in its part was read."""
    parts = [
        s.said.spot.line
        for s in pattern.statements
        if isinstance(s.said, Heading) and s.said.kind == "part"
    ]
    here = line.words.spot(0)
    start = max((n for n in parts if n <= here.line), default=0)
    return not any(start <= u.spot.line < here.line for u in pattern.unread)


def _by_place(items: Sequence[Item]) -> bool:
    """Whether a row goes by markers, gaps or other rows, of which nothing is known here."""
    for item in items:
        if isinstance(item, (AsRow, Marker)) or (
            isinstance(item, Shape) and item.where != "evenly"
        ):
            return True
        if isinstance(item, Toward) and item.limit.until not in {Until.LAST, Until.OVER}:
            return True
        if isinstance(item, Stitch) and item.parts[0][0] in {"pm", "sm", "rm"}:
            return True
        if isinstance(item, Group) and _by_place(item.items):
            return True
    return False
