"""Numbers by size between slashes or dashes, as the grammar has them: `36/40/44 sts` and
`36 - 40 - 44 sts` are `36 (40, 44) sts`.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.layout import Laid

_NUMBER = r"\d+(?:\.\d+)?"
_BEFORE = r"(?<![\d/.])(?<![A-Za-z]{2})(?<!\d-)"
_NO_ROWS = (
    r"(?<!row )(?<!rows )(?<!rnd )(?<!rnds )(?<!round )(?<!rounds )(?<!step )(?<!steps )(?<!nos )"
)
_LISTS = tuple(
    re.compile(pattern, re.I)
    for pattern in (
        rf"{_BEFORE}(?:{_NUMBER}\s?/\s?){{2,}}{_NUMBER}(?![\w/.]*/)(?!\w)",
        rf"{_BEFORE}{_NO_ROWS}(?:{_NUMBER}\s[-–—]\s){{2,}}{_NUMBER}(?!\s[-–—]\s\d)(?!\w)",
        rf"{_BEFORE}{_NO_ROWS}(?:{_NUMBER}[-–—]){{2,}}{_NUMBER}(?![\w.]*[-–—]\d)(?!\w)",
    )
)
"""Three numbers at least: of two, dashes are a range. `Rows 3-5-7` are rows of those numbers."""
_BRACKETED = re.compile(rf"{_NUMBER}\s*[(\[]\s*{_NUMBER}\s*[,:;]")
_APART = re.compile(r"\s*[/–—-]\s*")
_PARTED = re.compile(r"\d\s?[/–—-]\s?\d")
LISTS_AT_LEAST = 3
"""As many of one length tell that sizes are meant; one alone may be a crossing or a date."""


def unslashed(lines: Sequence[Laid]) -> list[Laid]:
    """The lines, with lists between slashes in brackets where the page writes its sizes so."""
    parted = [line.text for line in lines if _PARTED.search(line.text)]
    for pattern in _LISTS:
        found = [m.group() for text in parted for m in pattern.finditer(text)]
        lengths = Counter(len(_APART.split(said)) for said in found)
        told = next(iter(lengths.values()), 0)
        if len(lengths) != 1 or told < LISTS_AT_LEAST:
            continue
        if sum(bool(_BRACKETED.search(line.text)) for line in lines) >= told:
            continue
        return [
            line
            if _SIZES.match(line.text)
            else replace(line, words=line.words.sub(pattern, _bracketed))
            for line in lines
        ]
    return list(lines)


_SIZES = re.compile(r"\W*sizes?\b[^(\[]*/[^(\[]*[(\[]", re.I)
"""`Sizes: S / M / L (6 / 12 / 24 months)`: the sizes are read from their own line."""


def _bracketed(match: re.Match[str]) -> str:
    first, *others = _APART.split(match.group())
    return f"{first} ({', '.join(others)})"
