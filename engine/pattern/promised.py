"""Whether a pattern made anew for another gauge keeps what it promises: its width, its height, and
the sides on which its rows fall.

A number of loops goes to the nearest that its repeats allow, and a number of rows to the nearest
that keeps the sides, so that a little is always lost; more than that is refused, with both
figures.
"""

from collections.abc import Iterator, Sequence

from engine.base.refusal import Refusal
from engine.pattern.count.drafts import Counted, Draft
from engine.pattern.text.numbers import Spot
from engine.pattern.text.statements import RowLine
from models.gauge import Gauge
from models.script import ROW_KINDS, Direction

WIDTH_OFF, HEIGHT_OFF = 0.06, 0.06
"""As a part of the whole that is not noticed in a knitted piece (common practice, no source)."""
LOOPS_OFF, ROWS_OFF = 1.5, 2.0
"""Where the piece is small: what rounding alone may come to."""
_SHAPED_FROM = 0.25
"""A part that ends narrower than this share of it is drawn together, as a crown is."""


def hold_to_promise(
    was: Sequence[Counted], now: Sequence[Counted], own: Gauge, gauge: Gauge, names: Sequence[str]
) -> None:
    """Raises Refusal for the first measurement, or side of a row, that did not stay."""
    for before, after, name in zip(was, now, names, strict=True):
        size = f"size {name}, " if len(names) > 1 else ""
        for part in before.rows:
            for told, old, new, slack in _measured(before, after, part, own, gauge):
                if abs(new - old) > slack:
                    raise Refusal(
                        f"The measurements cannot be kept at this gauge: {size}the {part} would be "
                        f"{new:.1f} cm {told} instead of {old:.1f}, since its repeats and shapings "
                        "allow no nearer number. What comes out with the counts as they are is all "
                        "that can be said."
                    )


def _rows(counted: Counted, part: str) -> list[Draft]:
    return [d for d in counted.drafts if d.part == part and d.kind in ROW_KINDS]


def _measured(
    was: Counted, now: Counted, part: str, own: Gauge, gauge: Gauge
) -> Iterator[tuple[str, float, float, float]]:
    """Which measurement, in cm before and after, and how far it may be off."""
    before, after = _rows(was, part), _rows(now, part)
    loop, row = 1 / gauge.loops_per_cm, 1 / gauge.rows_per_cm
    widest = [max((max(d.before, d.after) for d in ds), default=0) for ds in (before, after)]
    last = [ds[-1].after if ds else 0 for ds in (before, after)]
    for told, counts in (("wide", widest), ("wide at its end", last)):
        if told != "wide" and last[0] < _SHAPED_FROM * widest[0]:
            continue
        old, new = counts[0] / own.loops_per_cm, counts[1] * loop
        yield told, old, new, max(WIDTH_OFF * old, LOOPS_OFF * loop)
    old, new = len(before) / own.rows_per_cm, len(after) * row
    yield "high", old, new, max(HEIGHT_OFF * old, ROWS_OFF * row)


def hold_sides(was: Counted, now: Counted, lines: Sequence[tuple[RowLine, RowLine]]) -> None:
    """Raises Refusal where a row that is written out falls on the other side than it did; `lines`
    are those rows as they were and as they are now.
    """
    before, after = _first(was), _first(now)
    for old, new in lines:
        way, then = before.get(old.spot), after.get(new.spot)
        if way and then and way != then:
            raise Refusal(
                "The counts cannot be recomputed for this gauge: the row in line "
                f"{old.spot.line} would come {_told(then)} instead of {_told(way)}. Say of the "
                "stretch above it on which row it ends, as in 'ending with a WS row'."
            )


def _first(counted: Counted) -> dict[Spot, str | Direction | None]:
    """Side or direction of the first row that comes of each place in the text."""
    found: dict[Spot, str | Direction | None] = {}
    for draft in counted.drafts:
        if draft.kind in ROW_KINDS:
            found.setdefault(draft.spot, draft.side or draft.direction)
    return found


def _told(way: str | Direction | None) -> str:
    return f"as a {way} row" if way in {"RS", "WS"} else f"{way}"
