"""Rows that differ in their numbers alone are read once: the others are the same with other ones.

A written row is mostly numbers: `Row 7: k3, p12 (14, 16), k3.` The text with stand-ins for its
plain numbers is its shape. What the grammar makes of a shape is kept as a way to build the row from
its numbers and its place in the file, and a row of a known shape needs the grammar no more.

The row's items are put together when they are first asked for (`LateRow`): counting a plain row
needs its numbers alone.

A number that is no plain one (`k2tog`, `3 times`, a one, which may be a word's part) stays as it is
in the shape. A shape is taken only where the grammar reads in its first row, and in one with other
numbers of other lengths, what is built of them.
"""

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, fields, is_dataclass
from functools import lru_cache
from itertools import count
from typing import Any, ClassVar

from lark.exceptions import LarkError

from engine.pattern.text.numbers import Number, Spot, numbers_in
from engine.pattern.text.row_items import Item, Marks, Row, Slip
from engine.pattern.text.statements import RowLine, Statement
from engine.pattern.text.written import Written

_LABEL = re.compile(r"(?:row|rnd|round)\s(?=[1-9]\d*\s*(?:\((?:RS|WS)\)\s*)?:)", re.I)
_PLAIN = re.compile(
    r"(?<![\w.])(?:row |rnd |round |[kp])(?P<one>[1-9]\d{0,4})"
    r"(?: (?P<list>\(\d{1,5}(?:, \d{1,5})+\)))?"
    r"(?=[,;:)\]]|\.(?:\s|$)|\s*\((?:RS|WS)\)\s*:)",
    re.I,
)
_DIGIT = re.compile(r"\d+")
_STAND_IN = "4"

Spots = Callable[[int], Spot]
"""Where a column of a line stands in the file."""
Build = Callable[[list[Number], Spots], Any]
Grammar = Callable[[str], Any]


def row_by_shape(line: Written, read: Grammar) -> tuple[Statement, ...] | None:
    """A numbered row by its shape; None where the grammar has to read it. `read` is the grammar."""
    text = line.text
    if not _LABEL.match(text):
        return None
    spans = _plain_numbers(text)
    if not spans:
        return None
    stood, starts = _stood(text, spans)
    shape = _known(stood, starts)
    if not shape.first:
        shape.first = text  # its like may never come
        return None
    if not shape.tried:
        shape.tried, shape.build = True, _built(shape, stood, starts, read)
    return _row(shape.build, line, spans, starts) if shape.build else None


Spans = tuple[tuple[int, int], ...]
"""Where each plain number of a text begins and ends."""
Starts = tuple[tuple[int, int], ...]
"""The same of what stands for them."""


def _plain_numbers(text: str) -> Spans:
    found = _PLAIN.finditer(text)
    return tuple([(m.start("one"), m.end()) for m in found if m["list"] or m["one"] != "1"])


def _row(build: Build, line: Written, spans: Spans, starts: Starts) -> tuple[Statement, ...]:
    text, spots = line.text, _spots(line, spans, starts)
    numbers = [
        _number(text[a:b], spots(at + 1)) for (a, b), (at, _) in zip(spans, starts, strict=True)
    ]
    return tuple(build(numbers, spots))


def _number(said: str, spot: Spot) -> Number:
    """What the grammar makes of plain figures, or a list of them."""
    if said.isdigit():
        return Number((float(said),), spot, said)
    return Number(tuple([float(n) for n in _DIGIT.findall(said)]), spot, said)


def _spots(line: Written, spans: Spans, starts: Starts) -> Spots:
    """Where in the file a column of the text with stand-ins lies."""

    def spot(column: int) -> Spot:
        at = column - 1
        index = bisect_right(starts, (at, 1 << 30)) - 1
        if index >= 0:
            (first, last), (begins, ends) = spans[index], starts[index]
            at += last - ends if at >= ends else first - begins
        return line.spot(at)

    return spot


@dataclass
class KnownShape:
    """What is known of the rows of a shape."""

    first: str = ""
    """The first of them that was met."""
    tried: bool = False
    build: Build | None = None
    """Makes such a line."""
    row: Build = lambda *_: None
    """Makes its row."""
    like: Row = field(default_factory=lambda: Row((), Spot(1, 1)))
    """A row of this shape."""
    plain: int = 0
    """How many plain numbers its line has."""
    numbers: tuple[Build | Number, ...] = ()
    """Makes all the numbers of its row, those too that no plain figures say."""
    kept: dict[str, Any] = field(default_factory=dict)
    """What holds of all its rows, by who found it out."""


