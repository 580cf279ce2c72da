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


def respelled(line: Written) -> Written:
    """The same line in the grammar's spelling; what the rules do not know stays as it is."""
    return applied(line, _rules())


def applied(line: Written, rules: Rules) -> Written:
    """A line with rules applied to it in order."""
    for pattern, by in rules:
        if pattern.search(line.text):
            line = line.sub(pattern, by)
    return line.sub(_SPACES, " ").sub(_SPACE_BEFORE, "").strip()
