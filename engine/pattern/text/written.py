"""A line as it is read, which remembers where in the file each of its characters stands."""

import re
from bisect import bisect_right
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from engine.pattern.text.numbers import Spot

Run = tuple[int, int, int]
"""From an offset on, characters stand one after the other from a line and column."""


@dataclass(frozen=True, slots=True)
class Written:
    """Text made of pieces of a file; whatever is rewritten in it keeps the place it came from."""

    text: str
    runs: tuple[Run, ...]

    @classmethod
    def at(cls, text: str, line: int, column: int = 1) -> "Written":
        """Text as it stands in one line of the file."""
        return cls(text, ((0, line, column),))

    def spot(self, offset: int) -> Spot:
        """Where a character stands in the file; past the end: where the next one would."""
        index = bisect_right(self.runs, (offset, 1 << 60, 0)) - 1
        start, line, column = self.runs[max(0, index)]
        return Spot(line, column + max(0, offset - start))

    def offset(self, spot: Spot) -> int:
        """Where in it the character of a place stands; 0 for a place it has not."""
        for index, (start, line, column) in enumerate(self.runs):
            stop = self.runs[index + 1][0] if index + 1 < len(self.runs) else len(self.text) + 1
            if line == spot.line and column <= spot.column < column + stop - start:
                return start + spot.column - column
        return 0

    @property
    def line(self) -> int:
        """The line of the file in which it begins."""
        return self.runs[0][1]

    @property
    def last_line(self) -> int:
        """The line of the file in which it ends."""
        return max(run[1] for run in self.runs)

    def cut(self, start: int, stop: int | None = None) -> "Written":
        """A piece of it."""
        stop = len(self.text) if stop is None else min(stop, len(self.text))
        start = min(start, stop)
        spot = self.spot(start)
        inside = (run for run in self.runs if start < run[0] < stop)
        runs = ((0, spot.line, spot.column), *((o - start, n, c) for o, n, c in inside))
        return Written(self.text[start:stop], runs)

    def strip(self, signs: str | None = None) -> "Written":
        """Without spaces, or other signs, at both ends."""
        if self.text.strip(signs) == self.text:
            return self
        start = len(self.text) - len(self.text.lstrip(signs))
        return self.cut(start, max(start, len(self.text.rstrip(signs))))

    def sub(self, pattern: re.Pattern[str], by: str | Callable[[re.Match[str]], str]) -> "Written":
        """Every match replaced; what stands for a match stands where the match begins."""
        pieces: list[Written] = []
        done = 0
        for match in pattern.finditer(self.text):
            new = match.expand(by) if isinstance(by, str) else by(match)
            if new == match.group():
                continue
            start, stop = match.span()
            pieces.append(self.cut(done, start))
            spot = self.spot(start)
            pieces.append(Written(new, ((0, spot.line, spot.column),)))
            done = stop
        if not pieces:
            return self
        return joined([*pieces, self.cut(done)], "")


def joined(pieces: Iterable[Written], between: str = " ") -> Written:
    """Pieces one after the other; empty ones leave no trace."""
    text, runs = "", list[Run]()
    for piece in pieces:
        if not piece.text:
            continue
        text += between if text else ""
        runs += [(o + len(text), n, c) for o, n, c in piece.runs]
        text += piece.text
    return Written(text, tuple(runs) or ((0, 1, 1),))
