"""Draws a make to scale from its row script alone.

The fabric is worked once more, loop by loop, and every loop is given a place: a row lies over the
loops it was pulled through, one loop wide each, one row high. So a panel stands where its loops
come from, whatever the design. Loops that come from nowhere, since they are picked up along an
edge, begin a piece of their own: it hangs down beside the piece it will belong to.

Within a piece, `u` runs in cm along the live loops, from the end where a right-handed maker's
first row starts; a right-handed drawing has that end at the right.
"""

import re
import statistics
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from engine.script.fabric import Fabric, Loop, Pull, leftward, regroup, work
from models.schematic import Band, Drawing, Edge, Panel, Span, Spot
from models.script import LOOP_KINDS, Hand, Kind, RowScript, Step

_GAP_SHARE, _GAP_LEAST = 0.055, 3.0
"""Between two pieces, of all their widths and in cm: room for their sizes on paper."""
_PICKED_SHARE = 0.8
"""Of the loops after a pick-up, when more than this are new they begin a piece of their own."""
_TOUCH = 0.05
"""Share of a loop's size by which two neighbours may overlap through rounding."""


class _Place(NamedTuple):
    """Where a loop lies, and the row it lies in."""

    piece: "_Piece"
    u: float
    y: float
    row: "_Row | None" = None


@dataclass(frozen=True, eq=False)
class _Row:
    """A band in its piece's own coordinates."""

    step: Step
    loops: int
    ring: bool
    base: Span
    top: Span
    y_base: float
    y_top: float


@dataclass(eq=False)
class _Piece:
    """Panels that hang together."""

    part: str
    hangs: bool = False
    told: tuple[str, ...] = ()
    """The edges it is picked up along, as the script names them."""
    rows: list[_Row] = field(default_factory=list)
    edges: list[tuple[Step, Span, float, int]] = field(default_factory=list)
    spots: list[tuple[Step, float, float, str]] = field(default_factory=list)

    @property
    def span(self) -> Span:
        spans = [s for row in self.rows for s in (row.base, row.top)]
        spans += [span for _, span, _, _ in self.edges]
        return min(s[0] for s in spans), max(s[1] for s in spans)

    @property
    def top(self) -> float:
        return max([row.y_top for row in self.rows] + [edge[2] for edge in self.edges])


