"""Text that others wrote, as text that can be shown: what cannot be seen becomes a visible sign.

A title, a note, a name or a written pattern may hold anything: codes that a terminal obeys, line
breaks that would forge a line, marks that turn the reading direction around, letters without
width. None of it is refused and none of it is obeyed. Each such character is shown as one other
character, so that columns stay where they are: a control code as its picture (`␛`, `␊`, from the
block Control Pictures of Unicode), any other as `�`. A tab becomes a space.

`Words` and `Lines` are the field types that do it wherever a model is read, so that old journals
open too. What leaves for a terminal or a file goes through the same functions once more.
"""

import re
import unicodedata
from typing import Annotated

from pydantic import BeforeValidator

_UNKNOWN = "\N{REPLACEMENT CHARACTER}"
_NEWLINE = "\N{SYMBOL FOR NEWLINE}"
_SELECTORS = "\u180b-\u180d\u180f\ufe00-\ufe0f\U000e0100-\U000e01ef"
_JOINERS = "\u200c\u200d"
_ODD = re.compile(
    "["
    "\x00-\x1f\x7f-\x9f"  # control codes, C0 and C1
    "\u2028\u2029"  # line and paragraph separator
    "\ud800-\udfff"  # surrogates without their other half
    # Default_Ignorable_Code_Point: without width, turning the direction, or made for machines.
    "\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e"
    "\u2060-\u206f\u3164\ufe00-\ufe0f\ufeff\uffa0\ufff0-\ufff8"
    "\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff"
    "\ufff9-\ufffb"  # annotations between lines
    # Noncharacters, which XML does not allow either.
    "\ufdd0-\ufdef"
    + "".join(f"{chr(n + 0xFFFE)}{chr(n + 0xFFFF)}" for n in range(0, 2**20, 2**16))
    + "\U0010fffe\U0010ffff"
    "]"
)
"""Source: The Unicode Standard 16.0, DerivedCoreProperties.txt and chapter 23."""
_SELECTOR = re.compile(f"[{_SELECTORS}]")
_JOINER = re.compile(f"[{_JOINERS}]")
_BREAK = re.compile("\r\n|[\r\v\f\x1c-\x1e\x85\u2028\u2029]")
"""Every line break that `str.splitlines` knows, but the plain one."""


def legible(text: str) -> str:
    """One line of text with a visible sign for every character that is not to be seen."""
    if text.isascii() and text.isprintable():
        return text  # as nearly all text is
    return _ODD.sub(_sign, text.replace("\t", " "))


def legible_lines(text: str) -> str:
    """The same for text of several lines: its line breaks become `\\n`, and tabs are kept."""
    lines = _BREAK.sub("\n", text).split("\n")
    return "\n".join(
        "\t".join(_ODD.sub(_sign, piece) for piece in line.split("\t")) for line in lines
    )


def _sign(found: re.Match[str]) -> str:
    odd, text = found[0], found.string
    before, after = text[: found.start()][-1:], text[found.end() :][:1]
    if _SELECTOR.match(odd) and _selected(before):
        return odd
    if _JOINER.match(odd) and _joins(before) and _joins(after):
        return odd
    code = ord(odd)
    if code < 0x20:
        return chr(0x2400 + code)
    if code == 0x7F:
        return "\N{SYMBOL FOR DELETE}"
    return _NEWLINE if odd in "\x85\u2028\u2029" else _UNKNOWN


def _joins(neighbour: str) -> bool:
    """Whether a joiner has work to do there: letters of scripts that join, and emoji."""
    return not neighbour.isascii() and unicodedata.category(neighbour)[0] in "LMS"


def _selected(before: str) -> bool:
    """Whether a variation selector follows something that has variations."""
    if not before or _SELECTOR.match(before):
        return False
    return before in "0123456789#*" if before.isascii() else not _ODD.match(before)


def _read(value: object) -> object:
    return legible(value) if isinstance(value, str) else value


def _read_lines(value: object) -> object:
    return legible_lines(value) if isinstance(value, str) else value


Words = Annotated[str, BeforeValidator(_read)]
"""One line of text from anywhere, made legible when it is read."""
Lines = Annotated[str, BeforeValidator(_read_lines)]
"""Several lines of it."""
