"""Words as large as the room for them allows.

The letters are pyfiglet's: blocks of five rows, whole or enlarged, and a set of three rows where
those do not fit. Where neither fits the words stand in plain bold capitals. What changes the loop
count is set at least as large as the rest, and on a line of its own where there is room. What the
hands do before the row stands above it, what they do after it below, smaller than the row.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator
from functools import lru_cache
from typing import NamedTuple

from textual.content import Content
from textual.reactive import reactive

from counter.tui.widgets.drawn import Drawn, Row, Rows, as_content, one
from engine.script.headline import Big, Headline

PLAIN = -1
_SMALL = 0
_LARGE = (4, 3, 2, 1, _SMALL)
"""Largest first: times the five-row blocks, then the three-row set."""
_FAR = 2
"""The size from which a row may give way to what stands beside it."""
_MOST_LINES = 4
"""Lines of letters beside a row: more are quicker read in plain capitals."""
_BLOCKS, _COMPACT = "ansi_regular", "pagga"

_DIGITS = {
    "0": ("█▀█", "█ █", "▀▀▀"),
    "1": ("▀█ ", " █ ", "▀▀▀"),
    "2": ("▀▀█", "█▀▀", "▀▀▀"),
    "3": ("▀▀█", " ▀█", "▀▀▀"),
    "4": ("█ █", "▀▀█", "  ▀"),
    "5": ("█▀▀", "▀▀█", "▀▀▀"),
    "6": ("█▀▀", "█▀█", "▀▀▀"),
    "7": ("▀▀█", "  █", "  ▀"),
    "8": ("█▀█", "█▀█", "▀▀▀"),
    "9": ("█▀█", "▀▀█", "▀▀▀"),
}
"""Figures for the three-row set: its own 6 and 8 cannot be told apart from across a room."""

_HELD = "\N{NO-BREAK SPACE}"
_NUMBER_AND_WORD = re.compile(r"(?<=[A-Z]) (?=\d+\b)|(?<=\d) (?=TIMES\b)")

Picture = tuple[str, ...]
"""Rows of cells, all of one width."""


@lru_cache(maxsize=4)
def _font(name: str) -> object:
    import pyfiglet

    return pyfiglet.Figlet(font=name, width=10_000)


@lru_cache(maxsize=512)
def word_picture(word: str, size: int) -> Picture | None:
    """One word in letters of that size; None where the letters lack a character."""
    word = word.upper()
    if size == PLAIN:
        return (word,)
    if not word.isascii():
        return None
    if size == _SMALL and word.isdigit():
        figures = [_DIGITS[figure] for figure in word]
        return tuple(" ".join(figure[row] for figure in figures) for row in range(3))
    drawn = _font(_COMPACT if size == _SMALL else _BLOCKS).renderText(word)  # type: ignore[attr-defined]
    rows = [row.replace("░", " ").rstrip() for row in drawn.splitlines()]
    while rows and not rows[-1]:
        rows.pop()
    if not rows:
        return None
    high = 3 if size == _SMALL else 5
    rows = [*rows[:high], *[""] * (high - len(rows))]  # a dash alone is not so high
    width = max(map(len, rows))
    left = min(len(row) - len(row.lstrip()) for row in rows if row)
    rows = [row.ljust(width)[left:] for row in rows]
    if size <= 1:
        return tuple(rows)
    wide = ["".join(cell * size for cell in row) for row in rows]
    return tuple(row for row in wide for _ in range(size))


def _gap(size: int) -> int:
    return {PLAIN: 1, _SMALL: 3}.get(size, 4 * size)


class _Line:
    """Words of one size, side by side."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.words: list[tuple[int, Picture, bool]] = []
        self.width = 0

    @property
    def height(self) -> int:
        return {PLAIN: 1, _SMALL: 3}.get(self.size, 5 * self.size)

    def takes(
        self, pictures: list[Picture], shaping: bool, width: int, *, anew: bool = False
    ) -> bool:
        """Adds words if they fit; `anew` where another stretch begins, a wider gap before it."""
        gap = _gap(self.size)
        added: list[tuple[int, Picture, bool]] = []
        for picture in pictures:
            before = gap * (2 if anew and not added else 1) if self.words or added else 0
            added.append((before, picture, shaping))
        wanted = self.width + sum(before + len(picture[0]) for before, picture, _ in added)
        if wanted > width:
            return False
        self.words += added
        self.width = wanted
        return True

    def rows(self) -> Rows:
        return tuple(
            tuple(
                (" " * gap + picture[row], "bold $accent" if shaping else "")
                for gap, picture, shaping in self.words
            )
            for row in range(self.height)
        )

    def plain(self) -> list[str]:
        """Its rows without their styles."""
        return ["".join(text for text, _ in row) for row in self.rows()]


