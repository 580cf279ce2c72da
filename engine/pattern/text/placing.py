"""Puts the places of a statement where its words stand in the file."""

from dataclasses import replace
from typing import TypeVar

from engine.pattern.text.tree import Spot
from engine.pattern.text.written import Written

_T = TypeVar("_T")
_PLAIN = (str, int, float, type(None))


def placed(value: _T, words: Written) -> _T:
    """The same statement with the places of the file: the grammar counts columns of a text."""
    if isinstance(value, _PLAIN):
        return value
    if isinstance(value, Spot):
        return words.spot(value.column - 1)  # type: ignore[return-value]
    if isinstance(value, tuple):
        return tuple([placed(v, words) for v in value])  # type: ignore[return-value]
    if hasattr(value, "__dataclass_fields__"):
        moved = {}
        for name in value.__dataclass_fields__:
            here = getattr(value, name)
            there = placed(here, words)
            if there is not here and there != here:
                moved[name] = there
        return replace(value, **moved) if moved else value  # type: ignore[type-var]
    return value
