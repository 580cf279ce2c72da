"""What a key of the one table means, and how keys and words are written."""

from collections.abc import Iterable

from engine.words.grammar import numbers
from engine.words.vocabulary import words
from models.command import Action
from models.state import MakeState

_NAMES = {
    "space": "space",
    "enter": "enter",
    "escape": "esc",
    "backspace": "backspace",
    "plus": "+",
    "minus": "-",
    "equals_sign": "=",
    "full_stop": ".",
    "slash": "/",
    "question_mark": "?",
}

_EXAMPLES = {"{n}": 12, "{m}": 31}
"""Numbers for the slots of a phrase, where it is told as somebody would say it."""


def key_name(key: str) -> str:
    """A key as it stands on the keyboard: `?`, `+`, `esc`, `ctrl+s`."""
    return _NAMES.get(key, key)


def key_names(keys: Iterable[str]) -> str:
    """Several keys: `space or enter`."""
    return " or ".join(key_name(key) for key in keys)


def as_said(phrase: str, language: str = "en") -> str:
    """A phrase of the table as somebody would say it: `rip back twelve rows`."""
    for slot, example in _EXAMPLES.items():
        if slot in phrase:
            said = next(said for said, value in numbers(language).items() if value == example)
            phrase = phrase.replace(slot, " ".join(said))
    return phrase


def action_of(key: str, state: MakeState, *, listening: bool) -> Action:
    """What a key of the table means here: one key rests the work and takes it up again."""
    meant = [line.action for line in words() if key in line.keys]
    if Action.PAUSE in meant:
        return Action.RESUME if state.paused else Action.PAUSE
    if Action.STOP_LISTENING in meant:
        return Action.STOP_LISTENING if listening else Action.START_LISTENING
    return meant[0]
