"""What a maker is told of a line that could not be read: the word, its place, what it might be."""

from dataclasses import dataclass
from difflib import get_close_matches
from itertools import takewhile

from engine.pattern.text.tree import Spot
from engine.pattern.text.written import Written


@dataclass(frozen=True)
class Unread:
    """A line that is not understood: where, and what was met there."""

    spot: Spot
    what: str
    repair: str


KNOWN = (
    "knit",
    "purl",
    "work",
    "repeat",
    "rep",
    "from",
    "end",
    "last",
    "across",
    "around",
    "evenly",
    "until",
    "piece",
    "measures",
    "row",
    "rows",
    "rnd",
    "round",
    "rounds",
    "next",
    "every",
    "other",
    "sts",
    "stitches",
    "loops",
    "times",
    "twice",
    "once",
    "more",
    "k2tog",
    "p2tog",
    "k3tog",
    "ssk",
    "ssp",
    "psso",
    "kfb",
    "pfb",
    "yo",
    "m1",
    "m1l",
    "m1r",
    "inc",
    "dec",
    "increase",
    "decrease",
    "bind",
    "off",
    "cast",
    "on",
    "place",
    "marker",
    "slip",
    "title",
    "craft",
    "sizes",
    "gauge",
    "part",
    "note",
    "level",
    "mirrored",
    "length",
    "finished",
    "foundation",
    "seam",
    "measure",
    "finish",
)


def _nearest(words: str) -> str:
    """The word of the notation that the first one is most like, as a repair."""
    first = "".join(c for c in words.split(" ", maxsplit=1)[0].lower() if c.isalnum())
    if first in KNOWN:
        return ""
    like = get_close_matches(first, KNOWN, n=1, cutoff=0.72)
    return f"perhaps {like[0]!r} is meant" if like else ""


def unread(problem: Exception, words: Written) -> Unread:
    """What a maker is told of a line that the grammar does not know."""
    text = words.text
    if isinstance(problem, ValueError):  # read, and impossible: the sentence is ours
        return Unread(words.spot(0), str(problem), "write it as a line of its own")
    at = getattr(problem, "pos_in_stream", None)
    rest = text[at:] if isinstance(at, int) and at >= 0 else ""
    word = " ".join(rest.split()[:3])
    begun = "".join(takewhile(str.isalnum, reversed(text[:at]))) if rest else ""
    if not word or getattr(getattr(problem, "token", None), "type", "") == "$END":
        at = len(text)
        what = "the line stops before it is complete"
    else:
        read = " ".join(text[:at].split()[-4:])
        what = f"{word!r} is not understood" + (f", read as far as {read!r}" if read else "")
    repair = (
        _nearest(begun[::-1] + word)
        or "write it as the notation shows, one row or one sentence a line"
    )
    return Unread(words.spot(at if isinstance(at, int) and at >= 0 else 0), what, repair)
