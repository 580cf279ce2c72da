"""The drawing as character cells, for a terminal of any size.

Every kind of place has a shape of its own, so that nothing rests on colour: worked fabric is
solid, fabric still to come is dotted, the row in work is a double line with the hand's arrow (a
single line while it is only looked at), an edge in work is a heavy line, an open mark is a cross
and a stitch marker a diamond.
"""

from bisect import bisect_left
from collections.abc import Iterable
from enum import StrEnum

from engine.script.wording import arrow
from models.schematic import Band, Drawing, Panel, Span
from models.script import Direction
from models.state import Mark


class Tag(StrEnum):
    """What a cell shows, for the style sheet."""

    EMPTY = "empty"
    PLANNED = "planned"
    WORKED = "worked"
    NOW = "now"
    MARK = "mark"
    MARKER = "marker"
    LABEL = "label"
    LABEL_WORKED = "label worked"


Cell = tuple[str, Tag]
"""One character and what it shows."""

CELL_ASPECT = 2.0
"""Height of a terminal cell over its width (common practice, no source)."""

_EMPTY: Cell = (" ", Tag.EMPTY)
_PLANNED = "·"
_NOW = "═"
_EDGE = "━"
_IN_HAND = "─"
_MARK = "✗"
_MARKER = "◆"
_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""By which quarters are filled: upper left 1, upper right 2, lower left 4, lower right 8."""
_LABEL_PAD = 4
"""Cells of its panel that a label leaves beside it, a space at each end among them."""


def cells(
    drawing: Drawing, at: int, width: int, height: int, marks: Iterable[Mark] = ()
) -> list[list[Cell]]:
    """The drawing, `height` lines of `width` cells, to scale and in the middle of them.

    `at` is the index of the step in work (`MakeState.at`): steps 1 to `at` are worked. `marks`
    are drawn where they are still open.
    """
    if width < 1 or height < 1:
        return []
    return _Canvas(drawing, at, width, height).paint(marks)


def legend() -> tuple[tuple[str, str], ...]:
    """Each shape with what it means."""
    return (
        (_QUADRANTS[-1], "worked"),
        (_NOW, "in work"),
        (_PLANNED, "to come"),
        (_MARK, "open mark"),
        (_MARKER, "marker"),
    )


class _Canvas:
    def __init__(self, drawing: Drawing, at: int, width: int, height: int) -> None:
        self.drawing, self.at, self.width, self.height = drawing, at, width, height
        self.cm = max(drawing.width / width, drawing.height / height / CELL_ASPECT) or 1.0
        """Centimetres to a cell's width."""
        used = drawing.width / self.cm, drawing.height / self.cm / CELL_ASPECT
        self.x0 = (width - used[0]) / 2
        self.y0 = (height - used[1]) / 2 + used[1]
        """Line of the drawing's lower edge, counted from above."""
        self.solid = [[0] * width for _ in range(height)]
        self.grid: list[list[Cell]] = [[_EMPTY] * width for _ in range(height)]

    def paint(self, marks: Iterable[Mark]) -> list[list[Cell]]:
        now = self._band(self.at + 1)
        for panel in self.drawing.panels:
            self._fill(panel)
        for y, line in enumerate(self.solid):
            for x, quarters in enumerate(line):
                if quarters:
                    self.grid[y][x] = (_QUADRANTS[quarters], Tag.WORKED)
        for panel in self.drawing.panels:
            self._label(panel, now)
        self._edges_in_work()
        if now:
            self._row_in_work(now)
        else:
            self._row_in_hand()
        for spot in self.drawing.spots:
            if spot.step <= self.at and not (spot.until and spot.until <= self.at):
                self._put(spot.x, spot.y, (_MARKER, Tag.MARKER))
        self._marks(marks)
        return self.grid

    # --- places ---------------------------------------------------------------------------

    def _column(self, x: float) -> float:
        return self.x0 + x / self.cm

    def _line(self, y: float) -> float:
        return self.y0 - y / self.cm / CELL_ASPECT

    def _inside(self, column: float, line: float) -> tuple[int, int]:
        """The nearest cell of the grid."""
        return (
            min(max(int(column), 0), self.width - 1),
            min(max(int(line), 0), self.height - 1),
        )

    def _put(self, x: float, y: float, cell: Cell) -> None:
        column, line = self._inside(self._column(x), self._line(y))
        self.grid[line][column] = cell

    # --- fabric ---------------------------------------------------------------------------

    def _fill(self, panel: Panel) -> None:
        """Worked fabric by quarter cells, fabric to come by whole ones."""
        first = max(0, int(self._line(panel.bottom + panel.height)))
        last = min(self.height - 1, int(self._line(panel.bottom)))
        halves = [(line, half) for line in range(first, last + 1) for half in (0, 1)]
        seen = [spot for spot in halves if _band_at(panel, self._height(*spot))]
        # A panel thinner than half a cell still shows, on the half that is nearest.
        for line, half in seen or halves[:1]:
            y = self._height(line, half)
            band = _band_at(panel, y) or panel.bands[len(panel.bands) // 2]
            left, right = _ends(band, y if seen else (band.y_base + band.y_top) / 2)
            if band.step <= self.at:
                self._solid(line, half, left, right)
            elif half or (line, 1) not in seen:
                self._dots(line, left, right)

    def _height(self, line: int, half: int) -> float:
        """The y of the middle of a half line, cm."""
        return (self.y0 - line - 0.25 - half / 2) * self.cm * CELL_ASPECT

    def _solid(self, line: int, half: int, left: float, right: float) -> None:
        start = max(0, round(self._column(left) * 2))
        end = min(2 * self.width, round(self._column(right) * 2))
        for quarter in range(start, end):
            self.solid[line][quarter // 2] |= 1 << (quarter % 2 + 2 * half)

    def _dots(self, line: int, left: float, right: float) -> None:
        start = max(0, round(self._column(left)))
        end = min(self.width, round(self._column(right)))
        self.grid[line][start:end] = [(_PLANNED, Tag.PLANNED)] * (end - start)

    def _label(self, panel: Panel, now: Band | None) -> None:
        """The part's name in its middle, a word to a line if need be, where there is room."""
        lines = panel.height / self.cm / CELL_ASPECT
        middle = self._line(panel.bottom + panel.height / 2)
        busy = (
            int(self._line((now.y_base + now.y_top) / 2))
            if now and any(band is now for band in panel.bands)
            else None
        )
        for words in ([panel.part], panel.part.split()):
            top = int(middle - (len(words) - 1) / 2)
            rows = range(top, top + len(words))
            room = [self._room(panel, line) for line in rows]
            if (
                lines >= len(words)
                and busy not in rows
                and all(r >= len(word) + _LABEL_PAD for r, word in zip(room, words, strict=True))
            ):
                for line, word in zip(rows, words, strict=True):
                    self._write(panel, line, f" {word} ")
                return

    def _sides(self, panel: Panel, line: int) -> tuple[float, float] | None:
        y = (self.y0 - line - 0.5) * self.cm * CELL_ASPECT
        band = _band_at(panel, y)
        return _ends(band, y) if band else None

    def _room(self, panel: Panel, line: int) -> float:
        """Cells that the panel has on that line."""
        sides = self._sides(panel, line)
        return (sides[1] - sides[0]) / self.cm if sides else 0.0

    def _write(self, panel: Panel, line: int, text: str) -> None:
        left, right = self._sides(panel, line) or (0.0, 0.0)
        start = round(self._column((left + right) / 2) - len(text) / 2)
        for column, letter in enumerate(text, start):
            if 0 <= column < self.width and 0 <= line < self.height:
                worked = self.grid[line][column][1] is Tag.WORKED
                tag = Tag.LABEL_WORKED if worked else Tag.LABEL
                self.grid[line][column] = (letter, tag)

    # --- the work in hand -----------------------------------------------------------------

    def _band(self, step: int) -> Band | None:
        return next(
            (b for panel in self.drawing.panels for b in panel.bands if b.step == step), None
        )

    def _row_in_hand(self) -> None:
        """At a look or a measurement: the row worked last, as long as there are more to come."""
        drawn = [b.step for panel in self.drawing.panels for b in panel.bands]
        drawn += [edge.step for edge in self.drawing.edges]
        last = max((step for step in drawn if step <= self.at), default=0)
        if (band := self._band(last)) and self.at + 1 not in drawn and max(drawn) > self.at:
            y = (band.y_base + band.y_top) / 2
            self._bar(_ends(band, y), y, _IN_HAND)

    def _row_in_work(self, band: Band) -> None:
        low, high = sorted((band.y_base, band.y_top))
        for line in range(max(0, int(self._line(high))), int(self._line(low)) + 1):
            if low <= (y := (self.y0 - line - 0.5) * self.cm * CELL_ASPECT) <= high:
                self._bar(_ends(band, y), y, _NOW)
        y = (low + high) / 2
        columns, line = self._bar(_ends(band, y), y, _NOW)
        if band.direction:
            ahead = {
                Direction.RIGHT_TO_LEFT: columns[0],
                Direction.LEFT_TO_RIGHT: columns[-1],
                Direction.AROUND: columns[len(columns) // 2],
            }[band.direction]
            self.grid[line][ahead] = (arrow(band.direction), Tag.NOW)

    def _edges_in_work(self) -> None:
        for edge in self.drawing.edges:
            if edge.step == self.at + 1:
                self._bar(edge.span, edge.y, _EDGE)

    def _bar(self, span: Span, y: float, char: str) -> tuple[range, int]:
        """A line of `char`, at least one cell long; its columns and its line."""
        left, right = map(self._column, span)
        start, line = self._inside(round(left), self._line(y))
        columns = range(start, min(self.width, max(start + 1, round(right))))
        for column in columns:
            self.grid[line][column] = (char, Tag.NOW)
        return columns, line

    def _marks(self, marks: Iterable[Mark]) -> None:
        bands = {band.step: band for panel in self.drawing.panels for band in panel.bands}
        edges = {edge.step: edge for edge in self.drawing.edges}
        for mark in marks:
            if not mark.open:
                continue
            if band := bands.get(mark.step):
                self._put(*band.loop_at(mark.loop), (_MARK, Tag.MARK))
            elif edge := edges.get(mark.step):
                self._put(sum(edge.span) / 2, edge.y, (_MARK, Tag.MARK))


def _ends(band: Band, y: float) -> tuple[float, float]:
    """Where the band's sides are at height `y`."""
    done = (y - band.y_base) / (band.y_top - band.y_base)
    return (
        band.base[0] + done * (band.top[0] - band.base[0]),
        band.base[1] + done * (band.top[1] - band.base[1]),
    )


def _band_at(panel: Panel, y: float) -> Band | None:
    """The panel's row at height `y`, cm on the sheet."""
    first = panel.bands[0]
    upward = 1 if first.y_top > first.y_base else -1
    place = bisect_left(panel.bands, upward * y, key=lambda band: upward * band.y_top)
    if place == len(panel.bands) or upward * y < upward * first.y_base:
        return None
    return panel.bands[place]
