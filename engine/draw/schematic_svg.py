"""The drawing as SVG, in ink for paper: to a stated scale, with its sizes in cm.

Black and greys only. Worked fabric is hatched, fabric to come is blank, the row in work is solid.
"""

import xml.etree.ElementTree as ET
from collections.abc import Iterable, Sequence

from engine.script.wording import counted
from models.schematic import Band, Drawing, Panel, Span
from models.script import Craft, Direction
from models.state import Mark
from models.text import legible

_PAPER_MM = (155.0, 165.0)
"""What the drawing itself may take of an A4 or letter sheet that it shares with its words."""
_SCALES = (1, 2, 2.5, 4, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)
_MARGIN_MM = 13.0
"""Around the drawing, for its sizes."""
_TEXT_MM = 3.2
_SMALL_MM = 2.6
_LEADING = 1.2
_LETTER = 0.56
"""Mean width of a letter over its height (common practice, no source)."""
_ROW_LINE_MM = 0.9
"""Rows are drawn as lines where they are at least that high."""
_STEP_MM = 2.6
"""From a panel to the line of its size."""
_MOUTH_MM = 1.4
"""How far the open end of a tube bulges."""
_SAME_CM = 0.01
_Point = tuple[float, float]
_INK, _GREY, _PALE = "#111", "#777", "#ccc"


def scale_of(drawing: Drawing) -> float:
    """How many times smaller than life the drawing is on paper."""
    needed = max(10 * drawing.width / _PAPER_MM[0], 10 * drawing.height / _PAPER_MM[1])
    return next((scale for scale in _SCALES if scale >= needed), needed)


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


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _cm(value: float) -> str:
    return f"{round(value, 1):g} cm"


def _rows(panel: Panel) -> str:
    count = len(panel.bands)
    return f"{count} {'round' if panel.ring else 'row'}{'' if count == 1 else 's'}"


def _meet(y: float, top: Span, first: Band) -> bool:
    """Whether a panel that begins with `first` stands on an end at `y`."""
    return (
        abs(y - first.y_base) < _SAME_CM
        and top[0] < first.base[1] - _SAME_CM
        and first.base[0] + _SAME_CM < top[1]
    )


