"""Lines that would be read in place of one that was not: offered for a person to pick, never taken.

Each is what was written but for one thing: a word made one that the notation has, a few words left
out where the reading stopped, or only what stands before that place or after it.
"""

import re
from collections.abc import Iterator
from difflib import get_close_matches

from engine.pattern.text.clauses import Spelled, attempt, clean
from engine.pattern.text.messages import KNOWN
from engine.pattern.text.spelling import respelled
from engine.pattern.text.tree import Claim, Heading
from engine.pattern.text.written import Written

AT_MOST = 3
_WORDS_LEFT_OUT = 4
_WORD = re.compile(r"\S+")
_CUT = re.compile(r"\s*(?:[,;:.]\s+|\s[-–—]+\s|\s(?:and|then)\s)\s*")
_TRIES = 60


def nearest(words: Written, spelled: Spelled = respelled) -> tuple[str, ...]:
    """Up to three lines that would be read, the one that changes least first."""
    found: list[str] = []
    for tries, text in enumerate(_candidates(spelled(words).text)):
        if len(found) == AT_MOST or tries == _TRIES:
            break
        line = " ".join(text.split()).strip(" ,;:–—-")
        line = re.sub(r"\.{2,}$", ".", line)
        if line and line not in found and _reads(line):
            found.append(line)
    return tuple(found)


def _reads(text: str) -> bool:
    words = Written.at(text, 1)
    for start in ("line", "row_alone"):
        said = attempt(words, start)
        if isinstance(said, tuple) and said and clean(said):
            return not all(isinstance(s, (Claim, Heading)) for s in said)
    return False


def _stop(text: str) -> int:
    """Where the reading stops: the farther of the two ways in which a line may be meant."""
    words = Written.at(text, 1)
    stops = [getattr(attempt(words, way), "pos_in_stream", None) for way in ("line", "row_alone")]
    known = [s for s in stops if isinstance(s, int) and s >= 0]
    return max(known, default=len(text))


def _candidates(text: str) -> Iterator[str]:
    stop = _stop(text)
    while stop and text[stop - 1 : stop].isalnum():
        stop -= 1
    rest = list(_WORD.finditer(text, stop))
    if rest:
        first = rest[0].group().strip(".,;:()").lower()
        for word in get_close_matches(first, KNOWN, n=AT_MOST, cutoff=0.72):
            yield text[: rest[0].start()] + word + text[rest[0].start() + len(first) :]
    for count in range(1, min(_WORDS_LEFT_OUT, len(rest)) + 1):
        yield text[:stop] + " " + text[rest[count - 1].end() :]
    for cut in reversed([c for c in _CUT.finditer(text) if c.start() <= stop]):
        yield text[: cut.start()]
    for cut in _CUT.finditer(text):
        yield text[cut.end() :]
