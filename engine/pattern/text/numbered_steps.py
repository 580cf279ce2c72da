"""A numbered list that goes back in itself: "repeat steps 3 to 5 six times more"."""

import re
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.layout import Laid
from engine.pattern.text.sorting import WORK, Sorted
from engine.pattern.text.statements import Again, Repeat, RowLine, Statement

_STEPS = re.compile(
    r"\b(?:repeat|rep|work)\s+steps?\s+(\d+)\s*(?:(?:-|–|to|through|and|&)\s*(\d+))?", re.I
)


def with_steps(told: Sequence[Sorted], lines: Sequence[Laid]) -> list[Sorted]:
    """The lines, where steps that are repeated are no single rows, with what those steps say."""
    numbers = {line.words.line: line.number for line in lines if line.number is not None}
    steps: dict[int, list[Statement]] = {}
    out: list[Sorted] = []
    step: int | None = None
    for line in told:
        step = numbers.get(line.words.line, step)
        said = line.said
        found = _STEPS.search(line.words.text)
        if found:
            wanted = range(int(found[1]), int(found[2] or found[1]) + 1)
            meant = [unnumbered(s) for n in wanted for s in steps.get(n, [])]
            if meant and not all(_numbered(s) for n in wanted for s in steps.get(n, [])):
                said = tuple(_again(s, meant) for s in said)
                line = replace(line, said=said)  # noqa: PLW2901
        if step is not None:
            steps.setdefault(step, []).extend(s for s in said if isinstance(s, WORK))
        out.append(line)
    return out


def _numbered(statement: Statement) -> bool:
    return isinstance(statement, RowLine) and statement.kind == "numbered"


def unnumbered(statement: Statement) -> Statement:
    """A row that is worked again is the next one, whatever the list calls it."""
    if isinstance(statement, RowLine) and len(statement.ranges) == 1:
        return replace(statement, kind="next", ranges=(), number=None, fillers=())
    return statement


def _again(statement: Statement, meant: Sequence[Statement]) -> Statement:
    if not isinstance(statement, Repeat) or statement.kind != "numbered" or statement.turns:
        return statement
    span = statement.span
    if span.kind not in {"times", "once"}:
        return statement
    more = span.more or (span.kind == "once") or not span.in_all
    return Again(tuple(meant), span.number, more, statement.spot)