class _Sheet:
    def __init__(self, drawing: Drawing, title: str, craft: Craft, at: int | None) -> None:
        self.drawing, self.title, self.craft, self.at = drawing, title, craft, at
        self.scale = scale_of(drawing)
        self.mm = 10 / self.scale
        """Millimetres of paper to a centimetre of fabric."""
        self.key_mm = 1.0 if at is None else 8.0
        self.width = max(drawing.width * self.mm + 2 * _MARGIN_MM, 90.0)
        self.left = (self.width - drawing.width * self.mm) / 2
        self.height = drawing.height * self.mm + 2 * _MARGIN_MM + self.key_mm
        size = {"width": f"{_n(self.width)}mm", "height": f"{_n(self.height)}mm"}
        self.root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                **size,
                "viewBox": f"0 0 {_n(self.width)} {_n(self.height)}",
                "role": "img",
                "font-family": "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif",
                "font-size": _n(_TEXT_MM),
                "fill": _INK,
            },
        )

    def draw(self, marks: Sequence[Mark]) -> str:
        self._add("title", text=f"{self.title}, drawn to scale")
        self._add("desc", text="; ".join(map(self._told, self.drawing.panels)))
        self._hatch()
        for panel in self.drawing.panels:
            self._panel(panel)
        for edge in self.drawing.edges:
            if self.at is not None and edge.step == self.at + 1:
                self._level(edge.span, edge.y, _INK, 1.1)
        for panel in self.drawing.panels:
            self._row_in_work(panel)
            self._label(panel)
        self._sizes()
        for spot in self.drawing.spots:
            gone = self.at is not None and (
                spot.step > self.at or (spot.until is not None and spot.until <= self.at)
            )
            if not gone:
                self._marker(self._x(spot.x), self._y(spot.y))
        self._marks(marks)
        self._foot()
        ET.indent(self.root, " ")
        return ET.tostring(self.root, encoding="unicode") + "\n"

    # --- paper ----------------------------------------------------------------------------

    def _x(self, cm: float) -> float:
        return self.left + cm * self.mm

    def _y(self, cm: float) -> float:
        return _MARGIN_MM + (self.drawing.height - cm) * self.mm

    def _add(
        self, tag: str, attributes: dict[str, str] | None = None, text: str | None = None
    ) -> ET.Element:
        element = ET.SubElement(self.root, tag, attributes or {})
        element.text = text and legible(text)
        return element

    def _text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = _TEXT_MM,
        anchor: str = "middle",
        upright: bool = True,
        halo: bool = False,
    ) -> None:
        """A line of text around (x, y) on paper, mm; not upright, it reads from below."""
        attributes = {
            "x": _n(x),
            "y": _n(y + size * 0.35),
            "text-anchor": anchor,
            "font-size": _n(size),
        }
        if not upright:
            attributes["transform"] = f"rotate(-90 {_n(x)} {_n(y)})"
        if halo:
            under = dict(attributes, stroke="#fff", fill="#fff")
            under["stroke-width"] = "1.1"
            under["stroke-linejoin"] = "round"
            self._add("text", {**under, "aria-hidden": "true"}, text)
        self._add("text", attributes, text)

    def _stroke(self, start: _Point, end: _Point, ink: str, pen: float) -> None:
        """A line between two places on paper, mm."""
        (x1, y1), (x2, y2) = start, end
        self._add(
            "line",
            {
                "x1": _n(x1),
                "y1": _n(y1),
                "x2": _n(x2),
                "y2": _n(y2),
                "stroke": ink,
                "stroke-width": _n(pen),
            },
        )

    def _level(self, span: Span, y: float, ink: str, pen: float) -> None:
        """A level line across the drawing, cm."""
        left, right = map(self._x, span)
        self._stroke((left, self._y(y)), (right, self._y(y)), ink, pen)

    def _hatch(self) -> None:
        pattern = ET.SubElement(
            self._add("defs"),
            "pattern",
            {
                "id": "worked",
                "width": "1.4",
                "height": "1.4",
                "patternUnits": "userSpaceOnUse",
                "patternTransform": "rotate(45)",
            },
        )
        ET.SubElement(pattern, "rect", {"width": "1.4", "height": "1.4", "fill": "#ececec"})
        ET.SubElement(pattern, "rect", {"width": "0.35", "height": "1.4", "fill": "#8a8a8a"})

    # --- fabric ---------------------------------------------------------------------------

    def _shape(self, points: Iterable[tuple[float, float]], **style: str) -> None:
        path = " ".join(f"{_n(self._x(x))},{_n(self._y(y))}" for x, y in points)
        self._add("polygon", {"points": path, **style})

    def _panel(self, panel: Panel) -> None:
        self._shape(panel.outline, fill="#fff")
        worked = [band for band in panel.bands if self.at is not None and band.step <= self.at]
        if worked:
            done = panel.model_copy(update={"bands": tuple(worked)})
            self._shape(done.outline, fill="url(#worked)")
        if abs(panel.bands[0].y_top - panel.bands[0].y_base) * self.mm >= _ROW_LINE_MM:
            for band in panel.bands[:-1]:
                self._level(band.top, band.y_top, _PALE, 0.15)
        outline = {"fill": "none", "stroke": _INK, "stroke-linejoin": "round"}
        self._shape(panel.outline, **outline, **{"stroke-width": "0.45"})
        if panel.ring:
            self._mouth(panel.bands[-1])

    def _mouth(self, band: Band) -> None:
        """The open end of a tube, so that it is not taken for a flat piece."""
        left, right = (self._x(x) for x in band.top)
        y = self._y(band.y_top)
        sweep = "1" if band.y_top > band.y_base else "0"
        dip = min(_MOUTH_MM, (right - left) / 6)
        self._add(
            "path",
            {
                "d": f"M{_n(left)} {_n(y)} A{_n((right - left) / 2)} {_n(dip)} 0 0 {sweep} "
                f"{_n(right)} {_n(y)}",
                "fill": "none",
                "stroke": _INK,
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
                self._shape(corners, fill=_INK, stroke=_INK, **{"stroke-width": "0.6"})
                self._arrow(band, "#fff", 1.0)
        if self.at is None:
            self._arrow(panel.bands[0], _GREY, 0.8)

    def _arrow(self, band: Band, ink: str, size: float) -> None:
        """The way the hand goes, inside the row."""
        y = self._y((band.y_base + band.y_top) / 2)
        left, right = self._x(band.top[0]), self._x(band.top[1])
        if self.at is not None and abs(band.y_top - band.y_base) * self.mm < 1.6:
            ink = _INK  # a thin row is no ground for a white arrow: it goes below
            y += 2.2 if band.y_top > band.y_base else -2.2
        length = min(9.0, (right - left) * 0.6)
        if band.direction is Direction.LEFT_TO_RIGHT:
            tail = left + 1.5
            tip = tail + length
        else:
            tail = right - 1.5
            tip = tail - length
        back = 1.6 if tip < tail else -1.6
        self._stroke((tail, y), (tip + back / 2, y), ink, 0.35 * size)
        self._add(
            "polygon",
            {
                "points": f"{_n(tip)},{_n(y)} {_n(tip + back)},{_n(y - 0.8)} "
                f"{_n(tip + back)},{_n(y + 0.8)}",
                "fill": ink,
            },
        )

    def _lettering(self, panel: Panel) -> list[tuple[str, float]]:
        """What fits into the panel of its name and its rows: lines with their height in mm."""
        room = panel.bands[len(panel.bands) // 2].width * self.mm - 1
        name, rows = panel.part, _rows(panel)
        choices = (
            [(name, _TEXT_MM), (rows, _SMALL_MM)],
            [*((word, _TEXT_MM) for word in name.split()), (rows, _SMALL_MM)],
            [(f"{name}, {rows}", _SMALL_MM)],
            [(word, _SMALL_MM) for word in name.split()],
            [(name, _SMALL_MM)],
        )
        for lines in choices:
            wide = max(len(line) * size * _LETTER for line, size in lines)
            if wide <= room and sum(size for _, size in lines) * _LEADING <= panel.height * self.mm:
                return lines
        return []

    def _label(self, panel: Panel) -> None:
        middle = panel.bands[len(panel.bands) // 2]
        x = self._x(sum(middle.base) / 2)
        y = self._y(panel.bottom + panel.height / 2)
        lines = self._lettering(panel)
        y -= sum(size for _, size in lines) * _LEADING / 2
        for line, size in lines:
            self._text(x, y + size * _LEADING / 2, line, size=size, halo=True)
            y += size * _LEADING

    # --- sizes ----------------------------------------------------------------------------

    def _told(self, panel: Panel) -> str:
        first, last = panel.bands[0], panel.bands[-1]
        around = " around" if panel.ring else " wide"
        twice = 2 if panel.ring else 1
        start, end = _cm(twice * (first.base[1] - first.base[0])), _cm(twice * last.width)
        width = start if start == end else f"{start} to {end}"
        return f"{panel.part}: {width}{around}, {_cm(panel.height)} high"

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
        left, right = (self._x(x) for x in span)
        line = self._y(y) - away * (_STEP_MM + (_MOUTH_MM if band.ring else 0))
        self._dimension((left, line), (right, line))
        cm = (span[1] - span[0]) * (2 if band.ring else 1)
        short = f"{_cm(cm)} around" if band.ring else _cm(cm)
        loops = round(cm / band.width * band.loops / (2 if band.ring else 1))
        words = f"{short}, {counted(loops, self.craft)}"
        if len(words) * _LETTER * _SMALL_MM > (right - left) + 3:
            words = short
        if not self._lettering(panel):
            words = f"{panel.part}, {_rows(panel)}: {words}"
        self._text((left + right) / 2, line - away * 2.0, words, size=_SMALL_MM, halo=True)

    def _height_line(self, panel: Panel) -> None:
        x = self._x(panel.right) + 2.0
        low, high = self._y(panel.bottom), self._y(panel.bottom + panel.height)
        self._dimension((x, high), (x, low))
        words = _cm(panel.height)
        along = len(words) * _LETTER * _SMALL_MM < low - high
        if along:
            self._text(x + 2.2, (low + high) / 2, words, size=_SMALL_MM, upright=False, halo=True)
        else:
            self._text(x + 1.4, (low + high) / 2, words, size=_SMALL_MM, anchor="start", halo=True)

    def _dimension(self, start: _Point, end: _Point) -> None:
        self._stroke(start, end, _GREY, 0.2)
        across, down = (0.0, 0.9) if start[1] == end[1] else (0.9, 0.0)
        for x, y in (start, end):
            self._stroke((x - across, y - down), (x + across, y + down), _GREY, 0.2)

    # --- marks and words ------------------------------------------------------------------

    def _marker(self, x: float, y: float) -> None:
        points = f"{_n(x)},{_n(y - 1.6)} {_n(x + 1.1)},{_n(y)} {_n(x)},{_n(y + 1.6)} "
        points += f"{_n(x - 1.1)},{_n(y)}"
        self._add(
            "polygon",
            {"points": points, "fill": "#fff", "stroke": _INK, "stroke-width": "0.4"},
        )

    def _cross(self, x: float, y: float) -> None:
        self._add(
            "circle",
            {
                "cx": _n(x),
                "cy": _n(y),
                "r": "2",
                "fill": "#fff",
                "stroke": _INK,
                "stroke-width": "0.4",
            },
        )
        self._stroke((x - 1.1, y - 1.1), (x + 1.1, y + 1.1), _INK, 0.6)
        self._stroke((x - 1.1, y + 1.1), (x + 1.1, y - 1.1), _INK, 0.6)

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
            self._cross(self._x(x), self._y(y))

    def _foot(self) -> None:
        """The scale, and the key where something is worked."""
        y = self.height - 3.0
        seen = "; tubes lie flat" if any(panel.ring for panel in self.drawing.panels) else ""
        self._text(4, y, f"Scale 1:{self.scale:g}{seen}", size=_SMALL_MM, anchor="start")
        if self.at is None:
            return
        x, y = 4.0, self.height - 8.5
        for name, style in (
            ("worked", {"fill": "url(#worked)"}),
            ("in work", {"fill": _INK}),
            ("to come", {"fill": "#fff"}),
        ):
            box = {"x": _n(x), "y": _n(y - 1.5), "width": "5", "height": "3"}
            self._add("rect", {**box, **style, "stroke": _INK, "stroke-width": "0.3"})
            self._text(x + 6.5, y, name, size=_SMALL_MM, anchor="start")
            x += 9 + len(name) * _LETTER * _SMALL_MM + 2
        self._marker(x + 1, y)
        self._text(x + 3.5, y, "marker", size=_SMALL_MM, anchor="start")
        self._cross(x + 19, y)
        self._text(x + 22.5, y, "open mark", size=_SMALL_MM, anchor="start")
