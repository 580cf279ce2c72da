"""A pattern written for one gauge, worked at another.

Either the counts stay, and another size comes out; or the counts are recomputed so that the
measurements stay. Recomputing scales what decides the width (loops laid on or picked up, loops
bound off at an edge, how often a shaping comes) and what decides the height (rows, repeats of
rows, how many rows lie between two shapings), each to the nearest number with which the whole
pattern still counts out: that keeps the multiples of its repeats. What a row says in plain
numbers is then made to fit, two equal edges alike, and counts after rows are written anew.
"""

import re
from dataclasses import replace
from typing import Any

from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern
from engine.pattern.count.count import Counting
from engine.pattern.count.drafts import Counted
from engine.pattern.make import craft_of, gauge_of
from engine.pattern.promised import hold_sides, hold_to_promise
from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.read import Pattern, read
from engine.pattern.text.row_items import Hold, Shape, Stitch
from engine.pattern.text.statements import (
    AtOnce,
    Even,
    Repeat,
    RowLine,
    ShapeRows,
    Span,
    StepLine,
    Turns,
)
from models.gauge import Gauge
from models.pattern import NumberChange, Resize, Severity, SizeOutcome
from models.script import ROW_KINDS
from models.text import legible_lines

_NEAR = 30
"""Candidates that are tried for one number, from the nearest outwards."""
_REPAIRS_AT_MOST = 400
Values = list[float | None]
Edits = dict[Spot, Values]


def resize(text: str, gauge: Gauge) -> Resize:
    """What comes out at `gauge`, and the pattern recomputed for it.

    Raises Refusal for a pattern that states no gauge, or that does not count out at its own.
    """
    pattern = read(text)
    own = gauge_of(pattern)
    if own is None:
        raise Refusal(
            "The pattern states no gauge, so there is nothing to compare yours with: add a line "
            "such as 'Gauge: 20 x 26'."
        )
    checked = check_pattern(text)
    if not checked.sound:
        first = next(f for f in checked.faults)
        raise Refusal(
            f"The pattern does not come out at its own gauge (line {first.sentence()[:-1]}): mend "
            "it first."
        )
    work = _Work(pattern, own, gauge)
    edits = work.edits()
    resized = _rewritten(text, pattern, edits, gauge)
    left = [f for f in check_pattern(resized).faults if f.severity is not Severity.WARNING]
    changes = work.changes(edits)
    if left:
        # Numbers that depend on one another in a way that is not seen here: say so, change none.
        raise Refusal(
            "The pattern comes out as it is written, but its counts cannot be recomputed for this "
            f"gauge: with other numbers line {left[0].sentence()[:-1]}. With --keep you see what "
            "its counts come to at your gauge."
        )
    work.hold(read(resized))
    return Resize(outcomes=work.outcomes(), changes=changes, text=resized)


def outcomes(text: str, gauge: Gauge) -> tuple[SizeOutcome, ...]:
    """What comes out at `gauge` with the counts as they are. Raises Refusal without a gauge."""
    pattern = read(text)
    own = gauge_of(pattern)
    if own is None:
        raise Refusal("The pattern states no gauge: add a line such as 'Gauge: 20 x 26'.")
    return _Work(pattern, own, gauge).outcomes()


def _near(wanted: float, like: int) -> list[int]:
    """Whole numbers from the nearest to `wanted` outwards, those of the parity of `like` first."""
    start = round(wanted)
    around = sorted(range(max(1, start - _NEAR), start + _NEAR), key=lambda n: abs(n - wanted))
    return [n for n in around if n % 2 == like % 2] + [n for n in around if n % 2 != like % 2]


def _alike(wanted: float, like: int, least: int) -> int:
    """The nearest whole number that is even or odd as `like` is: rows then keep their sides."""
    found = 2 * round((wanted - like % 2) / 2) + like % 2
    return found if found >= least else least + (least - like) % 2