class LateRow(Row):
    """A row of a known shape, put together when it is first looked into."""

    __slots__ = ("_said", "_whole")
    numbers_stand_in: ClassVar = ("told",)
    _said: tuple[KnownShape, list[Number], Spots]
    _whole: Row | None

    def __new__(cls, *said: Any, **more: Any) -> Row:  # type: ignore[misc]
        """What is changed in one (`dataclasses.replace`) is no longer of its shape."""
        return Row(*said, **more)

    @classmethod
    def of(cls, shape: KnownShape, numbers: list[Number], spots: Spots) -> "LateRow":
        """The row with these numbers."""
        row = object.__new__(cls)
        _put(row, "_said", (shape, numbers, spots))
        _put(row, "_whole", None)
        return row

    @property
    def shape(self) -> KnownShape:
        """What it has in common with rows that differ from it in their numbers."""
        return self._said[0]

    @property
    def numbers(self) -> list[Number]:
        """The plain numbers of its line, as they come."""
        return self._said[1]

    @property
    def told(self) -> tuple[Number, ...]:
        """All numbers of the row itself."""
        shape, numbers, spots = self._said
        return tuple([b if isinstance(b, Number) else b(numbers, spots) for b in shape.numbers])

    @property
    def whole(self) -> Row:
        """The row, put together."""
        whole = self._whole
        if whole is None:
            shape, numbers, spots = self._said
            whole = shape.row(numbers, spots)
            _put(self, "_whole", whole)
        return whole

    @property
    def items(self) -> tuple[Item, ...]:  # noqa: D102  # as of any row
        return self.whole.items

    @property
    def spot(self) -> Spot:  # noqa: D102  # as of any row
        return self.whole.spot

    @property
    def slips(self) -> tuple[Slip, ...]:  # noqa: D102  # as of any row
        return self.whole.slips if self.shape.like.slips else ()

    @property
    def marks(self) -> Marks | None:  # noqa: D102  # as of any row
        return self.whole.marks if self.shape.like.marks else None

    def __eq__(self, other: object) -> bool:
        if isinstance(other, LateRow):
            return self.whole == other.whole
        return self.whole == other

    def __hash__(self) -> int:
        return hash(self.whole)

    def __repr__(self) -> str:
        return repr(self.whole)


_put = object.__setattr__


@lru_cache(maxsize=4096)
def _known(stood: str, starts: Starts) -> KnownShape:
    return KnownShape()


def _stood(text: str, spans: Spans) -> tuple[str, Starts]:
    """The text with a stand-in for each plain number, and where those stand."""
    out, done, starts = "", 0, list[tuple[int, int]]()
    for start, stop in spans:
        said = text[start:stop]
        out += text[done:start]
        begins = len(out)
        out += _STAND_IN if said.isdigit() else _DIGIT.sub(_STAND_IN, said)
        starts.append((begins, len(out)))
        done = stop
    return out + text[done:], tuple(starts)


def _built(shape: KnownShape, stood: str, starts: Starts, read: Grammar) -> Build | None:
    """How to build a row like the first one; None where it is not safe."""
    figures = count(23, 7)
    other = Written.at(_with_others(stood, starts, lambda _: str(next(figures))), 1)
    try:
        one, *others = read(stood), read(shape.first), read(other.text)
    except (LarkError, ValueError, OverflowError):
        return None
    if not (len(one) == 1 and isinstance(one[0], RowLine)):
        return None
    places = {begins + 1: index for index, (begins, _) in enumerate(starts)}
    build = _building(list(one), places, shape)
    if build is None:
        return None
    shape.like, shape.plain = one[0].row, len(starts)
    shape.numbers = tuple(_building(n, places) or n for n in numbers_in(shape.like))
    for line, found in zip((Written.at(shape.first, 1), other), others, strict=True):
        spans = _plain_numbers(line.text)
        if len(spans) != len(starts) or _row(build, line, spans, starts) != tuple(found):
            return None
    return build


def _with_others(stood: str, starts: Starts, figure: Callable[[re.Match[str]], str]) -> str:
    """A text with other figures where the stand-ins are."""
    out, done = "", 0
    for begins, ends in starts:
        out += stood[done:begins] + _DIGIT.sub(figure, stood[begins:ends])
        done = ends
    return out + stood[done:]


Places = dict[int, int]
"""Which number begins at a column."""


def _building(value: Any, places: Places, shape: KnownShape | None = None) -> Build | None:
    """How to build a value again; None for one that is always the same. A row is built late."""
    if isinstance(value, Row) and shape is not None:
        whole = _building(value, places)
        if whole is None:
            return None
        late, shape.row = shape, whole
        return lambda numbers, spot: LateRow.of(late, numbers, spot)
    if isinstance(value, Spot):
        column = value.column
        return lambda _, spot: spot(column)
    if isinstance(value, Number) and value.said and value.spot.column in places:
        index = places[value.spot.column]
        return lambda numbers, _: numbers[index]
    if isinstance(value, (tuple, list)):
        return _together(tuple, value, places, shape)
    if is_dataclass(value):
        kind: Any = type(value)
        return _together(
            lambda parts: kind(*parts),
            [getattr(value, f.name) for f in fields(value)],
            places,
            shape,
        )
    return None


def _together(
    kind: Callable[[list[Any]], Any],
    parts: Iterable[Any],
    places: Places,
    shape: KnownShape | None,
) -> Build | None:
    own = list(parts)
    changing = [(i, b) for i, v in enumerate(own) if (b := _building(v, places, shape)) is not None]
    if not changing:
        return None

    def build(numbers: list[Number], spot: Spots) -> Any:
        new = own.copy()
        for index, make in changing:
            new[index] = make(numbers, spot)
        return kind(new)

    return build
