"""Pronunciations and decoys: how the command words sound, and which words sound like them."""

from __future__ import annotations

import tomllib
from importlib.resources import files

from wordfreq import top_n_list

Dictionary = dict[str, list[tuple[str, ...]]]
Dear = set[tuple[str, tuple[str, ...]]]
"""Words with a pronunciation that is taken at a price."""

FREQUENT = 5000
"""Decoys are looked for among this many of the commonest words."""
VERY_FREQUENT = 150
"""These are decoys however they sound."""
_WEAK = 30
_LONG = 5
_MOST_NEAR = 4
_ALIKE = 6000
"""What a phrase is held against is looked for among this many."""
_SHORT = 4
"""A command of up to so many phones has decoys one phone away, a longer one two."""


def with_variants(
    dictionary: Dictionary, path: str = "pronunciations.toml"
) -> tuple[Dictionary, Dear]:
    """The dictionary with the project's own pronunciations added, and which of them cost."""
    extra = tomllib.loads(files("engine.forge").joinpath(path).read_text(encoding="utf-8"))
    found = dict(dictionary)
    for word, spoken in [*extra["also"].items(), *extra["dear"].items()]:
        found[word] = found.get(word, []) + [tuple(said.split()) for said in spoken]
    dear = {
        (word, tuple(said.split())) for word, spoken in extra["dear"].items() for said in spoken
    }
    return found, dear


def decoys(dictionary: Dictionary, commands: set[str], alone: set[str]) -> set[str]:
    """Common words that sound like a command said alone, the commonest words and the letters.

    `commands` are all command words, `alone` those that are a command by themselves. No decoy has
    the sound of a command word ("two" has "too" and "to").
    """
    taken = {said for word in commands for said in dictionary[word]}
    near = {
        word
        for word in top_n_list("en", FREQUENT)
        if word in dictionary
        and any(
            0 < distance(said, target) <= (1 if len(target) <= _SHORT else 2)
            for said in dictionary[word]
            for command in alone
            for target in dictionary[command]
        )
    }
    common = set(top_n_list("en", VERY_FREQUENT)) | set("abcdefghijklmnopqrstuvwxyz")
    return {
        word
        for word in near | (common & dictionary.keys())
        if word not in commands and taken.isdisjoint(dictionary[word])
    }


def near(dictionary: Dictionary, words: set[str], commands: set[str]) -> dict[str, list[str]]:
    """For each of `words` the common words one phone away (two from long ones) that could be said
    in its place, the commonest first. None has the sound of a command word, of `commands`.

    The commonest words of all have none: "at" is hardly said, and "an" in its place means the same.
    """
    taken = {said for word in commands for said in dictionary[word]}
    common = [
        other
        for other in top_n_list("en", FREQUENT)
        if other in dictionary and other not in commands and taken.isdisjoint(dictionary[other])
    ]
    weak = set(top_n_list("en", _WEAK))
    found: dict[str, list[str]] = {}
    for word in sorted(words - weak):
        own = dictionary[word]
        reach = 1 if max(map(len, own)) <= _LONG else 2
        close = [
            other
            for other in common
            if not (word.startswith(other) or other.startswith(word))
            and any(0 < distance(a, b) <= reach for a in own for b in dictionary[other])
        ]
        found[word] = close[:_MOST_NEAR]
    return found


def alike(dictionary: Dictionary, words: set[str]) -> dict[str, list[tuple[str, ...]]]:
    """For each of `words`, how all common words are said that are one phone away (two from long
    ones); none is another of `words` or sounds like one. As with `near` the commonest words have
    none.
    """
    taken = {said for word in words for said in dictionary[word]}
    common = [
        (other, said)
        for other in top_n_list("en", _ALIKE)
        if other in dictionary and other.isalpha() and other not in words
        for said in dictionary[other]
        if said not in taken
    ]
    weak = set(top_n_list("en", _WEAK))
    found: dict[str, list[tuple[str, ...]]] = {}
    for word in sorted(words - weak):
        own = dictionary[word]
        reach = 1 if max(map(len, own)) <= _LONG else 2
        close = [
            said
            for other, said in common
            if not (word.startswith(other) or other.startswith(word))
            and any(0 < distance(a, said) <= reach for a in own)
        ]
        found[word] = sorted(set(close))
    return found


def distance(a: tuple[str, ...], b: tuple[str, ...]) -> int:
    """The edit distance between two phone sequences, 3 standing for anything beyond 2."""
    if abs(len(a) - len(b)) > 2:
        return 3
    row = list(range(len(b) + 1))
    for i, phone in enumerate(a, 1):
        last, row[0] = row[0], i
        for j, other in enumerate(b, 1):
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (phone != other))
    return row[-1]
