"""What a recogniser answered, and what can be told of how sure it is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from engine.ears.decoding import Answer, TimedWord
from engine.ears.fit import Fit
from engine.ears.utterance import Part
from engine.words.phrases import UNKNOWN, PhraseBook, Reading
from models.command import Command

_SHORT_PHONES = 2
"""Words of no more phones than this ("the", "at") are often hardly said."""


class Said(NamedTuple):
    """What an utterance, or a part of it, was taken for."""

    answer: Answer
    running: str
    """The last running answer."""
    reading: Reading
    called: bool
    part: Part | None
    passed_over: int = 0
    """Command words of the whole that are not in the part."""

    @property
    def text(self) -> str:
        """Its words."""
        return self.answer.text


def known_words(text: str) -> int:
    """How many words of a text are known ones."""
    return sum(word != UNKNOWN for word in text.split())


def confidence(said: Said, book: PhraseBook, meaning: Callable[[str], Command | None]) -> float:
    """Of the least sure word that the meaning hangs on, 0 to 1: a recogniser torn between "one
    more row" and "one more rows" is in no doubt of what was meant.
    """
    words = [word.word for word in said.answer.words]
    if said.reading.command is None:
        return said.answer.confidence
    counted = []
    for place, word in enumerate(said.answer.words):
        others = (
            " ".join([*words[:place], other, *words[place + 1 :]])
            for other in book.other_endings(word.word)
        )
        if all(meaning(other) != said.reading.command for other in others):
            counted.append(word.confidence)
    return min(counted, default=said.answer.confidence)


def hurried_s(words: Sequence[TimedWord], book: PhraseBook) -> float | None:
    """Time per phone of the quickest word, seconds, but for the shortest ones."""
    told = [(w.end_s - w.start_s, book.phones(w.word)) for w in words]
    return min((lasted / count for lasted, count in told if count > _SHORT_PHONES), default=None)


def rival(text: str, own: Fit, fit: Callable[[str], Fit | None], book: PhraseBook) -> float | None:
    """How much likelier the numbers of a text are than any other in their place, natural
    logarithm; None where there are none.
    """
    said = text.split()
    others = (
        fit(" ".join([*said[:place], other, *said[place + 1 :]]))
        for place, word in enumerate(said)
        for other in book.other_numbers(word)
    )
    return min((own.total - found.total for found in others if found), default=None)