def lettered(words: str, width: int) -> list[Content] | None:
    """`words` in letters of three rows, as many lines as they take.

    None where the letters lack a sign, or the room is less than the longest word.
    """
    said = (Headline(words=words, short=words),)
    lines = _set(said, _SMALL, _SMALL, width, apart=False, short=False)
    return None if lines is None else [as_content((row,)) for line in lines for row in line.rows()]


class Set(NamedTuple):
    """Words set in letters."""

    rows: Rows
    size: int
    """The largest that the row is set in; `PLAIN` where it stands in plain capitals."""


def arrange(
    stretches: tuple[Headline, ...],
    width: int,
    height: int,
    before: tuple[str, ...] = (),
    after: tuple[str, ...] = (),
) -> Content:
    """A row as large as it fits in `width` × `height` cells, what goes before and after around it.

    All of the row in large letters, by its words or else by their abbreviations, goes before some;
    the rest is never set larger than the row, and none of it is left out.
    """
    return as_content(_arranged(stretches, width, height, before, after).rows)


def arranged(big: Big, width: int, height: int) -> Rows:
    """The same as rows of cells; none where there is nothing to say."""
    return _arranged(big.row, width, height, big.before, big.after).rows if big.row else ()


@lru_cache(maxsize=64)
def _arranged(
    stretches: tuple[Headline, ...],
    width: int,
    height: int,
    before: tuple[str, ...],
    after: tuple[str, ...],
) -> Set:
    if not before and not after:
        return _row(stretches, width, height)
    pairs = [(size, size) for size in (*(_LARGE[1:] if width and height else ()), PLAIN)]
    if before and after and height:
        # Where not both can be read from afar, one of them can, if the row need not give way.
        pairs[-1:] = [(_SMALL, PLAIN), (PLAIN, _SMALL), (PLAIN, PLAIN)]
    for pair in pairs:
        size = max(pair)
        parts = [_beside(said, width, big) for said, big in zip((before, after), pair, strict=True)]
        if any(part is None for part in parts):
            continue
        first, then = (part for part in parts if part is not None)
        gap = 1 if size > PLAIN else 0
        taken = sum(len(part) + gap for part in (first, then) if part)
        row = _row(stretches, width, height - taken)
        if size > PLAIN in pair and row.size < _FAR:
            most = _room_beside(stretches, width, height, before, after)
            if row.size < most:
                continue
        if row.size > size or row.size == size == _SMALL or size == PLAIN:
            if row.size == PLAIN:
                return _all_plain(stretches, width, before, after)
            stack = [part for part in (first, row.rows, then) if part]
            return Set(_stacked(stack, gap), row.size)
    raise AssertionError("plain capitals always fit")


def _room_beside(
    stretches: tuple[Headline, ...],
    width: int,
    height: int,
    before: tuple[str, ...],
    after: tuple[str, ...],
) -> int:
    """How large the row can be where all the rest is in plain capitals."""
    plain = sum(len(_beside(said, width, PLAIN) or ()) for said in (before, after))
    return _row(stretches, width, height - plain).size


def _all_plain(
    stretches: tuple[Headline, ...], width: int, before: tuple[str, ...], after: tuple[str, ...]
) -> Set:
    """Everything in plain capitals, one after the other: for the smallest window."""
    plain = capitals((*before, *(stretch.words for stretch in stretches), *after), width)
    return Set(tuple(one(row, "bold") for row in plain), PLAIN)


def _stacked(parts: Iterable[Rows], gap: int) -> Rows:
    """One below the other, with as many empty rows between them."""
    rows: list[Row] = []
    for part in parts:
        rows += [()] * gap if rows else []
        rows += part
    return tuple(rows)


