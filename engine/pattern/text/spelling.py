"""Spells a line as the grammar reads it: the rules stand in `spelling.toml`, with their sources."""

import re
import tomllib
from functools import cache
from importlib.resources import files

from engine.pattern.text.written import Written

_ORDER = ("dots", "words", "labels", "spans", "steps")
_SPACES = re.compile(r"[ \t]{2,}")
_SPACE_BEFORE = re.compile(r"\s+(?=[,;.)\]])")

Rules = tuple[tuple[re.Pattern[str], str], ...]


@cache
def _rules() -> Rules:
    """The rules, compiled once."""
    text = files("engine.pattern.text").joinpath("spelling.toml").read_text(encoding="utf-8")
    groups = tomllib.loads(text)
    return compiled([rule for name in _ORDER for rule in groups[name]])


def compiled(rules: list[list[str]]) -> Rules:
    """Rules of a table, ready for use."""
    return tuple((re.compile(pattern, re.I), by) for pattern, by in rules)


_UNITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_COMPOUND = re.compile(
    rf"\b(?:(?P<hundreds>a|one|two|three)\s+hundred(?:\s+and)?[\s-]*)?(?P<tens>{'|'.join(_TENS)})?"
    rf"[\s-]*(?P<units>{'|'.join(_UNITS)})?\b",
    re.I,
)


def _in_figures(match: re.Match[str]) -> str:
    """`twenty-four` is 24, `a hundred and twenty` 120; a word alone stays."""
    hundreds, tens, units = match["hundreds"], match["tens"], match["units"]
    if not hundreds and not (tens and units):
        return match.group()
    value = 100 * (1 if hundreds == "a" else 1 + _UNITS.index(hundreds.lower())) if hundreds else 0
    value += 20 + 10 * _TENS.index(tens.lower()) if tens else 0
    value += 1 + _UNITS.index(units.lower()) if units else 0
    rest = match.group()
    return str(value) + rest[len(rest.rstrip()) :]


def respelled(line: Written) -> Written:
    """The same line in the grammar's spelling; what the rules do not know stays as it is."""
    return applied(line.sub(_COMPOUND, _in_figures), _rules())


def applied(line: Written, rules: Rules) -> Written:
    """A line with rules applied to it in order."""
    for pattern, by in rules:
        if pattern.search(line.text):
            line = line.sub(pattern, by)
    return line.sub(_SPACES, " ").sub(_SPACE_BEFORE, "").strip()
