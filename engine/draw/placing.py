"""Where on the sheet the pieces of a drawing lie: the main one in the middle, the others beside it
or below, on the side to which they belong."""

import statistics
from collections.abc import Sequence

from engine.draw.pieces import Piece
from models.schematic import Span
from models.script import Hand, RowScript

_GAP_SHARE, _GAP_LEAST = 0.055, 3.0
"""Between two pieces, of all their widths and in cm: room for their sizes on paper."""


def _share(pieces: Sequence[Piece], piece: Piece, hand: Hand) -> float | None:
    """Where along the main piece a piece belongs, 0 to 1 in `u`; None where nothing tells.

    The places of the parts that it is picked up along, if one of them is of a side: the right
    armhole. Else its own name, for the left sleeve of a pullover grows from the right edge of the
    front and the left edge of the back.
    """
    main = pieces[0]
    low, high = main.span
    parts: dict[str, list[Span]] = {}
    for row in main.rows:
        parts.setdefault(row.step.part, []).append(row.top)
    for step, span, _, _ in main.edges:
        parts.setdefault(step.part, []).append(span)
    shares = []
    sided = False
    for told in piece.told:
        named = [part for part in parts if part in told]
        if named:
            part = max(named, key=len)
            middle = statistics.fmean((s[0] + s[1]) / 2 for s in parts[part])
            shares.append((middle - low) / (high - low))
            sided = sided or _side_told(part, hand) is not None
        elif (side := _side_told(told, hand)) is not None:
            shares.append(side)
    own = _side_told(piece.part, hand)
    if shares and (sided or own is None):
        return statistics.fmean(shares)
    return own


def _side_told(words: str, hand: Hand) -> float | None:
    """The side that words name: at the maker's own hand a first row begins."""
    told = {"right", "left"} & set(words.split())
    return None if len(told) != 1 else 0.0 if hand.value in told else 1.0


_SIDE = 0.15
"""Share of the main piece's width by which a piece must be off its middle to lie at a side."""


def _side(script: RowScript, pieces: Sequence[Piece], piece: Piece) -> str:
    """Where a piece lies from the main one: at the `start` of its rows, at their `end`, `below`."""
    share = _share(pieces, piece, script.hand)
    if share is not None:
        return "start" if share < 0.5 - _SIDE else "end" if share > 0.5 + _SIDE else "below"
    if piece.part in {one for one, _ in script.mirrored}:
        return "start"
    return "below" if piece.hangs and not (piece.rows and piece.rows[0].ring) else "end"


def _tapers(piece: Piece) -> bool:
    """Whether both its ends have their own width."""
    ends = [piece.rows[0].base, piece.rows[-1].top] if piece.rows else []
    return len({round(right - left, 2) for left, right in ends}) > 1


def offsets(
    script: RowScript, pieces: Sequence[Piece], words: float = 0.0
) -> list[tuple[float, float]]:
    """How far each piece is moved, in `u` and y; hanging pieces are turned before.

    Above a piece that lies below and is not as wide at both its ends there are `words` cm for the
    width of its upper end and that of what lies over it.
    """
    main, *others = pieces
    low, high = main.span
    sides = [_side(script, pieces, piece) for piece in others]
    beside = [
        p.span[1] - p.span[0] for p, side in zip(others, sides, strict=True) if side != "below"
    ]
    gap = max(_GAP_LEAST, _GAP_SHARE * (high - low + sum(beside)))
    floor = 0.0
    found = [(0.0, 0.0)] * len(pieces)
    start, end = low, high
    for index, (piece, side) in enumerate(zip(others, sides, strict=True), 1):
        left, right = piece.span
        y = main.top if piece.hangs else 0.0
        if side == "start":
            found[index] = (start - gap - right, y)
            start -= gap + right - left
        elif side == "end":
            found[index] = (end + gap - left, y)
            end += gap + right - left
        if side != "below" and piece.hangs:
            floor = min(floor, y - piece.top)
    for index, (piece, side) in enumerate(zip(others, sides, strict=True), 1):
        if side == "below":
            left, right = piece.span
            floor -= max(gap, words) if _tapers(piece) else gap
            found[index] = ((start + end - left - right) / 2, floor)
            floor -= piece.top
    return found
