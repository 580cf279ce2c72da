"""Patterns in other languages: their words are spelled as this grammar's before it reads them.

A table stands in `languages/`, one file a language. The file says which it is ("Sprache: Deutsch"),
or its words tell.
"""

import re
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache, partial
from importlib.resources import files
from typing import Any

from engine.pattern.text.both_edges import edge_rules, said_plainly
from engine.pattern.text.layout import Laid
from engine.pattern.text.spelling import Rules, compiled
from engine.pattern.text.written import Written, joined

_LANGUAGES = ("de", "fr", "es")
_SAID = re.compile(
    r"^\s*(?:language|sprache|langue|idioma|lengua)\s*:\s*(?P<name>[^\W\d_]+)\s*$", re.I | re.M
)
_ENGLISH = re.compile(
    r"\b(?:rows?|rnds?|rounds?|knit|purl|sts?|stitch(?:es)?|cast\s+o(?:n|ff)|bind\s+off|repeat|"
    r"the|and|until|needles?|k\d+|p\d+|k2tog)\b",
    re.I,
)
_COUNTS_ROWS = re.compile(
    r"(?:(?:\+|und|u\.?|bis|-|–|y|et)\s*\d+\.?\s*)?(?:r(?:eihe|an?g|g)?|rd|runde|t(?:ou)?r|v(?:uel)?ta|v|hilera|fila|"
    r"pasada|carrera)\b",
    re.I,
)
_HITS_AT_LEAST = 5


@dataclass(frozen=True)
class Language:
    """What tells a language: its names, and words that no other has."""

    code: str
    names: tuple[str, ...]
    telling: re.Pattern[str]
    working: re.Pattern[str]


@cache
def _table(code: str) -> dict[str, Any]:
    path = files("engine.pattern.text.languages").joinpath(f"{code}.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


@cache
def _language(code: str) -> Language:
    table = _table(code)
    telling = re.compile(table["telling"], re.I)
    working = re.compile(table["working"], re.I)
    return Language(code, tuple(table["names"]), telling, working)


@cache
def _rules(code: str) -> Rules:
    """A language's words as rules: compiled where a text is of it, since that takes a while.

    `first` are forms of words, `rules` what is said in one; `phrases` are parts of a sentence about
    rows, in whatever order, which `stretch` then reads. `{name}` is a piece of `[pieces]`.
    """
    table = _table(code)
    pieces: dict[str, str] = table["pieces"]
    rules = [rule for name in _GROUPS for rule in table[name]]
    return compiled([[_filled(pattern, pieces), by] for pattern, by in rules])


@cache
def _edges(code: str) -> tuple[tuple[re.Pattern[str], ...], Callable[[re.Match[str]], str]]:
    table = _table(code)["edges"]
    return edge_rules(table), said_plainly(table)


_GROUPS = ("first", "rules", "phrases")
_PIECE = re.compile(r"\{([a-z]+)\}")


def _filled(pattern: str, pieces: dict[str, str]) -> str:
    """A rule with its pieces put in; a piece may have pieces of its own."""
    while _PIECE.search(pattern):
        pattern = _PIECE.sub(lambda m: f"(?:{pieces[m[1]]})", pattern)
    return pattern


def working_in(code: str) -> re.Pattern[str] | None:
    """A language's words of work, which no line that is left unread may have; None for English."""
    return None if code == "en" else _language(code).working


def language_of(text: str) -> str:
    """`de`, `fr` or `es` where a text says so or its words tell; else `en`."""
    said = _SAID.search(text)
    if said:
        for code in _LANGUAGES:
            if said["name"].lower() in _language(code).names:
                return code
        return "en"
    if text.isascii() and len(_ENGLISH.findall(text)) > len(text) / 60:
        return "en"  # plainly
    hits = {code: len(_language(code).telling.findall(text)) for code in _LANGUAGES}
    best = max(_LANGUAGES, key=lambda code: hits[code])
    enough = hits[best] >= max(_HITS_AT_LEAST, 1 + len(_ENGLISH.findall(text)))
    return best if enough else "en"


_SMALL = re.compile(r"(?<=[a-z)\d]\. )[a-z](?=[a-z])")
"""A sentence that a rule has made begin small."""
_STEP = re.compile(r"(?:cast on|bind off|repeat|work|leave)\b", re.I)
_LAST_WORD = re.compile(r"\w{6,}\.$")
_STOP = re.compile(r"\w\.$")
_NEXT_OR_FIGURE = re.compile(r"\s*$|\s+[^\W_a-zäöüß]")
_NEXT_SENTENCE = re.compile(r"\s*$|\s+[^\W\d_a-zäöüß]")


def _with_stop(by: str, code: str, match: re.Match[str]) -> str:
    """What a rule makes of it, with the full stop that ended a sentence, and no abbreviation."""
    said = match.expand(by)
    # a capital begins a sentence, but in German, where it may begin any noun
    last = _LAST_WORD if code == "de" else _STOP
    after = _NEXT_OR_FIGURE if code == "de" else _NEXT_SENTENCE
    ended = last.search(match.group()) and after.match(match.string, match.end())
    return said + "." if ended and not said.endswith(".") else said


def in_english(lines: Sequence[Laid], code: str) -> list[Laid]:
    """The lines with a language's words in this grammar's spelling, each at its place."""
    if code == "en":
        return list(lines)
    rules, edges, plainly = _rules(code), *_edges(code)
    out: list[Laid] = []
    for line in lines:
        words = line.words
        if line.last:
            spot = words.spot(0)
            items = Written.at(f"{line.number}-{line.last}. ", spot.line, spot.column)
            words = joined([items, words], "")
        elif line.number is not None and _COUNTS_ROWS.match(words.text):
            # "1. Reihe" is no item of a list: its number was taken off, and belongs to it
            spot = words.spot(0)
            words = joined([Written.at(f"{line.number}. ", spot.line, spot.column), words], "")
        for pattern in edges:
            words = words.sub(pattern, plainly)
        for pattern, by in rules:
            if pattern.search(words.text):
                words = words.sub(pattern, partial(_with_stop, by, code))
        words = words.strip().sub(_SMALL, lambda m: m.group().upper())
        begins = line.text[:1].isupper() or (line.text[:1].isdigit() and _STEP.match(words.text))
        if begins and words.text[:1].islower():
            # where a line began with a capital, it is no middle of a sentence; nor is "40 M
            # anschlagen"
            spot = words.spot(0)
            first = Written.at(words.text[0].upper(), spot.line, spot.column)
            words = joined([first, words.cut(1)], "")
        out.append(replace(line, words=words, number=None, last=None))
    return out
