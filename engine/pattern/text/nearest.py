"""Lines that would be read in place of one that was not: offered for a person to pick, never taken.

Each is what was written but for one thing: a word made one that the notation has, a bracket closed,
a few words left out where the reading stopped, or talk before or after the work. What says how
many, or names a stitch, is never left out: such a line would be another one.
"""

import re
from collections.abc import Callable, Iterator
from difflib import get_close_matches

from lark.exceptions import LarkError

from engine.pattern.text.attempt import Spelled, attempt, clean
from engine.pattern.text.row_items import Claim
from engine.pattern.text.spelling import respelled
from engine.pattern.text.statements import Heading, Statement
from engine.pattern.text.talk import aside, works
from engine.pattern.text.written import Written

AT_MOST = 3
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
_WORDS_LEFT_OUT = 4
_WORD = re.compile(r"\S+")
_CUT = re.compile(r"\s*(?:[,;:.]\s+|\s[-–—]+\s|\s(?:and|then)\s)\s*")
_TIMES = re.compile(
    r"\s+(?=(?:\d+|once|twice|two|three|four|five|six|seven|eight)\b(?:\s+(?:more\s+)?times)?)"
)
_LABEL = re.compile(r"^[^:,]{1,30}:\s*")
_TRIES = 60
_STOPS_SHORT = re.compile(
    r"(?:(?<!to )(?<!the )(?<!each )(?<!both )(?<!at )(?<!of )\bend|"
    r"\bto\s+(?:the\s+)?(?:next\s+)?marker)\.?$",
    re.I,
)
"""`k to marker, end`: what was left out is the rest of the row."""
_BRACKETS = {"(": ")", "[": "]", "{": "}"}
Fits = Callable[[tuple[Statement, ...]], bool]


def nearest(
    words: Written, spelled: Spelled = respelled, fits: Fits = lambda _: True
) -> tuple[str, ...]:
    """Up to three lines that would be read, the one that changes least first.

    `fits` says of what a line would be read as whether it comes out where it stands.
    """
    found: list[str] = []
    for tries, text in enumerate(_candidates(spelled(words).text)):
        if len(found) == AT_MOST or tries == _TRIES:
            break
        line = " ".join(text.split()).strip(" ,;:–—-")
        line = re.sub(r"\.{2,}$", ".", line)
        if line and line not in found and not _STOPS_SHORT.search(line):
            said = _read(line)
            if said and fits(said):
                found.append(line)
    return tuple(found)


def _read(text: str) -> tuple[Statement, ...]:
    """What a line is read as; nothing where it is not, or says no more than a count."""
    words = Written.at(text, 1)
    for start in ("line", "row_alone"):
        said = attempt(words, start)
        if isinstance(said, tuple) and said and clean(said):
            return () if all(isinstance(s, (Claim, Heading)) for s in said) else said
    return ()


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
    yield from _closed(text)
    words = list(_WORD.finditer(text))
    rest = [w for w in words if w.start() >= stop]
    before = [w for w in words if w.start() < stop][-1:]
    if before and rest[:1]:  # "k2 tgo" is one word
        both = (before[0].group() + rest[0].group()).strip(".,;:()")
        for other in get_close_matches(both.lower(), KNOWN, n=1, cutoff=0.72):
            at = rest[0].start() + len(rest[0].group().rstrip(".,;:()"))
            yield text[: before[0].start()] + other + text[at:]
    for word in (*rest[:1], *before, *rest[1:2]):
        said = word.group().strip(".,;:()")
        for other in get_close_matches(said.lower(), KNOWN, n=AT_MOST, cutoff=0.72):
            if other != said.lower():
                at = word.start() + word.group().find(said)
                yield text[:at] + other + text[at + len(said) :]
    for count in range(1, min(_WORDS_LEFT_OUT, len(rest)) + 1):
        # one unknown word may be a stitch; more of them are talk
        if (count > 1 or aside(rest[0].group())) and _says_nothing(
            text[rest[0].start() : rest[count - 1].end()]
        ):
            yield text[:stop] + " " + text[rest[count - 1].end() :]
    label = _LABEL.match(text)
    for cut in reversed([c for c in _CUT.finditer(text) if c.start() <= stop]):
        if _is_talk(text[cut.end() :]):
            yield text[: cut.start()]
    for cut in _CUT.finditer(text):
        if _is_talk(text[: cut.start()]) and not (label and cut.start() < label.end()):
            yield text[cut.end() :]


def _closed(text: str) -> Iterator[str]:
    """A bracket that is not closed, closed before its times or at the end; or one too many."""
    opened: list[str] = []
    for at, sign in enumerate(text):
        if sign in _BRACKETS:
            opened.append(_BRACKETS[sign])
        elif sign in _BRACKETS.values():
            if not opened or opened[-1] != sign:
                yield text[:at] + text[at + 1 :]
                return
            opened.pop()
    if len(opened) == 1:
        begun = text.rindex(next(o for o, c in _BRACKETS.items() if c == opened[0]))
        for times in _TIMES.finditer(text, begun):
            yield text[: times.start()].rstrip(" ,") + opened[0] + text[times.start() :]
        end = text.rstrip(" .")
        yield end + opened[0] + text[len(end) :]


def _says_nothing(text: str) -> bool:
    """Whether words are none of the notation's, and say no number."""
    said = [w.strip(".,;:()[]*").lower() for w in text.split()]
    stitch = any(w in KNOWN or w in {"k", "p"} for w in said)
    return not (any(c.isdigit() for c in text) or stitch or "*" in text)


def _is_talk(text: str) -> bool:
    return not any(c.isdigit() for c in text) and "*" not in text and not works(text)


def guessable(problem: Exception | None) -> bool:
    """Whether a slip kept a line from being read; what has a sentence of its own has no guess."""
    return isinstance(problem, LarkError)
