"""Draws a make to scale from its row script alone.

The fabric is worked once more, loop by loop, and every loop is given a place (`draftsman`): a row
lies over the loops it was pulled through, one loop wide each, one row high. So a panel stands where
its loops come from, whatever the design. Loops that come from nowhere, since they are picked up
along an edge, begin a piece of their own: it hangs down beside the piece it will belong to
(`placing`).
"""

from collections.abc import Sequence

from engine.base.heap import uncollected
from engine.draw.draftsman import Draftsman
from engine.draw.paper import scale_of
from engine.draw.pieces import Piece, RowAt
from engine.draw.placing import offsets
from engine.script.fabric import leftward
from models.schematic import Band, Drawing, Edge, HungMarker, Panel, Span
from models.script import Hand, RowScript


@uncollected()
def layout(script: RowScript, *, worded: bool = False) -> Drawing:
    """The drawing of a script that the audit has proven. Raises Unworkable for one it would not.

    `worded` leaves room between pieces for their widths, as they are written on paper.
    """
    hands = Draftsman(script)
    hands.draw()
    pieces = [piece for piece in hands.pieces if piece.rows or piece.edges]
    if not pieces:
        return Drawing(width=0, height=0, panels=(), edges=(), spots=())
    mirror = script.hand is Hand.RIGHT
    moves = _placed(script, pieces) if worded else offsets(script, pieces)
    shifts = [u for u, _ in moves]
    heights = [(y, -1 if piece.hangs else 1) for piece, (_, y) in zip(pieces, moves, strict=True)]
    spans = [
        _moved(piece.span, shift, mirror=mirror)
        for piece, shift in zip(pieces, shifts, strict=True)
    ]
    ys = [
        at + way * y
        for piece, (at, way) in zip(pieces, heights, strict=True)
        for y in (0.0, piece.top)
    ]
    x0, y0 = min(span[0] for span in spans), min(ys)

    panels: list[Panel] = []
    edges: list[Edge] = []
    spots: list[HungMarker] = []
    for piece, shift, (at, way) in zip(pieces, shifts, heights, strict=True):

        def across(span: Span, shift: float = shift) -> Span:
            left, right = _moved(span, shift, mirror=mirror)
            return round(left - x0, 4), round(right - x0, 4)

        def up(y: float, at: float = at, way: int = way) -> float:
            return round(at + way * y - y0, 4)

        runs: dict[str, list[list[Band]]] = {}
        last: RowAt | None = None
        top, y_top = (0.0, 0.0), 0.0
        for row in piece.rows:
            step = row.step
            # Most rows lie on the one below from end to end, and are as wide.
            base = top if last and row.base is last.top else across(row.base)
            top = base if row.top is row.base else across(row.top)
            y_base = y_top if last and row.y_base == last.y_top else up(row.y_base)
            last, y_top = row, up(row.y_top)
            band = Band(
                step=step.number,
                row=step.row or 1,
                loops=row.loops,
                ring=row.ring,
                base=base,
                top=top,
                y_base=y_base,
                y_top=y_top,
                direction=step.direction,
                from_right=leftward(step, script.hand) is mirror,
                gap=across(row.gap) if row.gap else None,
            )
            mine = runs.setdefault(step.part, [])
            if mine and mine[-1][-1].y_top == band.y_base:
                mine[-1].append(band)
            else:
                mine.append([band])
        panels += [
            Panel(part=part, bands=tuple(bands)) for part, mine in runs.items() for bands in mine
        ]
        edges += [
            Edge(
                step=step.number,
                part=step.part,
                kind=step.kind,
                span=across(span),
                y=up(y),
                loops=count,
            )
            for step, span, y, count in piece.edges
        ]
        spots += [
            HungMarker(
                step=step.number,
                until=hands.removed.get(name),
                x=across((u, u))[0],
                y=up(y),
                name=name,
            )
            for step, u, y, name in piece.spots
        ]
    return Drawing(
        width=round(max(span[1] for span in spans) - x0, 4),
        height=round(max(ys) - y0, 4),
        panels=tuple(panels),
        edges=tuple(sorted(edges, key=lambda edge: edge.step)),
        spots=tuple(sorted(spots, key=lambda spot: spot.step)),
    )


_WORDS_MM = 14.0
"""On paper, between two pieces that lie over each other: a width below the one, one above the
other."""


_SCALES_TRIED = 4
"""More room may ask for a smaller scale, at which the words need more of it."""


def _placed(script: RowScript, pieces: Sequence[Piece]) -> list[tuple[float, float]]:
    """Where the pieces lie, with room for words at the scale that the drawing comes to."""
    words = 0.0
    moves = offsets(script, pieces)
    for _ in range(_SCALES_TRIED):
        moves = offsets(script, pieces, words)
        spans = [
            (piece.span[0] + u, piece.span[1] + u)
            for piece, (u, _) in zip(pieces, moves, strict=True)
        ]
        ys = [
            y + way * piece.top
            for piece, (_, y) in zip(pieces, moves, strict=True)
            for way in (0, -1 if piece.hangs else 1)
        ]
        scale = scale_of(
            width=max(span[1] for span in spans) - min(span[0] for span in spans),
            height=max(ys) - min(ys),
        )
        if words >= _WORDS_MM * scale / 10:
            break
        words = _WORDS_MM * scale / 10
    return moves


def _moved(span: Span, shift: float, *, mirror: bool) -> Span:
    """A span of a piece where it lies on the sheet, from left to right."""
    low, high = span[0] + shift, span[1] + shift
    return (-high, -low) if mirror else (low, high)
