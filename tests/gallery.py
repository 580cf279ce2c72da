"""The README's gallery: `python -m tests.gallery` draws every design to scale in one small SVG.

Each stands in a box of its own, as large as the box allows; what is drawn is the outline of its
parts, as `spokenrow picture` lays them out. After them come pieces loop by loop, as `spokenrow
chart` has them: blocks of colour, and stitch patterns over shaped parts.
"""

from itertools import groupby
from pathlib import Path
from xml.sax.saxutils import escape

from engine.designs import DESIGNS
from engine.draw.chart import EMPTY, chart
from engine.draw.schematic import layout
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from models.script import Craft

FILE = Path(__file__).parent / "pictures" / "gallery.svg"
_WIDE, _HIGH, _ACROSS, _ROOM = 150, 160, 5, 110
_FILLS = ("#577", "#bcc9", "#a86", "#864")
PIECES = (
    ("Throw in blocks", {"design": "throw", "gauge": "5 x 3.75",
                         "stripes": "cream | sand | cream 12, sand | cream | sand 12"}, "throw"),
    ("Sleeve in basket", {"design": "pullover", "gauge": "8 x 7", "stitch": "basket"},
     "left sleeve"),
    ("Cap in moss", {"design": "cap", "gauge": "8 x 7", "stitch": "double-moss"}, "cap"),
    ("Shawl in rib", {"design": "shawl", "gauge": "5 x 3.75", "stitch": "rib-2x2"}, "shawl"),
)  # fmt: skip
"""What stands loop by loop: title, what is asked for, and the part that is drawn."""
FROM_ABOVE = {"raglan", "socks"}
"""Begun at the top; the others stand on their foundation."""
_STYLE = (
    "<style>text{font:12px sans-serif;text-anchor:middle;fill:#777}"
    "path{fill:#8aa8;stroke:#577;stroke-width:1.2;stroke-linejoin:round}</style>"
)


def box(name: str, x: int, y: int) -> str:
    """One design in its box, its title below."""
    drawing = layout(script_for(make_plan(name, read_gauge(usual_gauge(name)))))
    turned = 1 if name in FROM_ABOVE else -1
    outlines = [[(px, turned * py) for px, py in panel.outline] for panel in drawing.panels]
    points = [point for outline in outlines for point in outline]
    left, low = (min(p[i] for p in points) for i in (0, 1))
    wide, high = (max(p[i] for p in points) - least for i, least in ((0, left), (1, low)))
    scale = _ROOM / max(wide, high)
    dx, dy = x + (_WIDE - wide * scale) / 2, y + 10 + (_ROOM - high * scale) / 2
    lines = []
    for outline in outlines:
        corners = [((px - left) * scale + dx, (py - low) * scale + dy) for px, py in outline]
        lines.append("M" + "L".join(f"{a:.0f} {b:.0f}" for a, b in _few(corners)) + "Z")
    title = escape(DESIGNS[name].info.title)
    text = f'<text x="{x + _WIDE // 2}" y="{y + _ROOM + 30}">{title}</text>'
    return f'<path d="{"".join(lines)}"/>{text}'


def piece(title: str, wishes: dict[str, str], part: str, x: int, y: int) -> str:
    """One part loop by loop: a dark cell is knit, a light one purled, or each has its colour."""
    gauge, stitch, stripes = wishes["gauge"], wishes.get("stitch", ""), wishes.get("stripes", "")
    plan = make_plan(
        wishes["design"], read_gauge(gauge), craft=Craft.LOOP, stitch=stitch, stripes=stripes
    )
    drawn = chart(script_for(plan), part)
    rows = [row for row in drawn.rows if row.label.isdigit()][::-1]
    ratio = plan.gauge.loops_per_10cm / plan.gauge.rows_per_10cm
    side = min(_ROOM / drawn.columns, _ROOM / len(rows) / ratio)
    dx = x + (_WIDE - side * drawn.columns) / 2
    dy = y + 10 + (_ROOM - side * ratio * len(rows)) / 2
    paths: dict[str, list[str]] = {}
    for up, row in enumerate(rows):
        at = 0
        for symbol, run in groupby(row.cells):
            wide = len(list(run))
            if symbol != EMPTY:
                left, top = dx + at * side, dy + up * side * ratio
                across, high = f"{wide * side:.1f}", f"{side * ratio:.1f}"
                shape = f"M{left:.1f} {top:.1f}h{across}v{high}h-{across}z"
                paths.setdefault(symbol, []).append(shape)
            at += wide
    cells = [
        f'<path style="fill:{_FILLS[i % len(_FILLS)]};stroke:none" d="{"".join(shapes)}"/>'
        for i, (_, shapes) in enumerate(sorted(paths.items(), key=lambda one: -len(one[1])))
    ]
    text = f'<text x="{x + _WIDE // 2}" y="{y + _ROOM + 30}">{escape(title)}</text>'
    return "".join(cells) + text


def _few(corners: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Without corners that would be drawn on the same point as the one before."""
    kept = corners[:1]
    for corner in corners[1:]:
        if round(corner[0]) != round(kept[-1][0]) or round(corner[1]) != round(kept[-1][1]):
            kept.append(corner)
    return kept


def gallery() -> str:
    """The whole picture."""
    names = [name for name in DESIGNS if name != "practice"]
    boxes = [box(n, i % _ACROSS * _WIDE, i // _ACROSS * _HIGH) for i, n in enumerate(names)]
    for i, (title, wishes, part) in enumerate(PIECES, len(names)):
        boxes.append(piece(title, wishes, part, i % _ACROSS * _WIDE, i // _ACROSS * _HIGH))
    size = f"{_ACROSS * _WIDE} {-(-(len(names) + len(PIECES)) // _ACROSS) * _HIGH}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" role="img" '
        f'aria-label="The designs, drawn to scale">{_STYLE}' + "\n".join(boxes) + "</svg>\n"
    )


if __name__ == "__main__":
    FILE.write_text(gallery(), encoding="utf-8")
    print(FILE)
