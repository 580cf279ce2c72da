"""What a check of a written pattern finds, and what a resizing changes."""

from enum import StrEnum
from typing import Literal

from models.frozen import Frozen


class Severity(StrEnum):
    """How much a finding matters."""

    UNREAD = "unread"
    """The line is not understood, so nothing in it was counted."""
    FAULT = "fault"
    """It cannot be worked as written."""
    WARNING = "warning"
    """It can be worked, and is probably not what was meant."""


class Fault(Frozen):
    """One finding, with its place, its arithmetic and the nearest repair."""

    line: int
    """Line of the file, from 1."""
    column: int
    """Column of the line, from 1, where the arithmetic goes wrong or the repair begins."""
    size: str = ""
    """The size it was found in; several are joined by commas; empty: it does not matter."""
    part: str = ""
    row: int | None = None
    """Row or round of its part, from 1."""
    severity: Severity = Severity.FAULT
    text: str
    """The arithmetic."""
    repair: str = ""
    """The nearest repair."""

    @property
    def where(self) -> str:
        """`row 7, size M` as far as they are known."""
        row = f"row {self.row}" if self.row else ""
        size = f"size {self.size}" if self.size else ""
        return ", ".join(filter(None, (self.part, row, size)))

    def sentence(self, file: str = "") -> str:
        """The whole finding in one sentence, with the file's name where one is given."""
        place = f"{file}:{self.line}:{self.column}" if file else f"{self.line}:{self.column}"
        where = f"{self.where}: " if self.where else ""
        mark = "warning: " if self.severity is Severity.WARNING else ""
        repair = f"; {self.repair}" if self.repair else ""
        return f"{place}: {mark}{where}{self.text}{repair}."


class LineRead(Frozen):
    """A line of a pattern, or a sentence of one, and what it was taken for."""

    line: int
    """Line of the file in which it begins, from 1."""
    last: int
    """Line of the file in which it ends: broken lines are put together."""
    text: str
    taken_as: Literal["heading", "row", "sentence", "step", "prose", "unread"]
    part: str = ""
    """The part that it stands in."""
    label: str = ""
    """What the row or the heading is called there."""
    why: str = ""
    """Why it is not read, or why it is taken for talk."""
    nearest: tuple[str, ...] = ()
    """Lines that would be read in its place, at most three, for a person to pick from."""


class RowCheck(Frozen):
    """One row on a number of loops."""

    on: int
    """Loops that are there."""
    takes: int
    """Loops that the row takes."""
    leaves: int
    """Loops that are there after it."""
    unworked: int = 0
    """Those among them that a row turned before its end did not come to."""
    faults: tuple[Fault, ...] = ()


class SizeCount(Frozen):
    """What a size comes to."""

    size: str
    rows: int
    steps: int
    yarn_loops: int
    most_loops: int
    """Loops of its widest row."""


class PatternCheck(Frozen):
    """A whole pattern, counted for every size."""

    title: str
    craft: str
    sizes: tuple[str, ...]
    faults: tuple[Fault, ...]
    """Lines not understood, faults and warnings, in the order of the file."""
    counts: tuple[SizeCount, ...]
    """The sizes that can be worked."""
    lines: tuple[LineRead, ...] = ()
    """Every line, or sentence, in the order of the text."""

    @property
    def unread(self) -> bool:
        """Whether a line was not understood."""
        return any(f.severity is Severity.UNREAD for f in self.faults)

    @property
    def sound(self) -> bool:
        """Whether every size can be worked; warnings do not count."""
        return all(f.severity is Severity.WARNING for f in self.faults)


class NumberChange(Frozen):
    """One number that a resizing changes."""

    line: int
    column: int
    was: str
    now: str
    why: str


class SizeOutcome(Frozen):
    """A size at two gauges, cm: what the pattern says, and what comes out at the maker's."""

    size: str
    part: str
    width_was: float
    width_now: float
    height_was: float
    height_now: float


class Resize(Frozen):
    """A pattern at another gauge."""

    outcomes: tuple[SizeOutcome, ...]
    """What comes out if the counts are left as they are."""
    changes: tuple[NumberChange, ...] = ()
    """What was recomputed so that the measurements stay."""
    text: str = ""
    """The recomputed pattern."""
