"""Ink on paper: an SVG document to a scale, and the strokes that drawings are made of."""

import xml.etree.ElementTree as ET
from collections.abc import Iterable

from models.schematic import Drawing, Span
from models.text import legible

_PAPER_MM = (155.0, 165.0)
"""What the drawing itself may take of an A4 or letter sheet that it shares with its words."""
_SCALES = (1, 2, 2.5, 4, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)
MARGIN_MM = 13.0
"""Around the drawing, for its sizes."""
TEXT_MM = 3.2
SMALL_MM = 2.6
LEADING = 1.2
LETTER = 0.56
"""Mean width of a letter over its height (common practice, no source)."""
Point = tuple[float, float]
INK, GREY, PALE = "#111", "#777", "#ccc"


def scale_of(width: float, height: float) -> float:
    """How many times smaller than life a drawing of so many cm is on paper."""
    needed = max(10 * width / _PAPER_MM[0], 10 * height / _PAPER_MM[1])
    return next((scale for scale in _SCALES if scale >= needed), needed)


def num(value: float) -> str:
    """A length as it stands in the document, to a hundredth of a millimetre."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


class Paper:
    """A sheet with a drawing's coordinates: cm of fabric in, mm of paper out."""

    def __init__(self, drawing: Drawing, foot_mm: float) -> None:
        self.drawing = drawing
        self.scale = scale_of(drawing.width, drawing.height)
        self.mm = 10 / self.scale
        """Millimetres of paper to a centimetre of fabric."""
        self.width = max(drawing.width * self.mm + 2 * MARGIN_MM, 90.0)
        self.left = (self.width - drawing.width * self.mm) / 2
        self.height = drawing.height * self.mm + 2 * MARGIN_MM + foot_mm
        size = {"width": f"{num(self.width)}mm", "height": f"{num(self.height)}mm"}
        self.root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                **size,
                "viewBox": f"0 0 {num(self.width)} {num(self.height)}",
                "role": "img",
                "font-family": "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif",
                "font-size": num(TEXT_MM),
                "fill": INK,
            },
        )

    def x(self, cm: float) -> float:
        """Where a place of the drawing lies across the sheet, mm."""
        return self.left + cm * self.mm

    def y(self, cm: float) -> float:
        """Where it lies down the sheet, mm."""
        return MARGIN_MM + (self.drawing.height - cm) * self.mm

    def add(
        self, tag: str, attributes: dict[str, str] | None = None, text: str | None = None
    ) -> ET.Element:
        """A new element of the document."""
        element = ET.SubElement(self.root, tag, attributes or {})
        element.text = text and legible(text)
        return element

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = TEXT_MM,
        anchor: str = "middle",
        upright: bool = True,
        halo: bool = False,
    ) -> None:
        """A line of text around (x, y) on paper, mm; not upright, it reads from below."""
        attributes = {
            "x": num(x),
            "y": num(y + size * 0.35),
            "text-anchor": anchor,
            "font-size": num(size),
        }
        if not upright:
            attributes["transform"] = f"rotate(-90 {num(x)} {num(y)})"
        if halo:
            under = dict(attributes, stroke="#fff", fill="#fff")
            under["stroke-width"] = "1.1"
            under["stroke-linejoin"] = "round"
            self.add("text", {**under, "aria-hidden": "true"}, text)
        self.add("text", attributes, text)

    def stroke(self, start: Point, end: Point, ink: str, pen: float) -> None:
        """A line between two places on paper, mm."""
        (x1, y1), (x2, y2) = start, end
        self.add(
            "line",
            {
                "x1": num(x1),
                "y1": num(y1),
                "x2": num(x2),
                "y2": num(y2),
                "stroke": ink,
                "stroke-width": num(pen),
            },
        )

    def level(self, span: Span, y: float, ink: str, pen: float) -> None:
        """A level line across the drawing, cm."""
        left, right = map(self.x, span)
        self.stroke((left, self.y(y)), (right, self.y(y)), ink, pen)

    def hatch(self) -> None:
        """The pattern of worked fabric, to fill shapes with."""
        pattern = ET.SubElement(
            self.add("defs"),
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

    def shape(self, points: Iterable[tuple[float, float]], **style: str) -> None:
        """A polygon through places of the drawing, cm."""
        path = " ".join(f"{num(self.x(x))},{num(self.y(y))}" for x, y in points)
        self.add("polygon", {"points": path, **style})

    def dimension(self, start: Point, end: Point) -> None:
        """The line of a measurement, with its ends."""
        self.stroke(start, end, GREY, 0.2)
        across, down = (0.0, 0.9) if start[1] == end[1] else (0.9, 0.0)
        for x, y in (start, end):
            self.stroke((x - across, y - down), (x + across, y + down), GREY, 0.2)

    def marker(self, x: float, y: float) -> None:
        """The sign of a stitch marker."""
        points = f"{num(x)},{num(y - 1.6)} {num(x + 1.1)},{num(y)} {num(x)},{num(y + 1.6)} "
        points += f"{num(x - 1.1)},{num(y)}"
        self.add(
            "polygon",
            {"points": points, "fill": "#fff", "stroke": INK, "stroke-width": "0.4"},
        )

    def cross(self, x: float, y: float) -> None:
        """The sign of an open mark."""
        self.add(
            "circle",
            {
                "cx": num(x),
                "cy": num(y),
                "r": "2",
                "fill": "#fff",
                "stroke": INK,
                "stroke-width": "0.4",
            },
        )
        self.stroke((x - 1.1, y - 1.1), (x + 1.1, y + 1.1), INK, 0.6)
        self.stroke((x - 1.1, y + 1.1), (x + 1.1, y - 1.1), INK, 0.6)
