"""Reads a gauge as patterns print it: so many stitches, so many rows, over a length."""

import re
from dataclasses import dataclass

from engine.base.numbers import CM_PER_INCH

_FRACTIONS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3, "⅛": 0.125}
_ONE_TO_TEN = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
_N = r"(\d+(?:[.,]\d+)?(?:\s?[½¼¾⅓⅔⅛]|\s\d/\d)?|[½¼¾]|" + "|".join(_ONE_TO_TEN) + ")"
_LOOPS = re.compile(
    rf"(?<![\w.]){_N}(?:\s*[-–]\s*{_N})?\s*(?:sts?\b|stitches|stitch\b|loops?\b|lps?\b|maschen|mailles|puntos|pts\b)",
    re.I,
)
_FEW = re.compile(rf"(?<![\w.]){_N}()\s*[mp]\b", re.I)
"""`21 m`: another tongue's word for stitches, or metres."""
_ROWS = re.compile(
    rf"(?<![\w.]){_N}(?:\s*[-–]\s*{_N})?\s*(?:rows?\b|rnds?\b|rounds?\b|r\b|reihen|rangs|rgs?\b|vueltas|v(?:tas)?\b|pasadas|hileras|runden)",
    re.I,
)
_CROSS = re.compile(
    rf"(?<![\w.]){_N}\s*(?:sts?\s*)?[x×*/]\s*{_N}(?![\d./½¼¾]|\s*(?:cm|in|\"|mm|yd|yard|m\b|g\b))",
    re.I,
)
_UNIT = r"(cms?\b|centimet(?:re|er)s?|zentimeter|in\b\.?|ins\b|inch(?:es)?\b|\"|'')"
_OVER = re.compile(
    rf"(?:=|to|over|per|in|on|make|measures?|is|sur|auf|en|a|\()?\s*(?:an?\s+)?(?<![\w.]){_N}\s*-?\s*{_UNIT}",
    re.I,
)
_PER_ONE = re.compile(
    rf"(?:/|\bper\b|\bto\s+(?:the|an?|one|1)\b|\bto\b|\ban\b|=)\s*(?:1\s*|one\s+)?{_UNIT}", re.I
)


_BY_ITSELF = re.compile(r"\b(\d+)\s*[x×]\s*\1(?=\s*(?:cm|in|\"))", re.I)
_SQUARE = re.compile(r"\bsq(?:uare|\.)?\s+(?=in|cm)", re.I)


@dataclass(frozen=True, slots=True)
class Tension:
    """Loops and rows over a length in cm; rows are None where the text says none."""

    loops: float
    rows: float | None
    over_cm: float
    rows_over_cm: float


def number(text: str) -> float:
    """`6½`, `6 1/2`, `6.5`, `6,5` or `six`."""
    text = text.strip().lower().replace(",", ".")
    if text in _ONE_TO_TEN:
        return _ONE_TO_TEN.index(text) + 1.0
    for sign, value in _FRACTIONS.items():
        if text.endswith(sign):
            return float(text[:-1].strip() or 0) + value
    if "/" in text:
        whole, _, part = text.rpartition(" ")
        above, below = part.split("/")
        return float(whole or 0) + (float(above) / float(below) if float(below) else 0.0)
    return float(text)


def tension_in(text: str) -> Tension | None:
    """The first gauge of a text; None where it has none."""
    text = _BY_ITSELF.sub(r"\1", _SQUARE.sub("", text))
    loops, rows = _LOOPS.search(text) or _FEW.search(text), _ROWS.search(text)
    cross = _CROSS.search(text)
    if loops:
        count: float | None = number(loops[1])
        after = text[loops.end() :]
        row_count = number(rows[1]) if rows else None
        if rows is None and (
            cross := re.match(rf"\s*(?:x|×|and|&|,|/)\s*{_N}(?![\w½¼¾]*\s*-?{_UNIT})", after, re.I)
        ):
            row_count = number(cross[1])
    elif cross:
        count, row_count = number(cross[1]), number(cross[2])
        after = text[cross.end() :]
    else:
        return None
    one = _length(after)
    if rows is None or loops is None:
        other = one
    else:
        other = _length(text[rows.end() :]) or one
        between = text[loops.end() : rows.start()] if loops.end() < rows.start() else ""
        one = _length(between) or other
    one = one or other or _length(text)
    if not one or not count:
        return None
    return Tension(count, row_count or None, one, other or one)


def _length(text: str) -> float | None:
    """A length in cm, the first that is said."""
    over, per = _OVER.search(text), _PER_ONE.search(text)
    if per and (over is None or per.start() < over.start()):
        return _cm(1.0, per[1])
    return _cm(number(over[1]), over[2]) if over else None


def _cm(value: float, unit: str) -> float:
    inch = unit.lower().startswith(("in", '"', "'"))
    return value * (CM_PER_INCH if inch else 1.0)
