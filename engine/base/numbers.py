"""Numbers and lengths as people type them: the one reader for fields, dialogs and command lines.

A decimal point or comma, a fraction written out (`41 1/2`, `41-1/2`) or as one sign (`41½`), in
any script's figures. A length may bring its unit: `40 cm`, `16"`, `5'3"`, `1.6 m`. What is not
understood is refused with the text as typed; it is never shortened to something else.
"""

import re
import unicodedata
from typing import NamedTuple

from engine.base.refusal import Refusal

CM_PER_INCH = 2.54
_LONGEST = 60
"""Characters: a longer text is a slip, not a number."""
_MARKS = str.maketrans({"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "⁄": "/"})
UNITS = {
    "mm": 0.1,
    "cm": 1.0,
    "cms": 1.0,
    "m": 100.0,
    '"': CM_PER_INCH,
    "''": CM_PER_INCH,
    "in": CM_PER_INCH,
    "ins": CM_PER_INCH,
    "inch": CM_PER_INCH,
    "inches": CM_PER_INCH,
    "'": 12 * CM_PER_INCH,
    "ft": 12 * CM_PER_INCH,
    "foot": 12 * CM_PER_INCH,
    "feet": 12 * CM_PER_INCH,
    "yd": 36 * CM_PER_INCH,
    "yds": 36 * CM_PER_INCH,
    "yard": 36 * CM_PER_INCH,
    "yards": 36 * CM_PER_INCH,
    **{f"{scale}met{end}": cm for scale, cm in (("milli", 0.1), ("centi", 1.0), ("", 100.0))
       for end in ("re", "res", "er", "ers")},
}  # fmt: skip
"""Centimetres in each unit, by every way to write it."""
_NUMBER = r"(?:\d+(?:[ -]\d+ ?/ ?\d+| and a half)|\d+ ?/ ?\d+|\d*[.,]\d+|\d+|a half)"
_VALUE = re.compile(
    r"(?P<whole>\d+)(?:[ -](?P<over>\d+) ?/ ?(?P<under>\d+)| (?P<half>and a half))"
    r"|(?P<top>\d+) ?/ ?(?P<bottom>\d+)|(?P<plain>\d*[.,]\d+|\d+)|a half"
)
_LENGTH = re.compile(rf"({_NUMBER}) ?([^\W\d]+|\"|''|')?\.?")
_FEET = re.compile(rf"(\d+) ?(?:'|ft\.?|foot|feet) ?({_NUMBER}) ?(?:\"|''|in\.?|ins|inch|inches)?")


MIXED = r"(?:\d+[ -]\d+/\d+|\d*[.,]\d+|\d+)"
"""A number as part of something longer, where a lone `3/4` could be 3 over 4. These patterns are
for `plain` text."""
UNIT = "|".join(re.escape(unit) for unit in sorted(UNITS, key=len, reverse=True))
LOOPS = r"loops?|sts?|stitch(?:es)?"
ROWS = r"rows?|rounds?|rnds?"
BY = r"(?:x|×|\*|by|and)"


class Length(NamedTuple):
    """A length as typed."""

    value: float
    unit_cm: float | None
    """Centimetres in the unit that was typed; None without one."""

    def cm(self, usual_cm: float) -> float:
        """In centimetres; `usual_cm` is the length of the unit that is meant without one."""
        return self.value * (usual_cm if self.unit_cm is None else self.unit_cm)


def number(text: str) -> float:
    """The number that somebody typed. Raises Refusal for anything else."""
    signs = plain(text)
    value = _value(signs) if signs is not None else None
    if value is None:
        raise Refusal(_told(text, "a number", "6.5, 6,5 or 6 1/2"))
    return value


def whole(text: str) -> int:
    """The whole number that somebody typed. Raises Refusal for anything else."""
    signs = plain(text)
    value = _value(signs) if signs is not None else None
    if value is None or value != int(value):
        raise Refusal(_told(text, "a whole number", "12"))
    return int(value)


def length(text: str) -> Length:
    """The length that somebody typed, with its unit if there is one. Raises Refusal otherwise."""
    signs = plain(text)
    if signs is not None:
        feet = _FEET.fullmatch(signs)
        if feet:
            inches = _value(feet[2])
            if inches is not None and inches < 12:
                return Length(int(feet[1]) * 12 + inches, CM_PER_INCH)
        elif found := _LENGTH.fullmatch(signs):
            value, unit = _value(found[1]), found[2] or ""
            if value is not None and not (signs.endswith(".") and not unit.isalpha()):
                if not unit:
                    return Length(value, None)
                if unit in UNITS:
                    return Length(value, UNITS[unit])
    raise Refusal(_told(text, "a length", '40 cm, 16" or 5\'3"'))


def cm(text: str, usual_cm: float) -> float:
    """The length that somebody typed, in cm; `usual_cm` is the unit that is meant without one.

    Raises Refusal for anything else.
    """
    return length(text).cm(usual_cm)


def span(low: float, high: float, unit: str = "cm") -> str:
    """`40 cm to 200 cm`: a range with its unit at both numbers."""
    return f"{low:g} {unit} to {high:g} {unit}"


def _told(text: str, what: str, example: str) -> str:
    shown = " ".join(text.split())
    if not shown:
        return f"Here {what} is wanted, as in {example}: nothing stands there."
    if ambiguous := re.fullmatch(r"([1-9]\d{0,2})([.,])(\d{3})", shown):
        whole, sign, rest = ambiguous.groups()
        less = f"{whole}.{rest}" if sign == "," else f"{float(shown):g}"
        name = "comma" if sign == "," else "point"
        return f"{shown} could be {less} or {whole}{rest}: write it without the {name}."
    if len(shown) > _LONGEST:
        shown = f"{shown[:_LONGEST]}…"
    return f"“{shown}” is not understood as {what}: write it as in {example}."


def plain(text: str) -> str | None:
    """The text in plain signs, one space between; None where some sign is none of a number's."""
    if len(text) > _LONGEST or any(unicodedata.category(c) == "Cc" for c in text):
        return None
    signs: list[str] = []
    for sign in text:
        if sign.isdecimal():
            signs.append(str(unicodedata.decimal(sign)))
        elif unicodedata.category(sign) == "No":
            parts = unicodedata.normalize("NFKC", sign).split("\u2044")
            if len(parts) != 2 or not parts[1]:
                return None
            signs.append(f" {parts[0]}/{parts[1]} ")
        elif sign.isspace():
            signs.append(" ")
        else:
            signs.append(unicodedata.normalize("NFKC", sign.translate(_MARKS)))
    return " ".join("".join(signs).casefold().translate(_MARKS).split())


def _value(plain: str) -> float | None:
    """The value of plain signs; None where they are no number, or could be two."""
    found = _VALUE.fullmatch(plain)
    if not found:
        return None
    if found["plain"]:
        if re.fullmatch(r"[1-9]\d{0,2}(,\d{3}|\.000)", plain):
            return None
        value = float(plain.replace(",", "."))
        return value if value < 1e9 else None
    base = float(found["whole"] or 0)
    over, under = found["over"] or found["top"], found["under"] or found["bottom"]
    if over is None:
        return base + 0.5
    if int(under) == 0 or (found["whole"] and int(over) >= int(under)):
        return None
    return base + int(over) / int(under)