def capitals(said: tuple[str, ...], width: int) -> list[str]:
    """Clauses in plain capitals, line by line; `k 3` and `3 times` stand in one line."""
    text = _NUMBER_AND_WORD.sub(_HELD, " · ".join(said).upper())
    return [
        row.replace(_HELD, " ")
        for row in textwrap.wrap(text, max(1, width), break_on_hyphens=False)
    ]


def _beside(said: tuple[str, ...], width: int, size: int) -> Rows | None:
    """What goes beside the row, line by line; None where the letters lack a sign."""
    if not said:
        return ()
    if size == PLAIN:
        return tuple(one(row, "bold $secondary") for row in capitals(said, width))
    clauses = tuple(Headline(words=clause, short=clause) for clause in said)
    ways = (_set(clauses, size, size, width, apart=apart, short=False) for apart in (True, False))
    lines = next((way for way in ways if way is not None and len(way) <= _MOST_LINES), None)
    if lines is None:
        return None
    quiet = [tuple(one(row, "$secondary") for row in line.plain()) for line in lines]
    return _stacked(quiet, int(size > _SMALL))


def _row(stretches: tuple[Headline, ...], width: int, height: int) -> Set:
    for lines in _arrangements(stretches, width):
        for leading in (1, 0):
            if _fits(lines, height, leading):
                rows = _stacked((line.rows() for line in lines), leading)
                return Set(rows, max(line.size for line in lines))
    plain = capitals(tuple(stretch.words for stretch in stretches), width)
    return Set(tuple(one(row, "bold") for row in plain), PLAIN)


def _arrangements(stretches: tuple[Headline, ...], width: int) -> Iterator[list[_Line]]:
    """Every way to set them within the width, the best first."""
    shaping = any(stretch.shaping for stretch in stretches)
    pairs = [
        (size, rest)
        for place, size in enumerate(_LARGE)
        for rest in (_LARGE[place:] if shaping else (size,))
    ]
    ways = [(size, rest, apart, False) for size, rest in pairs for apart in (True, False)]
    ways += [(size, size, False, True) for size in (1, _SMALL)]
    if shaping:
        ways += [(size, PLAIN, apart, False) for size in _LARGE for apart in (True, False)]
    for size, rest, apart, short in ways:
        if lines := _set(stretches, size, rest, width, apart=apart, short=short):
            yield lines


def _fits(lines: list[_Line], height: int, leading: int) -> bool:
    # Letters of three rows end half a row high, so something may follow them closely.
    if not leading and any(line.size > _SMALL for line in lines[:-1]):
        return False
    return sum(line.height for line in lines) + leading * (len(lines) - 1) <= height


def _set(
    stretches: tuple[Headline, ...],
    size: int,
    rest: int,
    width: int,
    *,
    apart: bool,
    short: bool,
) -> list[_Line] | None:
    lines: list[_Line] = []
    for stretch in stretches:
        chosen = size if stretch.shaping or size == rest else rest
        if apart or not lines or lines[-1].size != chosen:
            lines.append(_Line(chosen))
        units = _units((stretch.short if short else stretch.words).split(), chosen)
        if units is None:
            return None
        whole = [picture for unit in units for picture in unit]
        if lines[-1].takes(whole, stretch.shaping, width, anew=True):
            continue
        if lines[-1].words:
            lines.append(_Line(chosen))
            if lines[-1].takes(whole, stretch.shaping, width):
                continue
        for unit in units:
            if lines[-1].takes(unit, stretch.shaping, width):
                continue
            if not lines[-1].words:
                return None
            lines.append(_Line(chosen))
            if not lines[-1].takes(unit, stretch.shaping, width):
                return None
    return lines


def _units(words: list[str], size: int) -> list[list[Picture]] | None:
    """The words' pictures, a number with its word; None where the letters lack a character."""
    units: list[list[Picture]] = []
    number = False
    for word in words:
        picture = word_picture(word, size)
        if picture is None:
            return None
        if units and (number or word.strip("()").isdigit()):
            units[-1].append(picture)
        else:
            units.append([picture])
        number = word.isdigit()
    return units


class Lettering(Drawn):
    """A row and what goes with it, as large as the widget."""

    big: reactive[Big] = reactive(Big(), layout=False)

    def rows(self) -> Rows:
        """The largest arrangement that fits."""
        return arranged(self.big, *self.size)
