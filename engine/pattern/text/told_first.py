"""A stitch told by its row, and then worked: `Rib: *K1, p1; rep from * to end. Work 8 rows in rib`.

The row is the first of those eight.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.numbers import Number
from engine.pattern.text.sorting import Sorted
from engine.pattern.text.statements import Even, Repeat, RowLine

_NAMES_IT = re.compile(
    r"(?:the\s+)?(?:rib(?:bing)?|moss\s+st(?:itch)?|seed\s+st(?:itch)?|(?:stitch\s+)?pattern)\s*:?",
    re.I,
)


_MORE = re.compile(r"\b(?:more|another|further|additional|extra|again)\b", re.I)


def with_first(lines: Sequence[Sorted]) -> list[Sorted]:
    """The lines, with one row fewer to work where the row that tells the stitch stands above."""
    out: list[Sorted] = []
    for line in lines:
        if line.said and len(out) > 1 and _tells(out[-2], out[-1]):
            first = line.said[0]
            more = _MORE.search(line.words.text)  # "8 more rounds" come after it
            if (
                not more
                and isinstance(first, Even)
                and (first.patterned or first.style in {"rib", "seed"})
            ):
                line = replace(line, said=(_fewer(first), *line.said[1:]))  # noqa: PLW2901
        out.append(line)
    return out


def _tells(heading: Sorted, row: Sorted) -> bool:
    """Whether a row without a label stands below the name of a stitch."""
    named = heading.kind == "heading" and _NAMES_IT.fullmatch(heading.words.text.strip())
    first = row.said[0] if row.said else None
    unlabelled = isinstance(first, RowLine) and first.kind == "next" and not row.label
    return bool(named and unlabelled)


def _fewer(even: Even) -> Even | Repeat:
    """That row again, as often as is left of what is said."""
    number = even.span.number
    if even.span.kind != "rows" or number is None:
        return even
    less = tuple(None if n is None else max(0.0, n - 1) for n in number.values)
    span = replace(even.span, number=Number(less, number.spot, number.said))
    one = Number((1.0,), even.spot)
    return Repeat("last", (), one, "", span, (), even.spot, last=even.last)
