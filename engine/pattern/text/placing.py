"""Puts the places of a statement where its words stand in the file."""

from dataclasses import replace
from typing import TypeVar

from engine.pattern.text.tree import Spot
from engine.pattern.text.written import Written

_T = TypeVar("_T")


def placed(value: _T, words: Written) -> _T:
    """The same statement with the places of the file: the grammar counts columns of a text."""
    if isinstance(value, Spot):
        return words.spot(value.column - 1)  # type: ignore[return-value]
    if isinstance(value, tuple):
        return tuple(placed(v, words) for v in value)  # type: ignore[return-value]
    if hasattr(value, "__dataclass_fields__"):
        fields = value.__dataclass_fields__
        return replace(value, **{n: placed(getattr(value, n), words) for n in fields})  # type: ignore[type-var]
    return value
