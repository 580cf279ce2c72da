"""Numbers by size between bare commas, `CO 29, 33, 37 sts`, as the grammar has them.

Only where a page writes several lists, all of one length, none of which falls and rises again:
`rows 1, 3, 5` and `k2, 3 sts` are no sizes.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from engine.pattern.text.layout import Laid

_NUMBER = r"\d+(?:\.\d+)?(?:\s?[½¼¾]|\s\d/\d(?!\d))?"
_LIST = re.compile(
    rf"(?<![\d(\[.,;:-])(?<![\d,;:(] )({_NUMBER})((?:,\s*{_NUMBER}){{2,}})"
    r"(?!\s*[-–(\[/]|\d|[.,]\d|\s*(?:st|nd|rd|th)\b)"
)
_NOT_SIZES = re.compile(
    r"(?:rows?|rnds?|rounds?|r|steps?|pages?|sizes?|nos?\.?|charts?|needles?|weeks?|dates?|and|&)\s*#?$",
    re.I,
)
_BRACKETED = re.compile(rf"{_NUMBER}\s*[(\[]\s*{_NUMBER}\s*[,:;]")
LISTS_AT_LEAST = 3


def uncommaed(lines: Sequence[Laid]) -> list[Laid]:
    """The lines, with lists between commas in brackets where the page writes its sizes so."""
    found = [m for line in lines for m in _LIST.finditer(line.text) if _is_sizes(m)]
    lengths = {m[2].count(",") for m in found}
    if len(lengths) != 1 or len(found) < LISTS_AT_LEAST:
        return list(lines)
    if any(_BRACKETED.search(line.text) for line in lines):
        return list(lines)
    return [replace(line, words=line.words.sub(_LIST, _bracketed)) for line in lines]


def _is_sizes(match: re.Match[str]) -> bool:
    if _NOT_SIZES.search(match.string[: match.start()].rstrip(" :")):
        return False
    values = [float(re.match(r"[\d.]+", n.strip()).group()) for n in match.group().split(",")]  # type: ignore[union-attr]
    return values in (sorted(values), sorted(values, reverse=True))


def _bracketed(match: re.Match[str]) -> str:
    if not _is_sizes(match):
        return match.group()
    return f"{match[1]} ({match[2].lstrip(', ')})"
