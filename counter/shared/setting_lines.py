"""The settings as lines: what each is called, what it is for, and what it can be."""

from enum import StrEnum

from counter.shared.settings import Look, Loudness, Pace, Readback, Reader, Settings, Unit
from engine.base.numbers import whole
from engine.base.refusal import Refusal
from engine.ears.guard import Sensitivity
from engine.words.grammar import attention, no_attention
from engine.words.vocabulary import language_name, languages
from models.script import Hand

LINES = (
    ("unit", "Unit", "What your tape shows, and what you say."),
    ("readback", "Read out", "What is said back after a row; a question is always answered."),
    ("speaker", "Voice", "Natural wants the extra of that name; else the small one speaks."),
    ("pace", "Speed", "How quickly it is read out."),
    ("loudness", "Loudness", "Of the voice and the tones."),
    ("language", "Words", "The language that you say them in; help (?) shows them."),
    ("sensitivity", "Listening", "Careful where others talk; eager in a quiet room."),
    ("attention", "Call first", ""),
    ("mine", "My voice only", "Not another’s, as far as can be told; calling, as above, lifts it."),
    ("microphone", "Microphone", "Which one listens."),
    ("person", "Your name", "Whose voice, as 'spokenrow rehearse' knows it."),
    ("look", "Colours", "Dark or light; both in high contrast."),
    ("large", "Large type", "The instruction and the row, and little else."),
    ("hand", "Leading hand", "For new makes: the left mirrors every direction."),
    ("reminder_minutes", "Rest after", "Minutes of work before a rest is proposed; 0 for never."),
)
"""Name, label, and what it is for, in the order of the page."""
ENUMS: dict[str, type[StrEnum]] = {
    "unit": Unit,
    "readback": Readback,
    "speaker": Reader,
    "pace": Pace,
    "loudness": Loudness,
    "sensitivity": Sensitivity,
    "look": Look,
    "hand": Hand,
}
MOST_MINUTES = 240
SWITCHES = frozenset({"attention", "mine", "large"})
_ON_OFF = {"on": True, "off": False}


def call(language: str) -> str:
    """What the attention word does, in the words that are chosen."""
    said = " ".join(attention(language))
    return no_attention(language) or f"On: a command counts only after “{said}”."


def told(settings: Settings) -> tuple[str, ...]:
    """Every setting in a line of words: how it stands, what else it can be, what it is for."""
    found = []
    for name, label, why in LINES:
        others = ", ".join(_choices(name))
        can = f" It can be {others}." if others else ""
        what = why or call(settings.language)
        found.append(f"{label}: {_value(settings, name)}.{can} {what}")
    return tuple(found)


def with_line(settings: Settings, said: str) -> Settings:
    """The settings with one set by its label: `read out full`. Raises Refusal."""
    text = " ".join(said.split())
    folded = f"{text} ".casefold()
    for name, label, _ in sorted(LINES, key=lambda line: -len(line[1])):
        if folded.startswith(f"{label} ".casefold()):
            return _set(settings, name, label, text[len(label) :].strip())
    labels = ", ".join(label.lower() for _, label, _ in LINES)
    raise Refusal(f"{said!r} is no setting: there are {labels}.")


def _set(settings: Settings, name: str, label: str, value: str) -> Settings:
    update: object = value
    if name == "reminder_minutes":
        update = whole(value)
        if update > MOST_MINUTES:
            raise Refusal(f"{label} takes 0 to {MOST_MINUTES} minutes, not {value}.")
    elif choices := _choices(name):
        if value.casefold() not in (folded := {one.casefold(): one for one in choices}):
            raise Refusal(f"{label} can be {', '.join(choices)}, not {value!r}.")
        update = folded[value.casefold()]
        if name in SWITCHES:
            update = _ON_OFF[str(update)]
        elif name == "language":
            update = next(one for one in languages() if language_name(one) == update)
    return Settings.model_validate(settings.model_dump() | {name: update})


def _choices(name: str) -> list[str]:
    if name in ENUMS:
        return [one.value for one in ENUMS[name]]
    if name in SWITCHES:
        return list(_ON_OFF)
    return [language_name(one) for one in languages()] if name == "language" else []


def _value(settings: Settings, name: str) -> str:
    value = getattr(settings, name)
    if name in SWITCHES:
        return "on" if value else "off"
    if name == "language":
        return language_name(value)
    return str(value) or "the usual one"
