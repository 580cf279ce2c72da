"""By what one knows that text stayed text. Told by Python's own tables, not by our function."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field

_HIDDEN = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0")
"""Letters and marks by their category, and yet without a shape."""
_ALLOWED = frozenset("\u200c\u200d")
"""Joiners: some scripts and emoji cannot do without."""
_SEEN = frozenset(
    map(chr, [*range(0x600, 0x606), 0x6DD, 0x70F, 0x890, 0x891, 0x8E2, 0x110BD, 0x110CD])
) | frozenset(map(chr, range(0x13430, 0x13440)))
"""Format characters by their category that have a shape."""
_BLANK = re.compile(r"\s+")


@dataclass
class Shown:
    """What a place showed."""

    place: str
    out: str
    """Everything that would reach the terminal or the file."""
    said: Sequence[str] = ()
    """Texts that it was given and must show."""
    read: str | None = None
    """The words as a reader has them, where `out` is laid out or coded."""
    odd: list[str] = field(default_factory=list)
    """What happened beside showing text."""


def unseen(text: str) -> list[str]:
    """Characters in it that a reader does not see, but for line breaks."""
    found = []
    for letter in set(text) - {"\n"} - _ALLOWED - _SEEN:
        if unicodedata.category(letter) in {"Cc", "Cf", "Cs", "Zl", "Zp"} or letter in _HIDDEN:
            found.append(repr(letter))
    return found


def as_read(text: str) -> str:
    """A text as it must be found, signs for what is not seen left open: a pattern."""
    pattern = ""
    for letter in text:
        if letter.isspace():
            pattern += r"\s*\S?\s*" if letter != " " else r"\s*"
        elif unicodedata.category(letter)[0] == "C" or letter in _HIDDEN or _variation(letter):
            pattern += rf"(?:{re.escape(letter)}|\S)?\s*"
        else:
            pattern += re.escape(letter) + r"\s*"
    return pattern


def _variation(letter: str) -> bool:
    return "VARIATION SELECTOR" in unicodedata.name(letter, "")


def faults(shown: Shown) -> list[str]:
    """What came of it beside text, and texts that were lost."""
    found = [f"{shown.place}: {what}" for what in shown.odd]
    if hidden := unseen(shown.out):
        found.append(f"{shown.place}: {', '.join(hidden)} went out")
    where = shown.out if shown.read is None else shown.read
    for text in shown.said:
        if not re.search(as_read(text), where):
            found.append(f"{shown.place}: {text!r} is not there")
    return found