class _Work:
    """One resizing: the numbers it changes, by their place in the file."""

    def __init__(self, pattern: Pattern, own: Gauge, gauge: Gauge) -> None:
        self.pattern, self.own, self.gauge = pattern, own, gauge
        self.across = gauge.loops_per_10cm / own.loops_per_10cm
        self.up = gauge.rows_per_10cm / own.rows_per_10cm
        self.sizes = range(len(pattern.sizes))
        self.why: dict[Spot, str] = {}
        self.numbers: dict[Spot, Number] = {}
        self._widths: list[Number] = []
        self._edits: Edits = {}

    # ------------------------------------------------------------ what comes out
    def _counted(self, size: int, gauge: Gauge, pattern: Pattern | None = None) -> Counted:
        chosen = pattern or self.pattern
        return Counting(chosen, size, gauge, craft_of(chosen)).run(close=True)

    def outcomes(self) -> tuple[SizeOutcome, ...]:
        """Width and height of every part of every size, at both gauges; cm."""
        found: list[SizeOutcome] = []
        for size in self.sizes:
            was, now = self._counted(size, self.own), self._counted(size, self.gauge)
            for part, rows in was.rows.items():
                loops = max(d.before for d in was.drafts if d.part == part and d.kind in ROW_KINDS)
                found.append(
                    SizeOutcome(
                        size=self.pattern.sizes[size],
                        part=part,
                        width_was=round(loops / self.own.loops_per_cm, 1),
                        width_now=round(loops / self.gauge.loops_per_cm, 1),
                        height_was=round(rows / self.own.rows_per_cm, 1),
                        height_now=round(now.rows.get(part, 0) / self.gauge.rows_per_cm, 1),
                    )
                )
        return tuple(found)

    def hold(self, resized: Pattern) -> None:
        """Raises Refusal where the recomputed pattern does not keep what it promises."""
        was = [self._counted(size, self.own) for size in self.sizes]
        now = [self._counted(size, self.gauge, resized) for size in self.sizes]
        lines = [s.said for s in self.pattern.statements if isinstance(s.said, RowLine)]
        after = [s.said for s in resized.statements if isinstance(s.said, RowLine)]
        hold_to_promise(was, now, self.own, self.gauge, self.pattern.sizes)
        for before, then in zip(was, now, strict=True):
            hold_sides(before, then, list(zip(lines, after, strict=True)))

    # ------------------------------------------------------------ what changes
    def edits(self) -> Edits:
        """New values of every number that changes."""
        for scoped in self.pattern.statements:
            self._statement(scoped.said)
        for size in self.sizes:
            for number in self._widths:
                self._fit(number, size)
            self._mend(size)
        return self._edits

    def _set(self, number: Number, size: int, value: float, why: str) -> None:
        values = self._edits.setdefault(
            number.spot, [number.real(s) if number.values else None for s in self.sizes]
        )
        values[size] = value
        self.numbers.setdefault(number.spot, number)
        self.why.setdefault(number.spot, why)

    def _scale(self, number: Number, ratio: float, why: str, *, least: int = 1) -> None:
        for size in self.sizes:
            was = number.real(size)
            if was:
                self._set(number, size, max(least, round(was * ratio)), why)

    def _statement(self, said: object) -> None:
        match said:
            case StepLine(kind="foundation" | "pick up", row=row) if row:
                for item in row.items:
                    if isinstance(item, Stitch) and item.count and item.count.said:
                        self._width(item.count)
            case StepLine(row=row) if row:
                self._items(row.items)
            case Even(span=span):
                self._span(span, 1)
            case Repeat(span=span, turns=turns):
                self._span(span, 1, said)
                self._shaping(turns)
            case ShapeRows(stitch=stitch, number=number, turns=turns):
                if stitch in {"bo", "co"} and number:
                    self._scale(number, self.across, "loops at an edge, for the width")
                else:
                    self._shaping(turns)
            case AtOnce(said=said):
                for shape in said:
                    self._statement(shape)
            case RowLine(row=row):
                self._items(row.items)

    def _width(self, number: Number) -> None:
        self._widths.append(number)

    def _items(self, items: tuple[Any, ...]) -> None:
        for item in items:
            if isinstance(item, Shape) and item.where == "evenly" and item.count:
                self._scale(item.count, self.across, "spread over the row, for the width")
            elif isinstance(item, Hold) and item.number and item.number.said:
                self._scale(item.number, self.across, "loops that wait, for the width")

    def _rows(self, number: Number, fewest: int) -> None:
        """A number of rows, which stays even or odd."""
        for size in self.sizes:
            was = number.whole(size)
            if was:
                now = _alike(was * self.up, was, fewest)
                self._set(number, size, now, "rows, for the height")

    def _span(self, span: Span, fewest: int, repeat: Repeat | None = None) -> None:
        if span.kind == "rows" and span.number:
            self._rows(span.number, fewest)
        elif span.kind == "times" and span.number and span.number.said:
            # Worked once when written and so often again: all of it together is the height.
            for size in self.sizes:
                again = span.number.whole(size)
                if again:
                    now = max(1, round((again + 1) * self.up) - 1)
                    if repeat is None or self._repeated(repeat, size) % 2:
                        now = _alike((again + 1) * self.up - 1, again, 1)
                    self._set(span.number, size, now, "repeats of rows, for the height")
        elif span.about:
            self._rows(span.about, 1)

    def _repeated(self, repeat: Repeat, size: int) -> int:
        """Rows of what is repeated."""
        if repeat.kind == "numbered":
            return sum(r.last.whole(size) - r.first.whole(size) + 1 for r in repeat.ranges)
        return number_of(repeat.number, size, 1)

    def _shaping(self, turns: tuple[Turns, ...]) -> None:
        for turn in turns:
            times = turn.span.number
            if turn.span.kind != "times" or times is None or not times.said or turn.first_now:
                continue
            for size in self.sizes:
                was = times.whole(size)
                if not was:
                    continue
                now = max(1, round(was * self.across))
                self._set(times, size, now, "shapings, for the width")
                one_for_all = turn.nth is not None and len(turn.nth.values) == 1
                if turn.nth is not None and (size == 0 or not one_for_all):
                    wanted = turn.every(size) * was * self.up / now
                    step = max(1, round(wanted))
                    if turn.every(size) % 2 == 0:  # in every right-side row, it stays in one
                        step = _alike(wanted, 0, 2)
                    for each in self.sizes if one_for_all else [size]:
                        self._set(turn.nth, each, step, "rows between shapings, for the height")

    def _fit(self, number: Number, size: int) -> None:
        """The nearest number of loops with which the whole pattern still counts out."""
        was = number.whole(size)
        if not was:
            return
        wanted = was * self.across
        best, fewest = round(wanted), 10**9
        for candidate in _near(wanted, was):
            self._set(number, size, candidate, "loops, for the width; its multiple is kept")
            counted = self._counted(size, self.gauge, self._edited())
            faults = sum(
                f.severity is Severity.FAULT and Spot(f.line, f.column) not in counted.mendable
                for f in counted.faults
            )
            if faults < fewest:
                best, fewest = candidate, faults
            if not faults:
                break
        self._set(number, size, best, "loops, for the width; its multiple is kept")

    def _mend(self, size: int) -> None:
        """Make the rows' plain numbers and the counts after them fit."""
        written = _numbers(self.pattern)
        for _ in range(_REPAIRS_AT_MOST):
            counted = self._counted(size, self.gauge, self._edited())
            if not counted.fixes:
                return
            for spot, value in counted.fixes:
                number = written.get(spot)
                if number is None:
                    return
                self._set(number, size, value, "so that the row comes out")

    def _edited(self) -> Pattern:
        changed = tuple(
            replace(scoped, said=_edit(scoped.said, self._edits))
            for scoped in self.pattern.statements
        )
        return replace(self.pattern, statements=changed)

    def changes(self, edits: Edits) -> tuple[NumberChange, ...]:
        """Every number that is another one now, in the order of the file."""
        found: list[NumberChange] = []
        for spot in sorted(edits, key=lambda s: (s.line, s.column)):
            number = self.numbers[spot]
            now = _written(number, edits[spot])
            if now != number.said:
                found.append(
                    NumberChange(
                        line=spot.line,
                        column=spot.column,
                        was=number.said,
                        now=now,
                        why=self.why[spot],
                    )
                )
        return tuple(found)


