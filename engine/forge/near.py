"""Phrases that sound nearly like a command and are none: what people say, and guards must refuse.

Found by the edit distance of phones in the CMU pronouncing dictionary: one word of a phrase (or
two) is replaced by a common word that sounds like it. What sounds the same as a command is left
out: nobody could tell it. Half of what is found, by its own digest, is for tuning and training,
the other half for reporting only.
"""

from __future__ import annotations

import hashlib
from itertools import product

from wordfreq import top_n_list

from engine.forge.lexicon import Dictionary, distance
from engine.words.grammar import attention, patterns
from engine.words.phrases import phrase_book
from models.command import Context

COMMON = 6000
"""Near words are looked for among this many of the commonest."""
_SHORT = 5
"""A word of up to so many phones is near at one phone, a longer one at two."""
_EXAMPLES = {"{n}": ("three", "seven", "twelve"), "{m}": ("forty", "nine")}
_BOTH = 3
"""So many of the nearest of either word are combined where two are replaced."""
_HARDLY_SAID = 30
"""The commonest words ("at", "the") are said so weakly that one for another is no other phrase."""


def part(phrase: str) -> str:
    """ "tune" or "report", for ever the same for a phrase."""
    return "tune" if hashlib.sha256(phrase.encode()).digest()[0] % 2 else "report"


def near_words(dictionary: Dictionary, word: str, common: list[str]) -> list[str]:
    """Common words that sound like one, the nearest and commonest first."""
    found = []
    for place, other in enumerate(common):
        away = min(distance(a, b) for a, b in product(dictionary[word], dictionary[other]))
        longest = max(map(len, dictionary[word]))
        if 0 < away <= (1 if longest <= _SHORT else 2) and not _same_stem(word, other):
            found.append((away, place, other))
    return [other for _, _, other in sorted(found)]


def _same_stem(a: str, b: str) -> bool:
    """ "drop" for "dropped", "balls" for "ball": another ending, and meant the same."""
    return a.startswith(b) or b.startswith(a)


def near_phrases(dictionary: Dictionary, language: str = "en") -> dict[str, str]:
    """Near phrases to the command phrase that each is near to."""
    common = [w for w in top_n_list(language, COMMON) if w in dictionary and w.isalpha()]
    commands: set[tuple[str, ...]] = set()
    every: list[tuple[str, ...]] = []
    call = attention(language)
    for pattern in patterns(Context.ROW, language):
        if call and pattern[: len(call)] == call:
            continue
        options = [_EXAMPLES.get(word, (word,)) for word in pattern]
        every += list(product(*options))
    for said in every:
        commands.update(_sounds(dictionary, said))
    weak = set(top_n_list(language, _HARDLY_SAID))
    like = {
        word: [] if word in weak else near_words(dictionary, word, common)
        for word in {word for said in every for word in said}
    }
    book = phrase_book(language)
    found: dict[str, str] = {}
    for said in every:
        for changed in _changes(said, like):
            text = " ".join(changed)
            if text in found or commands & _sounds(dictionary, changed):
                continue
            if book.read(text, Context.NUMBER).command is None:
                found[text] = " ".join(said)
    return found


def _changes(said: tuple[str, ...], like: dict[str, list[str]]) -> list[tuple[str, ...]]:
    places = range(len(said))
    one = [
        (*said[:place], other, *said[place + 1 :])
        for place in places
        for other in like[said[place]]
    ]
    two = [
        (*said[:a], x, *said[a + 1 : b], y, *said[b + 1 :])
        for a in places
        for b in places
        if a < b
        for x in like[said[a]][:_BOTH]
        for y in like[said[b]][:_BOTH]
    ]
    return one + two


def _sounds(dictionary: Dictionary, said: tuple[str, ...]) -> set[tuple[str, ...]]:
    """Every way to say some words, as phones without word edges."""
    ways = product(*(dictionary[word] for word in said))
    return {tuple(phone for word in way for phone in word) for way in ways}