class _Draftsman:
    """Works a script and notes where everything lies."""

    def __init__(self, script: RowScript) -> None:
        self.script = script
        self.loop_cm = 1 / script.gauge.loops_per_cm
        self.row_cm = 1 / script.gauge.rows_per_cm
        self.fabric = Fabric()
        self.places: dict[Loop, _Place] = {}
        self.pieces: list[_Piece] = []
        self.removed: dict[str, int] = {}
        self.started: set[str] = set()
        self.ends: list[tuple[Step, list[Loop]]] = []
        self.ended: set[Loop] = set()
        self.left_over: set[Loop] = set()
        """Ended by what is seen, and still live."""
        self.knitted: set[Loop] = set()
        """Of those, the ones that a row went on with."""
        follows: list[Kind | None] = [None]
        for step in reversed(script.steps[1:]):
            follows.append(step.kind if step.kind in LOOP_KINDS else follows[-1])
        self.follows = follows[::-1]

    def draw(self) -> None:
        for index, step in enumerate(self.script.steps):
            if step.counts_row:
                regroup(self.fabric, step, self.script.hand)
                pulls = work(self.fabric, step, 0, self.script.hand)
                live = list(self.fabric.live)
                self._row(step, live, {loop: pull.used for pull in pulls for loop in pull.made})
                self._note_ends(step, pulls, set())
            else:
                before = set(self.fabric.live)
                regroup(self.fabric, step, self.script.hand)
                had = set(self.fabric.live)
                pulls = work(self.fabric, step, 0, self.script.hand)
                live = list(self.fabric.live)
                new = [loop for loop in live if loop not in had]
                if new:
                    self._begin(step, live, new, self.follows[index])
                self._note_ends(step, pulls, had - before)
            self._markers(step, live)
        for step, loops in self.ends:
            # A loop that a bind-off leaves over belongs to the row that goes on with it.
            left = [loop for loop in loops if loop not in self.knitted]
            self._edge(step, [self.places[loop] for loop in left if loop in self.places])

    def _note_ends(self, step: Step, pulls: list[Pull], taken_up: set[Loop]) -> None:
        """The loops that the step ends, in the place where the eye sees them end.

        A chain runs one loop ahead of what it uses up, so what was taken up for it counts, and
        what an earlier step had taken up does not.
        """
        if self.left_over:
            self.knitted.update(
                loop for p in pulls if p.made for loop in p.used if loop in self.left_over
            )
        ends = {o for o in step.operations if o.entry.takes and not o.entry.leaves}
        if not ends:
            return
        used = [loop for pull in pulls if pull.operation in ends for loop in pull.used]
        mine = [loop for loop in dict.fromkeys([*used, *taken_up]) if loop not in self.ended]
        self.ended.update(mine)
        self.left_over.update(set(mine).difference(used))
        self.ends.append((step, mine))

    # --- rows -----------------------------------------------------------------------------

    def _row(self, step: Step, live: list[Loop], parents: dict[Loop, tuple[Loop, ...]]) -> None:
        below: list[tuple[int, _Place]] = [
            (i, place)
            for i, loop in enumerate(live)
            for parent in parents.get(loop, ())
            if (place := self.places.get(parent))
        ]
        if not live or not below:
            return
        piece = statistics.mode([place.piece for _, place in below])
        below = [(i, place) for i, place in below if place.piece is piece]
        ring = step.kind is Kind.ROUND
        width = len(live) * self.loop_cm / (2 if ring else 1)
        base, whole = self._base(below)
        y = max(place.y for _, place in below)
        was_ring = whole is not None and whole.ring
        if ring or was_ring:
            start = (base[0] + base[1] - width) / 2
        else:
            # As many loops as can stay above the loop they came through.
            start = statistics.median(p.u - (i + 0.5) * self.loop_cm for i, p in below)
        top = (start, start + width)
        if whole is not None and was_ring is not ring:
            base = top
        if step.part not in self.started and self._overlaps(piece, top, y):
            piece = self._new_piece(step.part, hangs=True)
            y, base = 0.0, top
        self.started.add(step.part)
        row = _Row(step, len(live), ring, base, top, y, y + self.row_cm)
        piece.rows.append(row)
        self._lay(piece, live, start, row.y_top, ring=ring, row=row)

    def _base(self, below: list[tuple[int, _Place]]) -> tuple[Span, _Row | None]:
        """The ends of the loops below, and the row they are, where they are all of one."""
        rows = {place.row for _, place in below}
        row = rows.pop()
        if not rows and row is not None and len(below) == row.loops:
            return row.top, row
        half = self.loop_cm / 2
        us = [place.u for _, place in below]
        return (min(us) - half, max(us) + half), None

    def _overlaps(self, piece: _Piece, top: Span, y: float) -> bool:
        """Whether a row there would lie on rows that are drawn already."""
        across, up = self.loop_cm * _TOUCH, self.row_cm * _TOUCH
        return any(
            row.top[0] + across < top[1]
            and top[0] + across < row.top[1]
            and row.y_base + up < y + self.row_cm
            and y + up < row.y_top
            for row in piece.rows
        )

    def _lay(
        self,
        piece: _Piece,
        loops: Iterable[Loop],
        start: float,
        y: float,
        *,
        ring: bool,
        row: _Row | None = None,
    ) -> None:
        loops = list(loops)
        half = len(loops) * self.loop_cm / 2
        for i, loop in enumerate(loops):
            along = (i + 0.5) * self.loop_cm
            if ring and along > half:
                along = 2 * half - along
            self.places[loop] = _Place(piece, start + along, y, row)

    # --- beginnings and ends --------------------------------------------------------------

    def _new_piece(self, part: str, *, hangs: bool, told: tuple[str, ...] = ()) -> _Piece:
        self.pieces.append(_Piece(part, hangs, told))
        return self.pieces[-1]

    def _begin(self, step: Step, live: list[Loop], new: list[Loop], follows: Kind | None) -> None:
        """Loops laid on or picked up: a piece of their own, or more of the row in work."""
        fresh = set(new)
        told = tuple(o.at for o in step.operations if o.stitch == "pick up" and o.at)
        grows = follows in {Kind.ROW, Kind.ROUND}
        if len(new) >= _PICKED_SHARE * len(live) and (grows or not self.pieces):
            piece = self._new_piece(step.part, hangs=bool(told), told=told)
            ring = follows is Kind.ROUND
            self._lay(piece, live, 0.0, 0.0, ring=ring)
            width = len(live) * self.loop_cm / (2 if ring else 1)
            piece.edges.append((step, (0.0, width), 0.0, len(new)))
        elif not grows and told:
            self._pick_up_in_place(step, [loop for loop in live if loop in fresh])
        else:
            self._extend(step, live, fresh)

    def _extend(self, step: Step, live: list[Loop], fresh: set[Loop]) -> None:
        """Put new loops beside their neighbours in the row."""
        order = live if live and live[0] not in fresh else live[::-1]
        away = 1 if order is live else -1
        last: _Place | None = None
        for loop in order:
            if loop not in fresh:
                last = self.places.get(loop, last)
            elif last is not None:
                last = _Place(last.piece, last.u + away * self.loop_cm, last.y)
                self.places[loop] = last
        self._edge(step, [self.places[loop] for loop in live if loop in fresh & set(self.places)])

    def _pick_up_in_place(self, step: Step, new: list[Loop]) -> None:
        """Loops that are bound off at once stay on the edge they come from, where it is known."""
        if not leftward(step, self.script.hand):
            new = new[::-1]
        laid: list[_Place] = []
        at = 0
        for operation in step.operations:
            if operation.stitch != "pick up":
                continue
            mine = new[at : at + operation.times]
            at += operation.times
            if "foundation" in operation.at and self.pieces[0].edges:
                piece = self.pieces[0]
                _, (left, right), y, _ = piece.edges[0]
                for i, loop in enumerate(mine):
                    u = left + (i + 0.5) / len(mine) * (right - left)
                    self.places[loop] = _Place(piece, u, y)
                    laid.append(self.places[loop])
        self._edge(step, laid)

    def _edge(self, step: Step, places: list[_Place]) -> None:
        """Note where the step's loops lie, neighbours joined to one line."""
        reach = self.loop_cm * (1 + _TOUCH)
        runs: list[list[_Place]] = []
        for place in sorted(places, key=lambda p: (self.pieces.index(p.piece), p.y, p.u)):
            last = runs[-1][-1] if runs else None
            if (
                last
                and (last.piece, last.y) == (place.piece, place.y)
                and place.u - last.u <= reach
            ):
                runs[-1].append(place)
            else:
                runs.append([place])
        for run in runs:
            low, high = run[0].u - self.loop_cm / 2, run[-1].u + self.loop_cm / 2
            if row := run[0].row:
                # On a flat tube the loops at the folds lie nearer than half a loop to its side.
                low, high = max(low, row.top[0]), min(high, row.top[1])
            run[0].piece.edges.append((step, (low, high), run[0].y, len(run)))

    # --- markers --------------------------------------------------------------------------

    def _markers(self, step: Step, live: list[Loop]) -> None:
        order = live if leftward(step, self.script.hand) else live[::-1]
        passed = 0
        for operation in step.operations:
            if operation.stitch == "pm" and order:
                before = passed or _told_place(operation.at, len(order))
                ends = [order[max(0, before - 1)], order[min(before, len(order) - 1)]]
                places = [self.places[loop] for loop in ends if loop in self.places]
                if places:
                    u = statistics.fmean(place.u for place in places)
                    if before in {0, len(order)}:
                        # Outside the first or the last loop, half a loop away.
                        outward = 1 if order is live else -1
                        u += (outward if before else -outward) * self.loop_cm / 2
                    places[0].piece.spots.append((step, u, places[0].y, operation.at))
            elif operation.stitch == "rm":
                self.removed[operation.at] = step.number
            passed += max(0, operation.leaves)


