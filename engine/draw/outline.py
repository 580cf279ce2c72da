"""The finished thing laid flat, its edging drawn: what a pattern shows beside its measurements.

Every place follows from the loops and rows of the script, and not from the measurements that a
design tells: so the one can be held against the other. Each measurement has a letter.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from math import dist

from engine.draw.paper import INK, PALE, TEXT_MM, Paper, Point, num
from models.schematic import Drawing
from models.script import RowScript, Step

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class Shape:
    """A piece of cloth, or of its edging."""

    points: tuple[Point, ...]
    edging: bool = False


@dataclass(frozen=True)
class Outline:
    """Shapes and measured lines, cm; x from the middle, y from the lower edge."""

    shapes: tuple[Shape, ...]
    lines: dict[str, tuple[Point, ...]]
    """By the name of the finished measure: the line along which the tape lies."""
    doubled: frozenset[str] = frozenset()
    """Measures around, of which the drawing shows the half."""

    def cm(self, name: str) -> float:
        """What the drawing measures, cm."""
        along = sum(dist(a, b) for a, b in pairwise(self.lines[name]))
        return along * (2 if name in self.doubled else 1)


def letters(script: RowScript) -> tuple[tuple[str, str], ...]:
    """The finished measures by their letters: A, B, C …"""
    return tuple(zip(_LETTERS, script.finished_cm, strict=False))


def outline(script: RowScript) -> Outline | None:
    """The finished outline; None for a thing that is neither a garment nor a plain shape."""
    names = set(script.finished_cm)
    if "back width" in names:
        return _garment(script)
    if names in ({"width", "height"}, {"around", "height"}):
        return _plain(script)
    return None


def _rows(script: RowScript, *parts: str) -> list[Step]:
    return [step for step in script.steps if step.part in parts and step.counts_row]


def _plain(script: RowScript) -> Outline | None:
    """A rectangle, or a tube laid flat."""
    rows = [step for step in script.steps if step.counts_row]
    widths = {step.loops_after for step in rows}
    if len(widths) != 1:
        return None
    around = "around" in script.finished_cm
    wide = widths.pop() / script.gauge.loops_per_cm / (2 if around else 1)
    high = len(rows) / script.gauge.rows_per_cm
    corners = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    across = "around" if around else "width"
    return Outline(
        (Shape(corners),),
        {across: ((0.0, 0.0), (wide, 0.0)), "height": ((0.0, 0.0), (0.0, high))},
        frozenset({"around"}),
    )


@dataclass(frozen=True)
class _Cloth:
    """A garment's loops and rows as centimetres."""

    half: float
    """Half of what lies across below the armholes, edging and overlap counted."""
    back: float
    fronts: float
    """Both, closed; a loop or so other than the back where the sum leaves one over."""
    low: float
    """From the lower edge to the underarm."""
    high: float
    """From the lower edge to the shoulder."""
    neck: float
    """Across the back neck, as it is bound off."""
    slope: float
    """Height over which the fronts are narrowed."""
    edging: float
    overlap: float
    strip: float


def _measured(script: RowScript) -> _Cloth:
    across, up = script.gauge.loops_per_cm, script.gauge.rows_per_cm
    laid = script.steps[0].loops_after
    front, back = _rows(script, "right front"), _rows(script, "back")
    shaped = [step.row or 0 for step in front if step.loops_after < step.loops_before]
    low = len(_rows(script, "hem", "body")) / up
    shoulder, panel = front[-1].loops_after, shaped and front[0].loops_after + 1
    panel = panel or shoulder
    edging = len(_rows(script, "edging")) / up
    strip = (laid - back[-1].loops_after - 2 * panel) / 2 / across
    around = laid / across + 2 * edging
    overlap = round(max(0.0, around - script.finished_cm["around"]), 1)
    return _Cloth(
        half=(around - overlap) / 2,
        back=back[-1].loops_after / across,
        fronts=2 * (panel / across + edging) - overlap,
        low=low,
        high=low + len(back) / up,
        neck=(back[-1].loops_after - 2 * shoulder) / across,
        slope=min(len(front), 2 * len(shaped)) / up,
        edging=edging,
        overlap=overlap,
        strip=strip,
    )


