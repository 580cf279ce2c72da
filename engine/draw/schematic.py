"""Draws a make to scale from its row script alone.

The fabric is worked once more, loop by loop, and every loop is given a place (`draftsman`): a row
lies over the loops it was pulled through, one loop wide each, one row high. So a panel stands where
its loops come from, whatever the design. Loops that come from nowhere, since they are picked up
along an edge, begin a piece of their own: it hangs down beside the piece it will belong to
(`placing`).
"""

from engine.draw.draftsman import Draftsman
from engine.draw.pieces import Piece
from engine.draw.placing import offsets
from engine.script.fabric import leftward
from models.schematic import Band, Drawing, Edge, HungMarker, Panel, Span
from models.script import Hand, RowScript


def layout(script: RowScript) -> Drawing:
    """The drawing of a script that the audit has proven. Raises Unworkable for one it would not."""
    hands = Draftsman(script)
    hands.draw()
    pieces = [piece for piece in hands.pieces if piece.rows or piece.edges]
    if not pieces:
        return Drawing(width=0, height=0, panels=(), edges=(), spots=())
    moves = dict(zip(map(id, pieces), offsets(script, pieces), strict=True))
    mirror = script.hand is Hand.RIGHT

    def span_of(piece: Piece, span: Span) -> Span:
        low, high = (u + moves[id(piece)][0] for u in span)
        return (-high, -low) if mirror else (low, high)

    def y_of(piece: Piece, y: float) -> float:
        return moves[id(piece)][1] + (-y if piece.hangs else y)

    spans = [span_of(piece, piece.span) for piece in pieces]
    ys = [y_of(piece, y) for piece in pieces for y in (0.0, piece.top)]
    x0, y0 = min(span[0] for span in spans), min(ys)

    def x_pair(piece: Piece, span: Span) -> Span:
        left, right = span_of(piece, span)
        return round(left - x0, 4), round(right - x0, 4)

    def up(piece: Piece, y: float) -> float:
        return round(y_of(piece, y) - y0, 4)

    panels: list[Panel] = []
    edges: list[Edge] = []
    spots: list[HungMarker] = []
    for piece in pieces:
        runs: dict[str, list[list[Band]]] = {}
        for row in piece.rows:
            step = row.step
            band = Band(
                step=step.number,
                row=step.row or 1,
                loops=row.loops,
                ring=row.ring,
                base=x_pair(piece, row.base),
                top=x_pair(piece, row.top),
                y_base=up(piece, row.y_base),
                y_top=up(piece, row.y_top),
                direction=step.direction,
                from_right=leftward(step, script.hand) is mirror,
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
                span=x_pair(piece, span),
                y=up(piece, y),
                loops=count,
            )
            for step, span, y, count in piece.edges
        ]
        spots += [
            HungMarker(
                step=step.number,
                until=hands.removed.get(name),
                x=x_pair(piece, (u, u))[0],
                y=up(piece, y),
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
