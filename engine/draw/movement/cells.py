"""A stage of a movement in a terminal's cells: dots of braille, eight to a cell.

Braille patterns are Unicode's, U+2800 to U+28FF. Strands are painted from the farthest to the
nearest, each with a rim left free, so that it is seen which lies over which.
"""

from collections.abc import Iterator
from itertools import pairwise

from engine.draw.movement.curves import curve
from models.movement import Stage, Yarn

Cell = tuple[str, Yarn | None]
"""One character, and the yarn that it shows."""
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of a cell's dots, by row and column (Unicode, "Braille Patterns")."""
_THICK, _RIM = 1.5, 1.3
"""In the strands' own measure: width, and what is left free on either side."""
_OWN = 14
"""Samples of one strand within which it leaves itself no rim."""
_FINE = 2
"""Places painted for each piece of a curve: so that no gap shows at any size."""

Box = tuple[float, float, float, float]


def cells(
    stage: Stage, box: Box, width: int, height: int, *, mirrored: bool = False
) -> list[list[Cell]]:
    """The stage in `height` lines of `width` cells, as large as it can be, in the middle.

    `box` (left, bottom, right, top) is that of all stages, so that they have one size.
    """
    left, bottom, right, top = box
    scale = min(2 * width / (right - left), 4 * height / (top - bottom))
    if width < 1 or height < 1 or scale <= 0:
        return []
    across = (2 * width - scale * (right - left)) / 2
    down = (4 * height - scale * (top - bottom)) / 2
    grid: dict[tuple[int, int], tuple[str, int, Yarn]] = {}
    for x, y, name, at, yarn in _painted(stage):
        gap = yarn is Yarn.END and (at // 9) % 2 == 1
        px = across + scale * ((right - x) if mirrored else (x - left))
        py = down + scale * (top - y)
        for dot, near in _disc(px, py, scale):
            was = grid.get(dot)
            if near:
                if gap:
                    grid.pop(dot, None)
                else:
                    grid[dot] = (name, at, yarn)
            elif was and (was[0] != name or abs(was[1] - at) > _OWN):
                del grid[dot]
    return [[_cell(grid, column, row) for column in range(width)] for row in range(height)]


def _painted(stage: Stage) -> list[tuple[float, float, str, int, Yarn]]:
    """All points to paint, the farthest first."""
    found = []
    for strand in stage.strands:
        whole = curve(strand)
        for at, (a, b) in enumerate(pairwise(whole)):
            for step in range(_FINE):
                share = step / _FINE
                x, y, z = (p + (q - p) * share for p, q in zip(a, b, strict=True))
                found.append((z, x, y, strand.name, at, strand.yarn))
    found.sort(key=lambda point: point[0])
    return [point[1:] for point in found]


def _disc(x: float, y: float, scale: float) -> Iterator[tuple[tuple[int, int], bool]]:
    """Dots around a place, and whether they are of the strand (else of its rim)."""
    thick = max(0.55, scale * _THICK / 2)
    rim = thick + max(1.0, scale * _RIM / 2)
    for column in range(int(x - rim), int(x + rim) + 1):
        for row in range(int(y - rim), int(y + rim) + 1):
            away = ((column + 0.5 - x) ** 2 + (row + 0.5 - y) ** 2) ** 0.5
            if away <= rim:
                yield (column, row), away <= thick


def _cell(grid: dict[tuple[int, int], tuple[str, int, Yarn]], column: int, row: int) -> Cell:
    bits, yarns = 0, []
    for down, pair in enumerate(_DOTS):
        for across, bit in enumerate(pair):
            dot = grid.get((2 * column + across, 4 * row + down))
            if dot:
                bits |= bit
                yarns.append(dot[2])
    return (chr(0x2800 + bits), max(set(yarns), key=yarns.count)) if bits else (" ", None)
