"""Numbers by size between slashes, `36/40/44 sts`, as the grammar has them: `36 (40, 44) sts`."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.layout import Laid

_NUMBER = r"\d+(?:\.\d+)?"
_LIST = re.compile(
    rf"(?<![\d/.])(?<![A-Za-z]{{2}})(?:{_NUMBER}\s?/\s?){{2,}}{_NUMBER}(?![\w/.]*/)(?!\w)"
)
_BRACKETED = re.compile(rf"{_NUMBER}\s*[(\[]\s*{_NUMBER}\s*[,:;]")
LISTS_AT_LEAST = 3
"""As many of one length tell that sizes are meant; one alone may be a crossing or a date."""


def unslashed(lines: Sequence[Laid]) -> list[Laid]:
    """The lines, with lists between slashes in brackets where the page writes its sizes so."""
    slashed = [line.text for line in lines if "/" in line.text]
    lengths = Counter(m.group().count("/") for text in slashed for m in _LIST.finditer(text))
    told = next(iter(lengths.values()), 0)
    if len(lengths) != 1 or told < LISTS_AT_LEAST:
        return list(lines)
    if sum(bool(_BRACKETED.search(line.text)) for line in lines) >= told:
        return list(lines)
    return [
        line if _SIZES.match(line.text) else replace(line, words=line.words.sub(_LIST, _bracketed))
        for line in lines
    ]


_SIZES = re.compile(r"\W*sizes?\b[^(\[]*/[^(\[]*[(\[]", re.I)
"""`Sizes: S / M / L (6 / 12 / 24 months)`: the sizes are read from their own line."""


def _bracketed(match: re.Match[str]) -> str:
    first, *others = (n.strip() for n in match.group().split("/"))
    return f"{first} ({', '.join(others)})"
