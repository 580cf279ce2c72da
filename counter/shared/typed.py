"""A typed line to a command: a key of the table with its number, or a phrase as it is spoken."""

import re
from functools import cache

from counter.shared.keys import action_of, key_name
from engine.base.refusal import Refusal
from engine.words.grammar import lengths
from engine.words.phrases import phrase_book
from engine.words.vocabulary import word, words
from models.command import Action, Command, Context, Slot
from models.state import MakeState

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_OPTIONAL = frozenset({Action.DROPPED, Action.NEW_BALL})
"""Commands that mean something without their number."""


@cache
def _keys() -> dict[str, str]:
    """Every way to write a key of the table on a line, to the key."""
    keys = [key for line in words() for key in line.keys]
    return {name: key for key in keys for name in (key, key_name(key))}


@cache
def _said(language: str) -> dict[float, str]:
    """How a number is said, shortest first."""
    found: dict[float, str] = {}
    for tokens, value in sorted(lengths(language).items(), key=lambda item: len(item[0])):
        found.setdefault(value, " ".join(tokens))
    return found


def _spoken(text: str, language: str) -> str:
    """The line with its figures as words, so that it can be matched with the phrases."""

    def said(found: re.Match[str]) -> str:
        return _said(language).get(float(found[0].replace(",", ".")), found[0])

    return _NUMBER.sub(said, text.lower()).strip(" .!?")


def command_of(
    line: str, state: MakeState, context: Context, *, listening: bool, language: str = "en"
) -> Command:
    """What a line means here, by the words of a language.

    Raises Refusal, in one sentence, for one that means nothing.

    A blank line is the space bar; an empty one moves nothing, it asks for the instruction again. A
    key may be followed by its number (`d 12`) or, for a note, by its words; figures may stand in a
    phrase (`measured 31.5`).
    """
    if not line.strip():
        return Command(action=Action.ADVANCE if line.strip("\t\r\n") else Action.SAY_AGAIN)
    text = line.strip()
    reading = phrase_book(language).read(_spoken(text, language), context)
    if reading.command is not None:
        return reading.command
    key, _, rest = text.partition(" ")
    if key.casefold() == Action.NOTE.value and rest:
        return Command(action=Action.NOTE, text=rest.strip())
    if key.casefold() in _keys():
        return _by_key(_keys()[key.casefold()], rest.strip(), state, listening)
    raise Refusal(f"{text!r} is neither a key nor a word of the table: type ? for all of them.")


def _by_key(key: str, rest: str, state: MakeState, listening: bool) -> Command:
    action = action_of(key, state, listening=listening)
    line = word(action)
    shown = key_name(line.keys[0])
    if action is Action.NOTE:
        if not rest:
            raise Refusal(f"Write the note on the same line, as in '{shown} a long evening'.")
        return Command(action=action, text=rest)
    if not rest:
        if line.slot is not Slot.NONE and action not in _OPTIONAL:
            raise Refusal(f"Write the number on the same line, as in '{shown} 2'.")
        return Command(action=action)
    if (line.slot is Slot.NONE and action not in _OPTIONAL) or not _NUMBER.fullmatch(rest):
        raise Refusal(f"{rest!r} does not belong behind the key {shown}: type ? for all keys.")
    return Command(action=action, value=float(rest.replace(",", ".")))
