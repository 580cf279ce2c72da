"""What is said of lines that cannot be read and are known by their looks: a chart drawn in signs, a
row from a chart that is not written out, a cable's bare number, times that may be two things.
"""

import re

from engine.pattern.text.definitions import Terms
from engine.pattern.text.messages import Told

DRAWN = (
    "this is a chart drawn in signs, and a drawing is not read: write its rows in words, one a "
    "line, as in 'Row 1: k2, yo, k2tog'; where they stand in the text besides, it is talk"
)
_SIGN = re.compile(r"[|/\\\-.·•*+=_□■▢○●◯◢◣∘]|(?<![A-Za-z])[oOxXvV](?![A-Za-z])")


def is_drawn(text: str) -> bool:
    """Whether a line is rows of a chart: nothing but its signs, and figures at its sides."""
    signs = _SIGN.findall(text)
    rest = _SIGN.sub("", text)
    kinds = {s.lower() for s in signs}
    return (
        len(signs) >= 12
        and len(kinds) >= 3
        and bool(kinds & set("|/\\oxv□■▢○●"))
        and not any(c.isalpha() for c in rest)
    )


OFTEN = re.compile(
    r"(?P<again>rep(?:eat)?\.?\s+(?:rows?|rnds?|rounds?|r)\s*\d+\s*(?:[-–]|to|and|&)\s*\d+)\s*,?\s*[x×]\s?(?P<times>\d+)\s*\.?",
    re.I,
)
"""`rep R1-4 x40` without a count."""


def two_ways(often: re.Match[str]) -> Told:
    """What is asked of rows that are repeated by a bare `x40`."""
    again, times = often["again"], often["times"]
    return Told(
        f"x{times} may be {times} times in all, the first of them above, or {times} times more: "
        f"write '{again} {times} times in all' or '{again} {times} times more'"
    )


_CABLE = re.compile(r"(?<![\w/])C\s?\d{1,2}(?![\w/])")
_SHORT_OF = re.compile(
    r"(\d+(?:[.,]\d+|\s?[½¼¾]|\s\d/\d)?\s*(?:cms?|mm|inch(?:es)?|ins?|\"))\.?\s*(?:less|short(?:er)?)\s+(?:than|of)\s+"
    r"(?:the\s+|your\s+)?(?:total\s+|full\s+|final\s+)?(?:desired|required|wanted|finished|preferred|length|total)",
    re.I,
)
"""`until it measures 2 in less than desired length`: only she knows it."""
_CHART = re.compile(r"\bchart(?:\s+(?:[A-Z]|\d{1,2}))?\b", re.I)
UNKNOWN = ValueError("this is no row and no sentence about rows")


def named_so(text: str, terms: Terms) -> Exception | None:
    """What is said of a row from a chart that is not written out, or of a cable's bare number."""
    if short := _SHORT_OF.search(text):
        return Told(
            f"how long is desired is not said: write the length itself, {short[1]} less than you "
            "want, as in 'until piece measures 40 cm'"
        )
    cable = _CABLE.search(text)
    if cable and cable.group().lower() not in map(str.lower, terms.meanings):
        name = "".join(cable.group().split())
        return Told(
            f"{name} does not say which way it crosses: write {name}F where stitches are held in "
            f"front, {name}B where they are held at the back, or say under Abbreviations what it is"
        )
    found = _CHART.search(text)
    if found is None or found.group().lower() in terms.described:
        return None
    chart, *letter = found.group().split()
    name = " ".join([chart.capitalize(), *map(str.upper, letter)])
    return Told(
        f"{name} is not written out in this text, and a drawing is not read: write its rows under "
        f"a heading '{name}', one a line, as in 'Row 1: k2, p2, k2'"
    )