def _told_place(at: str, loops: int) -> int:
    """Loops before a marker, from words such as `after 9 loops` or `9 loops before the end`."""
    found = re.search(r"\d+", at)
    if not found:
        return 0
    count = min(int(found[0]), loops)
    return loops - count if "before the end" in at else count


# --- putting the pieces on the sheet ------------------------------------------------------


def _share(pieces: Sequence[_Piece], piece: _Piece) -> float | None:
    """Where along the main piece a piece belongs, 0 to 1 in `u`; None where nothing tells."""
    main = pieces[0]
    low, high = main.span
    parts: dict[str, list[Span]] = {}
    for row in main.rows:
        parts.setdefault(row.step.part, []).append(row.top)
    for step, span, _, _ in main.edges:
        parts.setdefault(step.part, []).append(span)
    shares = []
    for told in piece.told:
        named = [part for part in parts if part in told]
        if named:
            part = max(named, key=len)
            middle = statistics.fmean((s[0] + s[1]) / 2 for s in parts[part])
            shares.append((middle - low) / (high - low))
        elif (side := _side_told(told)) is not None:
            shares.append(side)
    return statistics.fmean(shares) if shares else _side_told(piece.part)


def _side_told(words: str) -> float | None:
    """The side that words name: the right one is where a first row begins."""
    told = {"right", "left"} & set(words.split())
    return None if len(told) != 1 else 0.0 if "right" in told else 1.0


