"""The drawing as SVG, in ink for paper: to a stated scale, with its sizes in cm.

Black and greys only. Worked fabric is hatched, fabric to come is blank, the row in work is solid.
"""

import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence

from engine.base.plural import some
from engine.draw.paper import GREY, INK, LEADING, LETTER, PALE, SMALL_MM, TEXT_MM, Paper, num
from engine.script.wording import counted
from models.schematic import Band, Drawing, Panel, Span
from models.script import Craft, Direction
from models.state import Mark

_ROW_LINE_MM = 0.9
"""Rows are drawn as lines where they are at least that high."""
_STEP_MM = 2.6
"""From a panel to the line of its size."""
_MOUTH_MM = 1.4
"""How far the open end of a tube bulges."""
_SAME_CM = 0.01


def svg(
    drawing: Drawing,
    title: str,
    craft: Craft = Craft.LOOP,
    at: int | None = None,
    marks: Iterable[Mark] = (),
) -> str:
    """The drawing as an SVG document, its unit the millimetre of paper.

    `at` is the index of the step in work; None draws the pattern, with nothing worked.
    """
    return _Sheet(drawing, title, craft, at).draw(tuple(mark for mark in marks if mark.open))


def _cm(value: float) -> str:
    return f"{round(value, 1):g} cm"


def _rows(panel: Panel) -> str:
    count = len(panel.bands)
    return some(count, "round" if panel.ring else "row")


def _meet(y: float, top: Span, first: Band) -> bool:
    """Whether a panel that begins with `first` stands on an end at `y`."""
    return (
        abs(y - first.y_base) < _SAME_CM
        and top[0] < first.base[1] - _SAME_CM
        and first.base[0] + _SAME_CM < top[1]
    )


def _lap(one: Span, other: Span) -> bool:
    return one[0] < other[1] and other[0] < one[1]


