"""`Next row and every alternate row: purl`: a purl row between those that are told after it."""

import re
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.sorting import WORK, Sorted
from engine.pattern.text.statements import Heading, RowLine

_TOLD = re.compile(
    r"^next\s+(?:row|rnd|round)\s+and\s+(?:every|each|all)\s+(?:foll\w*\s+)?"
    r"(?:alt(?:ernate)?|other|even|WS|wrong[\s-]side)\s+(?:rows?|rnds?|rounds?)\b",
    re.I,
)


def with_alternate(told: Sequence[Sorted]) -> list[Sorted]:
    """The lines, with the row that is told once for all put between the next rows below it."""
    out: list[Sorted] = []
    between: RowLine | None = None
    after_next = False
    for line in told:
        first = line.said[0] if line.said else None
        if isinstance(first, RowLine) and _TOLD.match(line.words.text):
            between, after_next = first, False
        elif between is not None and isinstance(first, RowLine) and first.kind == "next":
            if after_next:
                line = replace(line, said=(between, *line.said))  # noqa: PLW2901
            after_next = True
        elif line.kind == "unread" or any(isinstance(s, (*WORK, Heading)) for s in line.said):
            between = None
        out.append(line)
    return out
