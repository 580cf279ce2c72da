"""Two columns that were pasted line by line, read one after the other."""

import re
from collections.abc import Iterator

from engine.pattern.text.written import Written

_GAP = re.compile(r"(?<=\S)(?: {3,}|\t+ *)(?=\S)")
_LINES_AT_LEAST = 4
_LABEL = re.compile(
    r"^\s*(?:(?:set-?up |next |inc |dec )?(?:rows?|rnds?|rounds?|r)\b\.?\s*\d*.{0,14}"
    r"|\d+(?:st|nd|rd|th)?\W*"
    r"|(?:RS|WS)\W*)$",
    re.I,
)
_FIGURE = re.compile(
    r"[(\[]?\d[\d.½¼¾/\s,;:-]*(?:cms?|ins?|inch(?:es)?|mm|grams?|g|oz|yds?|yards|years?|yrs?|months?|\")?\.?[)\]]?",
    re.I,
)
_TERM = re.compile(r"^\s*\S{1,9}(?:\s\S{1,6})?\s*[:=-]?\s*$")


def in_columns(lines: list[Written]) -> list[Written]:
    """The lines, with blocks of two columns taken apart: the left one first."""
    out: list[Written] = []
    for block in _blocks(lines):
        split = _boundary([line.text for line in block])
        if split is None:
            out += block
            continue
        left = [line.cut(0, split).strip() for line in block]
        right = [line.cut(split).strip() for line in block if line.text[split:].strip()]
        out += [*left, Written.at("", block[-1].line), *right, Written.at("", block[-1].line)]
    return out


def _blocks(lines: list[Written]) -> Iterator[list[Written]]:
    """Runs of lines in which a column might be; the others one by one."""
    held: list[Written] = []
    wide = [i for i, line in enumerate(lines) if _GAP.search(line.text)]
    if len(wide) < _LINES_AT_LEAST:
        yield lines
        return
    first, last = wide[0], wide[-1]
    yield lines[:first]
    for line in lines[first : last + 1]:
        if line.text.strip():
            held.append(line)
            continue
        if held:
            yield held
        yield [line]
        held = []
    # A shorter left column may end before the right one, or go on after it.
    rest = last + 1
    while rest < len(lines) and lines[rest].text.strip():
        held.append(lines[rest])
        rest += 1
    if held:
        yield held
    yield lines[rest:]


def _boundary(texts: list[str]) -> int | None:
    """Where the right column begins; None where there are no two columns of text."""
    if len(texts) < _LINES_AT_LEAST:
        return None
    starts = [m.end() for t in texts for m in _GAP.finditer(t)]
    if len(starts) < _LINES_AT_LEAST:
        return None
    split = max(set(starts), key=lambda at: (starts.count(at), -at))
    crossed = sum(1 for t in texts if t[split - 2 : split].strip())
    both = [t for t in texts if t[:split].strip() and t[split:].strip()]
    if crossed or starts.count(split) < _LINES_AT_LEAST or len(both) < _LINES_AT_LEAST:
        return None
    left = [t[:split] for t in both]
    labels = sum(1 for t in left if _LABEL.match(t))
    terms = sum(1 for t in left if _TERM.match(t))
    if 2 * sum(1 for t in both if _FIGURE.fullmatch(t[split:].strip())) > len(both):
        return None  # a table of measurements
    if labels * 2 > len(left) or terms * 3 > 2 * len(left):
        return None  # a table: what stands beside a label belongs to it
    return split
