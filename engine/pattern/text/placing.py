"""Puts the places of a statement where its words stand in the file."""

from functools import cache
from operator import is_
from typing import Any, TypeVar

from engine.pattern.text.numbers import Spot
from engine.pattern.text.written import Written

_T = TypeVar("_T")


def placed(value: _T, words: Written) -> _T:
    """The same statement with the places of the file: the grammar counts columns of a text."""
    return _placed(value, words)  # type: ignore[no-any-return]


def _placed(value: Any, words: Written) -> Any:
    kind: Any = type(value)
    if kind is Spot:
        return words.spot(value.column - 1)
    if kind is tuple:
        return tuple([_placed(v, words) for v in value])
    names = _names(kind)
    if not names:
        return value
    old = [getattr(value, name) for name in names]
    new = [_placed(v, words) for v in old]
    if all(map(is_, old, new)) or old == new:
        return value
    return kind(**dict(zip(names, new, strict=True)))


@cache
def _names(kind: Any) -> tuple[str, ...]:
    """The fields of a statement's value; none of a word or a number."""
    return tuple(getattr(kind, "__dataclass_fields__", ()))
