"""Numbers of a pattern, one for all sizes or one by size, and where in the file they stand."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the file: line and column, both from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Number:
    """A number, one for all sizes or one by size; None where a size has none (`–`)."""

    values: tuple[float | None, ...]
    spot: Spot
    said: str = ""
    """As written; empty where the text implies it."""

    def real(self, size: int) -> float:
        """Its value for the size of that index; the last one where the list is too short."""
        value = self.values[min(size, len(self.values) - 1)]
        return 0.0 if value is None else value

    def whole(self, size: int) -> int:
        """The same as a whole number of loops or rows."""
        return int(self.real(size))


def number_of(number: Number | None, size: int, otherwise: int) -> int:
    """A number for one size, or what to take where none is said."""
    return number.whole(size) if number is not None else otherwise


def numbers_in(value: object) -> Iterator[Number]:
    """Every number of a statement, in the order in which it is written."""
    found: list[Number] = []
    _gather(value, found)
    return iter(found)


def _gather(value: object, found: list[Number]) -> None:
    if type(value) is Number:
        found.append(value)
    elif isinstance(value, tuple):
        for part in value:
            _gather(part, found)
    else:
        kind: Any = type(value)
        for name in _holding(kind):
            _gather(getattr(value, name), found)


@cache
def _holding(kind: Any) -> tuple[str, ...]:
    """The fields of a statement's value that may hold a number."""
    told: tuple[str, ...] | None = getattr(kind, "numbers_stand_in", None)
    if told is not None:
        return told
    names: tuple[str, ...] = tuple(getattr(kind, "__dataclass_fields__", ()))
    return () if kind is Spot else tuple(n for n in names if n not in {"spot", "parts"})
