"""A movement's stages side by side as SVG: thick strands, the one on top drawn last with a rim."""

import xml.etree.ElementTree as ET
from collections.abc import Sequence

from engine.draw.movement.curves import curve, meetings
from models.movement import Movement, Point, Stage, Strand, Yarn

_WIDE = 1.5
"""Width of a strand."""
_RIM = 0.5
"""What is left free on both sides of the strand on top."""
_REACH = 4.5
"""Samples on either side of a crossing that are drawn again on top."""
_MARGIN = 2.5
_GAP = 5.0
_LINE = 3.0
"""Height of a line of text."""
_LETTER = 1.2
"""Width of a letter, about."""
_NARROWEST = 28.0
"""A stage is at least so wide, for its sentence."""
INK = {
    Yarn.BELOW: "#5b6770",
    Yarn.OTHER: "#9aa5ad",
    Yarn.WORKING: "#b3541e",
    Yarn.END: "#b3541e",
}
_DASHED = {Yarn.END: "1.6 1.2"}
PAPER = "#ffffff"

Box = tuple[float, float, float, float]


def box(stages: Sequence[Stage]) -> Box:
    """Left, bottom, right and top of all strands, with a margin."""
    points = [p for stage in stages for strand in stage.strands for p in curve(strand)]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    edge = _WIDE / 2 + _MARGIN
    more = max(0.0, _NARROWEST - (max(xs) - min(xs) + 2 * edge)) / 2
    return min(xs) - edge - more, min(ys) - edge, max(xs) + edge + more, max(ys) + edge


def svg(movement: Movement, *, mirrored: bool = False) -> str:
    """The whole movement; `mirrored` for a left-handed maker. Its unit is of no length."""
    left, bottom, right, top = box(movement.stages)
    wide, high = right - left, top - bottom
    lines = [
        _broken(f"{n}. {s.sentence}", int(wide / _LETTER))
        for n, s in enumerate(movement.stages, start=1)
    ]
    below = _LINE * (max(map(len, lines)) + 0.6)
    full = len(movement.stages) * (wide + _GAP) - _GAP
    root = ET.Element(
        "svg",
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {_n(full)} {_n(high + below)}",
        role="img",
    )
    ET.SubElement(root, "title").text = movement.title
    ET.SubElement(root, "desc").text = " ".join(s.sentence for s in movement.stages)
    for n, (stage, words) in enumerate(zip(movement.stages, lines, strict=True)):
        x = n * (wide + _GAP)
        group = ET.SubElement(root, "g", transform=f"translate({_n(x)} 0)")
        across = (right, -1.0) if mirrored else (-left, 1.0)
        _stage(group, stage, across, top)
        text = ET.SubElement(group, "text", {"font-size": "2.3", "font-family": "sans-serif"})
        for row, said in enumerate(words):
            line = ET.SubElement(text, "tspan", x="0", y=_n(high + _LINE * (row + 0.8)))
            line.text = said
    return ET.tostring(root, encoding="unicode")


def _stage(group: ET.Element, stage: Stage, across: tuple[float, float], top: float) -> None:
    named = {strand.name: strand for strand in stage.strands}
    for strand in stage.strands:
        _path(group, strand, curve(strand), across, top)
    # Where strands cross, a piece of the one on top is drawn again, over a rim of paper.
    for met in sorted(meetings(stage), key=lambda m: m.over_at):
        strand = named[met.over]
        whole = curve(strand)
        first, last = max(0, int(met.over_at - _REACH)), int(met.over_at + _REACH) + 1
        piece = whole[first : last + 1]
        _path(group, strand, piece, across, top, rim=True)
        _path(group, strand, whole[max(0, first - 1) : last + 2], across, top)


def _path(
    group: ET.Element,
    strand: Strand,
    points: Sequence[Point],
    across: tuple[float, float],
    top: float,
    *,
    rim: bool = False,
) -> None:
    shift, turn = across
    way = "M" + "L".join(f"{_n(shift + turn * x)} {_n(top - y)}" for x, y, _ in points)
    look = {
        "d": way,
        "fill": "none",
        "stroke": PAPER if rim else INK[strand.yarn],
        "stroke-width": _n(_WIDE + 2 * _RIM if rim else _WIDE),
        "stroke-linejoin": "round",
        "stroke-linecap": "butt" if rim else "round",
    }
    if strand.yarn in _DASHED and not rim:
        look["stroke-dasharray"] = _DASHED[strand.yarn]
        look["stroke-linecap"] = "butt"
    ET.SubElement(group, "path", look)


def _broken(sentence: str, letters: int) -> list[str]:
    lines = [""]
    for said in sentence.split():
        if lines[-1] and len(lines[-1]) + 1 + len(said) > letters:
            lines.append("")
        lines[-1] = f"{lines[-1]} {said}".strip()
    return lines


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
