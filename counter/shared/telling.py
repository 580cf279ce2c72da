"""What is shown and said of numbers: durations, lengths in the maker's unit, questions."""

import re
from datetime import datetime

from counter.shared.settings import Unit
from engine.words.vocabulary import word
from models.command import Action
from models.state import Reply

_LENGTH = re.compile(r"(?<!per )(?<!loops in )(?<!rows in )(?<![\d.])(\d+(?:\.\d+)?) cm\b")
"""How the engine writes a length, always in cm; a gauge is over 10 cm in any unit."""
_SPOKEN = tuple(
    (re.compile(written), said)
    for written, said in (
        (r"(?<![\d.])1 cm\b", "1 centimetre"),
        (r"(?<=\d) cm\b", " centimetres"),
        # A number, then "in", is a place as a rule: "row 3 in the back".
        (r"(?<![\d.])1 in(?=[,.;:?!)]|$)", "1 inch"),
        (r"(?<=\d) in(?=[,.;:?!)]|$)", " inches"),
        (r"\bin cm\b", "in centimetres"),
        (r"\bin in\b", "in inches"),
        (r"(?<![\w.])-(?=\d)", "minus "),
        (r"(?<=\d) ?x ?(?=\d)", " by "),
        (r"(?<=[a-z])-(?=\w)", " "),
    )
)
"""What is read wrongly off a text that is right to the eye: "see em", "in at the back", "three"."""

_QUOTED = re.compile(r"(“[^”]*”)")


def in_unit(text: str, unit: Unit) -> str:
    """The text with every length in the maker's unit; inches to the nearest quarter.

    What is quoted in “…” was typed so and stays so.
    """
    if unit is Unit.CM:
        return text
    return "".join(
        part if part.startswith("“") else _LENGTH.sub(_in_inches, part)
        for part in _QUOTED.split(text)
    )


def _in_inches(found: re.Match[str]) -> str:
    return f"{inches(float(found[1]))} in"


def inches(cm: float) -> str:
    """A length in inches to the nearest quarter: `14`, `14.25`."""
    return f"{round(cm / Unit.INCH.cm * 4) / 4:g}"


def as_spoken(text: str, unit: Unit) -> str:
    """The text as a voice has to be given it: lengths in the maker's unit, nothing shortened."""
    if unit is Unit.INCH:
        text = _LENGTH.sub(lambda found: _inches_spoken(float(found[1])), text)
    for written, told in _SPOKEN:
        text = written.sub(told, text)
    return text


def _inches_spoken(cm: float) -> str:
    told = inches(cm)
    return f"{told} inch" if told == "1" else f"{told} inches"


def said(outcome: Reply, language: str = "en") -> str:
    """What an outcome says; where it asks, with the word of the language that agrees."""
    if outcome.asks is None:
        return outcome.say
    return f"{outcome.say} Say “{word(Action.YES, language).phrases[0]}”."


def duration(seconds: float) -> str:
    """`4 min`, `2 h 05 min`."""
    minutes = int(seconds // 60)
    if minutes < 60:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60:02d} min"


def ago(then: float, now: float) -> str:
    """`just now`, `5 min ago`, `yesterday`, `3 Mar 2026`."""
    seconds = max(0.0, now - then)
    if seconds < 60:
        return "just now"
    if seconds < 6 * 3600:
        return f"{duration(seconds)} ago"
    day, today = datetime.fromtimestamp(then).date(), datetime.fromtimestamp(now).date()
    days = (today - day).days
    if days == 0:
        return "today"
    if days == 1:
        return "yesterday"
    return f"{days} days ago" if days < 14 else f"{day.day} {day:%b %Y}"
