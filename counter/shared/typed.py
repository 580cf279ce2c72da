"""A typed line to a command: a key of the table with its number, or a phrase as it is spoken."""

from functools import cache

from counter.shared.keys import action_of, key_name
from engine.base.numbers import length, whole
from engine.base.refusal import Refusal
from engine.words.phrases import phrase_book
from engine.words.vocabulary import word, words
from models.command import Action, Command, Context, Slot, Word
from models.state import MakeState

_OPTIONAL = frozenset({Action.DROPPED, Action.NEW_BALL})
"""Commands that mean something without their number."""


@cache
def _keys() -> dict[str, str]:
    """Every way to write a key of the table on a line, to the key."""
    keys = [key for line in words() for key in line.keys]
    return {name: key for key in keys for name in (key, key_name(key))}


def _filled(text: str, language: str, unit_cm: float) -> Command | None:
    """The phrase of the table that the line is, with figures in its slot; None for none.

    Raises Refusal where the words are a phrase's and the figures no number.
    """
    said = " ".join(text.casefold().split()).strip(" .!?")
    for line in words(language):
        for phrase in line.phrases:
            head, slot, tail = phrase.replace("{m}", "{n}").partition("{n}")
            middle = said[len(head) : len(said) - len(tail)]
            fits = slot and said.startswith(head) and said.endswith(tail)
            if fits and any(sign.isnumeric() for sign in middle):
                return Command(action=line.action, value=_value(line, middle, unit_cm))
    return None


def _value(line: Word, figures: str, unit_cm: float) -> float:
    """The number that fills a line's slot, in the maker's unit. Raises Refusal for none."""
    if line.slot is Slot.LENGTH:
        return length(figures).cm(unit_cm) / unit_cm
    return float(whole(figures))


def command_of(
    line: str,
    state: MakeState,
    context: Context,
    *,
    listening: bool,
    language: str = "en",
    unit_cm: float = 1.0,
) -> Command:
    """What a line means here, by the words of a language.

    `unit_cm` is the length of the maker's unit in cm: a length may be typed in another.

    Raises Refusal, in one sentence, for one that means nothing.

    A blank line is the space bar; an empty one moves nothing, it asks for the instruction again. A
    key may be followed by its number (`d 12`) or, for a note, by its words; figures may stand in a
    phrase (`measured 31.5`).
    """
    if not line.strip():
        return Command(action=Action.ADVANCE if line.strip("\t\r\n") else Action.SAY_AGAIN)
    text = line.strip()
    reading = phrase_book(language).read(text.lower().strip(" .!?"), context)
    if reading.command is not None and not reading.more:
        return reading.command
    if (filled := _filled(text, language, unit_cm)) is not None:
        return filled
    if context is Context.NUMBER and text[0].isnumeric():
        value = _value(word(Action.MEASURED), text, unit_cm)
        return Command(action=Action.MEASURED, value=value)
    key, _, rest = text.partition(" ")
    if key.casefold() == Action.NOTE.value and rest:
        return Command(action=Action.NOTE, text=rest.strip())
    if key.casefold() in _keys():
        return _by_key(_keys()[key.casefold()], rest.strip(), state, listening, unit_cm)
    raise Refusal(f"{text!r} is neither a key nor a word of the table: type ? for all of them.")


def _by_key(key: str, rest: str, state: MakeState, listening: bool, unit_cm: float) -> Command:
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
    if line.slot is Slot.NONE and action not in _OPTIONAL:
        raise Refusal(f"{rest!r} does not belong behind the key {shown}: type ? for all keys.")
    return Command(action=action, value=_value(line, rest, unit_cm))