def _edit(value: Any, edits: Edits) -> Any:
    if isinstance(value, Number):
        values = edits.get(value.spot)
        return replace(value, values=tuple(values)) if values and value.said else value
    if isinstance(value, Turns) and value.nth is not None and value.nth.spot in edits:
        step = int(edits[value.nth.spot][0] or 1)
        value = replace(value, step=step)
    if isinstance(value, tuple):
        return tuple(_edit(v, edits) for v in value)
    if hasattr(value, "__dataclass_fields__") and not isinstance(value, Spot):
        changed = {name: _edit(getattr(value, name), edits) for name in value.__dataclass_fields__}
        return replace(value, **changed)
    return value


def _numbers(pattern: Pattern) -> dict[Spot, Number]:
    found: dict[Spot, Number] = {}

    def walk(value: Any) -> None:
        if isinstance(value, Number):
            if value.said:
                found[value.spot] = value
        elif isinstance(value, tuple):
            for part in value:
                walk(part)
        elif hasattr(value, "__dataclass_fields__") and not isinstance(value, Spot):
            for name in value.__dataclass_fields__:
                walk(getattr(value, name))

    for scoped in pattern.statements:
        walk(scoped.said)
    return found


def _plain(value: float | None) -> str:
    return "–" if value is None else f"{value:g}"


def _nth(value: float | None) -> str:
    count = int(value or 0)
    teens = 10 <= count % 100 <= 20
    return f"{count}{'th' if teens else {1: 'st', 2: 'nd', 3: 'rd'}.get(count % 10, 'th')}"


def _written(number: Number, values: Values) -> str:
    """New values in the manner of the old ones: an ordinal stays one, a list stays a list."""
    if values == [number.real(size) for size in range(len(values))]:
        return number.said
    ordinal = re.match(r"\d+(?:st|nd|rd|th)\b", number.said, re.I)
    told = [_nth(value) if ordinal else _plain(value) for value in values]
    if len(set(told)) == 1:
        if number.said.lower() in {"once", "twice", "thrice"}:
            words = {"1": "once", "2": "twice", "3": "thrice"}
            return words.get(told[0], f"{told[0]} times")
        return told[0]
    return f"{told[0]} ({', '.join(told[1:])})"


def _rewritten(text: str, pattern: Pattern, edits: Edits, gauge: Gauge) -> str:
    """The text with its numbers replaced where they stand, and the gauge it is now for."""
    numbers = _numbers(pattern)
    lines = legible_lines(text).split("\n")
    for spot in sorted(edits, key=lambda s: (s.line, -s.column)):
        number = numbers.get(spot)
        if number is None:
            continue
        line, start = lines[spot.line - 1], spot.column - 1
        now = _written(number, edits[spot])
        lines[spot.line - 1] = line[:start] + now + line[start + len(number.said) :]
    heading = pattern.headings["gauge"]
    lines[heading.spot.line - 1] = f"Gauge: {gauge.loops_per_10cm:g} x {gauge.rows_per_10cm:g}"
    return "\n".join(lines)