_SIDE = 0.15
"""Share of the main piece's width by which a piece must be off its middle to lie at a side."""


def _side(script: RowScript, pieces: Sequence[_Piece], piece: _Piece) -> str:
    """Where a piece lies from the main one: at the `start` of its rows, at their `end`, `below`."""
    share = _share(pieces, piece)
    if share is not None:
        return "start" if share < 0.5 - _SIDE else "end" if share > 0.5 + _SIDE else "below"
    if piece.part in {one for one, _ in script.mirrored}:
        return "start"
    return "below" if piece.hangs and not (piece.rows and piece.rows[0].ring) else "end"


def _offsets(script: RowScript, pieces: Sequence[_Piece]) -> list[tuple[float, float]]:
    """How far each piece is moved, in `u` and y; hanging pieces are turned before."""
    main, *others = pieces
    low, high = main.span
    sides = [_side(script, pieces, piece) for piece in others]
    beside = [
        p.span[1] - p.span[0] for p, side in zip(others, sides, strict=True) if side != "below"
    ]
    gap = max(_GAP_LEAST, _GAP_SHARE * (high - low + sum(beside)))
    floor = 0.0
    offsets = [(0.0, 0.0)] * len(pieces)
    start, end = low, high
    for index, (piece, side) in enumerate(zip(others, sides, strict=True), 1):
        left, right = piece.span
        y = main.top if piece.hangs else 0.0
        if side == "start":
            offsets[index] = (start - gap - right, y)
            start -= gap + right - left
        elif side == "end":
            offsets[index] = (end + gap - left, y)
            end += gap + right - left
        if side != "below" and piece.hangs:
            floor = min(floor, y - piece.top)
    for index, (piece, side) in enumerate(zip(others, sides, strict=True), 1):
        if side == "below":
            left, right = piece.span
            floor -= gap
            offsets[index] = ((start + end - left - right) / 2, floor)
            floor -= piece.top
    return offsets


def layout(script: RowScript) -> Drawing:
    """The drawing of a script that the audit has proven. Raises Unworkable for one it would not."""
    hands = _Draftsman(script)
    hands.draw()
    pieces = [piece for piece in hands.pieces if piece.rows or piece.edges]
    if not pieces:
        return Drawing(width=0, height=0, panels=(), edges=(), spots=())
    moves = dict(zip(map(id, pieces), _offsets(script, pieces), strict=True))
    mirror = script.hand is Hand.RIGHT

    def span_of(piece: _Piece, span: Span) -> Span:
        low, high = (u + moves[id(piece)][0] for u in span)
        return (-high, -low) if mirror else (low, high)

    def y_of(piece: _Piece, y: float) -> float:
        return moves[id(piece)][1] + (-y if piece.hangs else y)

    spans = [span_of(piece, piece.span) for piece in pieces]
    ys = [y_of(piece, y) for piece in pieces for y in (0.0, piece.top)]
    x0, y0 = min(span[0] for span in spans), min(ys)

    def x_pair(piece: _Piece, span: Span) -> Span:
        left, right = span_of(piece, span)
        return round(left - x0, 4), round(right - x0, 4)

    def up(piece: _Piece, y: float) -> float:
        return round(y_of(piece, y) - y0, 4)

    panels: list[Panel] = []
    edges: list[Edge] = []
    spots: list[Spot] = []
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
            Spot(
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
