"""What a maker is told of a line that could not be read: the word, its place, what is wrong."""

from dataclasses import dataclass

from engine.pattern.text.numbers import Spot
from engine.pattern.text.written import Written


class Told(ValueError):
    """Why a line is not read, in a sentence that says what to do as well."""


@dataclass(frozen=True)
class Unread:
    """A line that is not understood: where, and what was met there."""

    spot: Spot
    what: str
    repair: str


GENERAL = "write it as the notation shows, one row or one sentence a line"


def unread(problem: Exception, words: Written) -> Unread:
    """What a maker is told of a line that the grammar does not know."""
    text = words.text
    if isinstance(problem, ValueError):  # read, and impossible: the sentence is ours
        advice = "" if isinstance(problem, Told) else "write it as a line of its own"
        return Unread(words.spot(0), str(problem), advice)
    at = getattr(problem, "pos_in_stream", None)
    rest = text[at:] if isinstance(at, int) and at >= 0 else ""
    word = " ".join(rest.split()[:3])
    if not word or getattr(getattr(problem, "token", None), "type", "") == "$END":
        at = len(text)
        what = "the line stops before it is complete"
    else:
        read = " ".join(text[:at].split()[-4:])
        what = f"{word!r} is not understood" + (f", read as far as {read!r}" if read else "")
    return Unread(words.spot(at if isinstance(at, int) and at >= 0 else 0), what, GENERAL)
