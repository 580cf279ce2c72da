"""Finds among a grammar rule's children: the place, the first of a kind, the word that was said."""

import re
from collections.abc import Iterable
from typing import Any, TypeVar

from lark import Token

from engine.pattern.text import words
from engine.pattern.text.numbers import Number, Spot

_T = TypeVar("_T")


def spot_of(children: Iterable[Any]) -> Spot:
    """The place of the first child that has one."""
    for child in children:
        if isinstance(child, Token):
            return Spot(child.line or 1, child.column or 1)
        spot = getattr(child, "spot", None)
        if isinstance(spot, Spot):
            return spot
    return Spot(1, 1)


def first_of(children: Iterable[Any], kind: type[_T]) -> _T | None:
    """The first child of a kind, if there is one."""
    return next((c for c in children if isinstance(c, kind)), None)


def all_of(children: Iterable[Any], kind: type[_T]) -> tuple[_T, ...]:
    """All children of a kind, in order."""
    return tuple(c for c in children if isinstance(c, kind))


def token_of(children: Iterable[Any], *kinds: str) -> Token | None:
    """The first word of one of the kinds that the grammar names, if there is one."""
    return next((c for c in children if isinstance(c, Token) and c.type in kinds), None)


def step_of(children: Iterable[Any]) -> int:
    """`every 4th`: 4; `every other` and `every alt`: 2; `every`: 1."""
    nth = token_of(children, "ORDINAL")
    if nth:
        return max(1, words.ordinal(nth))
    return 2 if token_of(children, "OTHER") else 1


def nth_of(children: Iterable[Any]) -> Number | None:
    """The ordinal among the children, as a number."""
    token = token_of(children, "ORDINAL")
    if token is None:
        return None
    each = tuple(float(max(1, nth)) for nth in words.ordinals(token))
    return Number(each, spot_of([token]), str(token))


def clean(text: str) -> str:
    """Text with single spaces."""
    return " ".join(text.split())


def mark_of(said: str) -> str:
    """The asterisks alone: "between *s" means the same one."""
    return said.rstrip("'s")


def lettered(said: str) -> str:
    """`rows A and B` and `rnds A-D` as their names, with | between them."""
    letters = re.findall(r"\b[A-Z]\b", said)
    if re.search(r"-|–|\bto\b", said) and len(letters) == 2:
        letters = [chr(c) for c in range(ord(letters[0]), ord(letters[1]) + 1)]
    return "|".join(letters).lower()


def part_name(c: list[Any]) -> str:
    """`yoke` of "of the yoke"; empty where no part is named."""
    said = token_of(c, "OF_PART") or ""
    return re.sub(r"^(?:of|from)\s+(?:the\s+)?", "", " ".join(said.lower().split()))


def row_name(said: str) -> str:
    """`Dec rnd` and `decrease row` are the same row."""
    words = said.lower().replace("this ", "").split()
    if words[0] in {"row", "rnd", "round"}:
        return words[1]
    first = words[0].replace("-", "")
    return {"decrease": "dec", "increase": "inc", "set": "setup", "patt": "pattern"}.get(
        first, first
    )