def _garment(script: RowScript) -> Outline:
    c = _measured(script)
    lap, side = c.overlap / 2, c.half / 2
    shapes: list[Shape] = []
    for way in (-1.0, 1.0):
        raw = _front_edge(c, way)
        body = [
            *raw,
            (way * c.back / 2, c.high),
            (way * c.back / 2, c.low),
            (way * side, c.low),
            (way * side, 0.0),
        ]
        shapes.append(Shape(tuple(body)))
        inner = [(x - way * c.edging, y) for x, y in raw]
        shapes.append(Shape((*raw, *reversed(inner)), edging=True))
    neck = c.neck / 2
    top = ((-neck, c.high), (neck, c.high), (neck, c.high + c.edging), (-neck, c.high + c.edging))
    shapes.append(Shape(top, edging=True))
    inside = neck - c.edging
    lines: dict[str, tuple[Point, ...]] = {
        "around": ((-side, 0.0), (side, 0.0)),
        "body height": ((-side, 0.0), (-side, c.low)),
        "armhole depth": ((-c.back / 2, c.low), (-c.back / 2, c.high)),
        "length": ((-c.back / 2, 0.0), (-c.back / 2, c.high)),
        "back width": ((-c.back / 2, (c.low + c.high) / 2), (c.back / 2, (c.low + c.high) / 2)),
        "fronts": _across_fronts(c),
        "back neck": ((-inside, c.high), (inside, c.high)),
        "shoulder": ((inside, c.high), (c.back / 2, c.high)),
        "underarm": ((c.back / 2, c.low), (c.back / 2 + c.strip, c.low)),
        "edging": ((-lap, c.low / 3), (c.edging - lap, c.low / 3)),
    }
    doubled = {"around"}
    sleeve = _rows(script, "right sleeve", "right cuff") or _rows(script, "right armband")
    if sleeve:
        worn = "upper sleeve" if "upper sleeve" in script.finished_cm else "armhole around"
        limb, more = _limb(script, c, sleeve, worn)
        shapes += limb
        lines |= more
        doubled |= {worn, "cuff"}
    return Outline(
        tuple(shapes),
        {name: lines[name] for name in script.finished_cm if name in lines},
        frozenset(doubled),
    )


def _front_edge(c: _Cloth, way: float) -> list[Point]:
    """The raw edge of a front from the hem to the shoulder: straight, sloping, straight."""
    start = c.edging - c.overlap / 2
    return [
        (way * start, 0.0),
        (way * start, c.low),
        (way * c.neck / 2, c.low + c.slope),
        (way * c.neck / 2, c.high),
    ]


def _across_fronts(c: _Cloth) -> tuple[Point, ...]:
    """From side to side over both fronts, below the armholes, without the strips."""
    return ((-c.fronts / 2, c.low * 0.6), (c.fronts / 2, c.low * 0.6))


def _limb(
    script: RowScript, c: _Cloth, rounds: list[Step], worn: str
) -> tuple[list[Shape], dict[str, tuple[Point, ...]]]:
    """Both sleeves, or bands, laid flat from the armholes; the tape's lines are at the right."""
    across, up = script.gauge.loops_per_cm, script.gauge.rows_per_cm
    picked = next(
        s for s in script.steps if s.part == rounds[0].part and s.loops_after and not s.counts_row
    )
    spare = sum(o.times for o in picked.operations if o.stitch == "resume")
    wide, end = (picked.loops_after - spare) / across / 2, rounds[-1].loops_after / across / 2
    long, at = len(rounds) / up, c.back / 2
    shapes = [
        Shape(
            (
                (way * at, c.high),
                (way * (at + long), c.high),
                (way * (at + long), c.high - end),
                (way * at, c.high - wide),
            ),
            edging=worn == "armhole around",
        )
        for way in (-1.0, 1.0)
    ]
    lines: dict[str, tuple[Point, ...]] = {
        worn: ((at, c.high - wide), (at, c.high)),
        "sleeve length": ((at, c.high), (at + long, c.high)),
        "centre back to cuff": ((0.0, c.high + c.edging), (at + long, c.high + c.edging)),
        "cuff": ((at + long, c.high - end), (at + long, c.high)),
    }
    return shapes, lines


# --- on paper ----------------------------------------------------------------------------------


def outline_svg(script: RowScript) -> str:
    """The outline as an SVG document, its unit the millimetre of paper; empty where none is."""
    found = outline(script)
    if found is None:
        return ""
    import xml.etree.ElementTree as ET

    paper, x0 = _paper(found)
    ET.SubElement(paper.root, "title").text = f"{script.title}, finished"
    for shape in found.shapes:
        fill = "#e4e4e4" if shape.edging else "#fff"
        points = [(x - x0, y) for x, y in shape.points]
        paper.shape(points, fill=fill, stroke=INK, **{"stroke-width": "0.3"})
    for letter, name in letters(script):
        if name in found.lines:
            _tape(paper, [(x - x0, y) for x, y in found.lines[name]], letter)
    return ET.tostring(paper.root, encoding="unicode")


def _paper(found: Outline) -> tuple[Paper, float]:
    xs = [x for shape in found.shapes for x, _ in shape.points]
    ys = [y for shape in found.shapes for _, y in shape.points]
    drawing = Drawing(
        width=max(xs) - min(xs), height=max(ys) - min(ys), panels=(), edges=(), spots=()
    )
    return Paper(drawing, foot_mm=0.0), min(xs)


def _tape(paper: Paper, along: Iterable[Point], letter: str) -> None:
    """A measured line with ends, and its letter in the middle."""
    places = [(paper.x(x), paper.y(y)) for x, y in along]
    for one, other in pairwise(places):
        paper.stroke(one, other, INK, 0.18)
    for x, y in (places[0], places[-1]):
        paper.add("circle", {"cx": num(x), "cy": num(y), "r": "0.5", "fill": INK})
    (x1, y1), (x2, y2) = places[0], places[-1]
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    radius = TEXT_MM * 0.95
    spot = {"cx": num(middle[0]), "cy": num(middle[1]), "r": num(radius), "fill": "#fff"}
    paper.add("circle", {**spot, "stroke": PALE, "stroke-width": "0.2"})
    paper.text(*middle, letter, size=TEXT_MM * 1.4)