class _Sheet(Paper):
    def __init__(self, drawing: Drawing, title: str, craft: Craft, at: int | None) -> None:
        super().__init__(drawing, foot_mm=1.0 if at is None else 8.0)
        self.title, self.craft, self.at = title, craft, at
        self.told: list[tuple[Span, float]] = []
        """Where the words of widths stand: from the left to the right, and how far down, mm."""

    def draw(self, marks: Sequence[Mark]) -> str:
        self.add("title", text=f"{self.title}, drawn to scale")
        self.add("desc", text="; ".join(map(self._told, self.drawing.panels)))
        self.hatch()
        for panel in self.drawing.panels:
            self._panel(panel)
        for edge in self.drawing.edges:
            if self.at is not None and edge.step == self.at + 1:
                self.level(edge.span, edge.y, INK, 1.1)
        for panel in self.drawing.panels:
            self._row_in_work(panel)
            self._label(panel)
        self._sizes()
        for spot in self.drawing.spots:
            gone = self.at is not None and (
                spot.step > self.at or (spot.until is not None and spot.until <= self.at)
            )
            if not gone:
                self.marker(self.x(spot.x), self.y(spot.y))
        self._marks(marks)
        self._foot()
        ET.indent(self.root, " ")
        return ET.tostring(self.root, encoding="unicode") + "\n"

    # --- fabric ---------------------------------------------------------------------------

    def _panel(self, panel: Panel) -> None:
        self.shape(panel.outline, fill="#fff")
        worked = [band for band in panel.bands if self.at is not None and band.step <= self.at]
        if worked:
            done = panel.model_copy(update={"bands": tuple(worked)})
            self.shape(done.outline, fill="url(#worked)")
        if abs(panel.bands[0].y_top - panel.bands[0].y_base) * self.mm >= _ROW_LINE_MM:
            for band in panel.bands[:-1]:
                self.level(band.top, band.y_top, PALE, 0.15)
        outline = {"fill": "none", "stroke": INK, "stroke-linejoin": "round"}
        self.shape(panel.outline, **outline, **{"stroke-width": "0.45"})
        if panel.ring:
            self._mouth(panel.bands[-1])

    def _mouth(self, band: Band) -> None:
        """The open end of a tube, so that it is not taken for a flat piece."""
        left, right = (self.x(x) for x in band.top)
        y = self.y(band.y_top)
        sweep = "1" if band.y_top > band.y_base else "0"
        dip = min(_MOUTH_MM, (right - left) / 6)
        self.add(
            "path",
            {
                "d": f"M{num(left)} {num(y)} A{num((right - left) / 2)} {num(dip)} 0 0 {sweep} "
                f"{num(right)} {num(y)}",
                "fill": "none",
                "stroke": INK,
                "stroke-width": "0.25",
            },
        )

    def _row_in_work(self, panel: Panel) -> None:
        for band in panel.bands:
            if self.at is not None and band.step == self.at + 1:
                corners = [
                    (band.base[0], band.y_base),
                    (band.base[1], band.y_base),
                    (band.top[1], band.y_top),
                    (band.top[0], band.y_top),
                ]
                self.shape(corners, fill=INK, stroke=INK, **{"stroke-width": "0.6"})
                self._arrow(band, "#fff", 1.0)
        if self.at is None:
            self._arrow(panel.bands[0], GREY, 0.8)

    def _arrow(self, band: Band, ink: str, size: float) -> None:
        """The way the hand goes, inside the row."""
        y = self.y((band.y_base + band.y_top) / 2)
        left, right = self.x(band.top[0]), self.x(band.top[1])
        if self.at is not None and abs(band.y_top - band.y_base) * self.mm < 1.6:
            ink = INK  # a thin row is no ground for a white arrow: it goes below
            y += 2.2 if band.y_top > band.y_base else -2.2
        length = min(9.0, (right - left) * 0.6)
        if band.direction is Direction.LEFT_TO_RIGHT:
            tail = left + 1.5
            tip = tail + length
        else:
            tail = right - 1.5
            tip = tail - length
        back = 1.6 if tip < tail else -1.6
        self.stroke((tail, y), (tip + back / 2, y), ink, 0.35 * size)
        self.add(
            "polygon",
            {
                "points": f"{num(tip)},{num(y)} {num(tip + back)},{num(y - 0.8)} "
                f"{num(tip + back)},{num(y + 0.8)}",
                "fill": ink,
            },
        )

    def _lettering(self, panel: Panel) -> list[tuple[str, float]]:
        """What fits into the panel of its name and its rows: lines with their height in mm."""
        room = panel.bands[len(panel.bands) // 2].width * self.mm - 1
        name, rows = panel.part, _rows(panel)
        choices = (
            [(name, TEXT_MM), (rows, SMALL_MM)],
            [*((word, TEXT_MM) for word in name.split()), (rows, SMALL_MM)],
            [(f"{name}, {rows}", SMALL_MM)],
            [(word, SMALL_MM) for word in name.split()],
            [(name, SMALL_MM)],
        )
        for lines in choices:
            wide = max(len(line) * size * LETTER for line, size in lines)
            if wide <= room and sum(size for _, size in lines) * LEADING <= panel.height * self.mm:
                return lines
        return []

    def _label(self, panel: Panel) -> None:
        middle = panel.bands[len(panel.bands) // 2]
        x = self.x(sum(middle.base) / 2)
        y = self.y(panel.bottom + panel.height / 2)
        lines = self._lettering(panel)
        y -= sum(size for _, size in lines) * LEADING / 2
        for line, size in lines:
            self.text(x, y + size * LEADING / 2, line, size=size, halo=True)
            y += size * LEADING

    # --- sizes ----------------------------------------------------------------------------

    def _told(self, panel: Panel) -> str:
        first, last = panel.bands[0], panel.bands[-1]
        around = " around" if panel.ring else " wide"
        twice = 2 if panel.ring else 1
        start, end = _cm(twice * (first.base[1] - first.base[0])), _cm(twice * last.width)
        width = start if start == end else f"{start} to {end}"
        told = f"{panel.part}: {width}{around}, {_cm(panel.height)} high"
        if panel.wedged:
            inside = panel.bands[0].width / panel.bands[0].loops / 2
            left, right = (
                panel.height_at(panel.left + inside),
                panel.height_at(panel.right - inside),
            )
            told += f", {_cm(left)} at its left edge, {_cm(right)} at its right"
        return told

    def _sizes(self) -> None:
        """Widths where a panel begins and ends, heights at its right, none of them twice."""
        panels = self.drawing.panels
        rightmost: dict[tuple[float, float], Panel] = {}
        for panel in panels:
            first, last = panel.bands[0], panel.bands[-1]
            away = 1 if last.y_top > first.y_base else -1
            like = abs(last.width - (first.base[1] - first.base[0])) < _SAME_CM
            below = any(_meet(o.bands[-1].y_top, o.bands[-1].top, first) for o in panels)
            above = any(_meet(last.y_top, last.top, o.bands[0]) for o in panels)
            # One width is enough for a straight piece, on the side that faces away from others.
            if not below and not (like and away < 0):
                self._width(panel, first.base, first.y_base, -away)
            if not above and (below or not like or away < 0):
                self._width(panel, last.top, last.y_top, away)
            level = (round(panel.bottom, 2), round(panel.height, 2))
            if level not in rightmost or rightmost[level].right < panel.right:
                rightmost[level] = panel
        for panel in rightmost.values():
            self._height_line(panel)

    def _width(self, panel: Panel, span: Span, y: float, away: int) -> None:
        """The width of a panel's end, outside it: above where `away` is 1, below where -1."""
        band = panel.bands[0]
        left, right = (self.x(x) for x in span)
        line = self.y(y) - away * (_STEP_MM + (_MOUTH_MM if band.ring else 0))
        self.dimension((left, line), (right, line))
        cm = (span[1] - span[0]) * (2 if band.ring else 1)
        short = f"{_cm(cm)} around" if band.ring else _cm(cm)
        loops = round(cm / band.width * band.loops / (2 if band.ring else 1))
        words = f"{short}, {counted(loops, self.craft)}"
        if len(words) * LETTER * SMALL_MM > (right - left) + 3:
            words = short
        if not self._lettering(panel):
            words = f"{panel.part}, {_rows(panel)}: {words}"
        middle, half = (left + right) / 2, len(words) * LETTER * SMALL_MM / 2
        place = (middle - half, middle + half)
        down = self._free(place, line - away * 2.0, away)
        self.told.append((place, down))
        self.text(middle, down, words, size=SMALL_MM, halo=True)

    def _free(self, place: Span, down: float, away: int) -> float:
        """Where words find room, a line or more further from the panel than other words."""
        high = SMALL_MM * LEADING
        while any(
            _lap(place, other) and abs(down - at) < high - _SAME_CM for other, at in self.told
        ):
            down -= away * high
        return down

    def _height_line(self, panel: Panel) -> None:
        x = self.x(panel.right) + 2.0
        low, high = self.y(panel.bottom), self.y(panel.bottom + panel.height)
        self.dimension((x, high), (x, low))
        words = _cm(panel.height)
        along = len(words) * LETTER * SMALL_MM < low - high
        if along:
            self.text(x + 2.2, (low + high) / 2, words, size=SMALL_MM, upright=False, halo=True)
        else:
            self.text(x + 1.4, (low + high) / 2, words, size=SMALL_MM, anchor="start", halo=True)

    # --- marks and words ------------------------------------------------------------------

    def _marks(self, marks: Sequence[Mark]) -> None:
        bands = {band.step: band for panel in self.drawing.panels for band in panel.bands}
        edges = {edge.step: edge for edge in self.drawing.edges}
        for mark in marks:
            if band := bands.get(mark.step):
                x, y = band.loop_at(mark.loop)
            elif edge := edges.get(mark.step):
                x, y = sum(edge.span) / 2, edge.y
            else:
                continue
            self.cross(self.x(x), self.y(y))

    def _foot(self) -> None:
        """The scale, and the key where something is worked."""
        y = self.height - 3.0
        seen = "; tubes lie flat" if any(panel.ring for panel in self.drawing.panels) else ""
        self.text(4, y, f"Scale 1:{self.scale:g}{seen}", size=SMALL_MM, anchor="start")
        if self.at is None:
            return
        x, y = 4.0, self.height - 8.5
        for name, style in (
            ("worked", {"fill": "url(#worked)"}),
            ("in work", {"fill": INK}),
            ("to come", {"fill": "#fff"}),
        ):
            box = {"x": num(x), "y": num(y - 1.5), "width": "5", "height": "3"}
            self.add("rect", {**box, **style, "stroke": INK, "stroke-width": "0.3"})
            self.text(x + 6.5, y, name, size=SMALL_MM, anchor="start")
            x += 9 + len(name) * LETTER * SMALL_MM + 2
        self.marker(x + 1, y)
        self.text(x + 3.5, y, "marker", size=SMALL_MM, anchor="start")
        self.cross(x + 19, y)
        self.text(x + 22.5, y, "open mark", size=SMALL_MM, anchor="start")
