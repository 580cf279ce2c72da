"""Works a script and notes where every loop lies.

Places are kept in arrays by the number of the loop, so that a row of hundreds is laid in one go.
A row that is turned before its end is as wide as what it worked: the next whole row lies above it,
and the loops that waited leave a wedge open, as a dart does.
"""

import re
import statistics
from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.draw.links import Loops, links, loops_in
from engine.draw.pieces import Piece, RowAt
from engine.script.fabric import Fabric, Loop, Pulls, leftward
from engine.script.hands import StraightUp, work
from engine.script.rim import Run
from models.schematic import Span
from models.script import LOOP_KINDS, Kind, RowScript, Step

_PICKED_SHARE = 0.8
"""Of the loops after a pick-up, when more than this are new they begin a piece of their own."""
_TOUCH = 0.05
"""Share of a loop's size by which two neighbours may overlap through rounding."""
_NONE = -1


class _Worked(NamedTuple):
    """A step as it was worked: the live loops before and after it, right to left."""

    step: Step
    before: list[Run]
    pulls: Sequence[Pulls]
    after: list[Run]


class _Last(NamedTuple):
    """The row laid last, which works all that is live."""

    piece: int
    runs: list[Run]
    row: int
    along: NDArray[np.float64] | None
    """Where its loops lie, in the order of the runs, as long as they have not been told so."""


class _Place(NamedTuple):
    """Where a loop lies, and the row it lies in."""

    piece: Piece
    u: float
    y: float
    row: RowAt | None


def _median(of: NDArray[np.float64]) -> float:
    """The middle of them, or between the two in the middle; `numpy.median` asks much besides."""
    ordered, half = np.sort(of), len(of) // 2
    middle = ordered[half : half + 1] if len(of) % 2 else ordered[half - 1 : half + 1]
    return float(middle.mean())


class Draftsman:
    """Works a script and notes where everything lies."""

    def __init__(self, script: RowScript) -> None:
        self.script = script
        self.loop_cm = 1 / script.gauge.loops_per_cm
        self.row_cm = 1 / script.gauge.rows_per_cm
        self.pieces: list[Piece] = []
        self.rows: list[RowAt] = []
        self.worked: list[_Worked] = []
        self.removed: dict[str, int] = {}
        self.started: set[str] = set()
        self.last: _Last | None = None
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
        """Lay every step. Raises Unworkable for a script that the audit would not prove."""
        fabric = Fabric(self.script.hand)
        worked = self.worked
        after: list[Run] = []
        for step in self.script.steps:
            before, pulls = after, work(fabric, step)
            after = list(fabric.runs)
            worked.append(_Worked(step, before, pulls, after))
        self.u, self.y = np.zeros(fabric.made), np.zeros(fabric.made)
        self.piece_of = np.full(fabric.made, _NONE)
        self.row_of = np.full(fabric.made, _NONE)
        self.rank = np.zeros(fabric.made, dtype=np.intp)
        for one, follows in zip(worked, self.follows, strict=True):
            if one.step.counts_row:
                if not self._goes_straight_up(one):
                    self._row(one)
                    self._note_ends(one, ())
                elif self.left_over:
                    self._note_ends(one, ())
            elif one.step.operations:
                self._settle()
                self._other(one, follows)
            self._markers(one)
        self._settle()
        for step, loops in self.ends:
            # A loop that a bind-off leaves over belongs to the row that goes on with it.
            left = [loop for loop in loops if loop not in self.knitted]
            self._edge(step, left)

    def _place(self, loop: Loop) -> _Place | None:
        piece, row = int(self.piece_of[loop]), int(self.row_of[loop])
        if piece == _NONE:
            return None
        at = self.rows[row] if row != _NONE else None
        return _Place(self.pieces[piece], float(self.u[loop]), float(self.y[loop]), at)

    def _note_ends(self, one: _Worked, taken_up: Sequence[Loop]) -> None:
        """The loops that the step ends, in the place where the eye sees them end.

        A chain runs one loop ahead of what it uses up, so what was taken up for it counts, and
        what an earlier step had taken up does not.
        """
        if self.left_over:
            gone_on = [ids for p in one.pulls if p.made for ids in p.used]
            taken = {loop for loop in self.left_over if any(loop in ids for ids in gone_on)}
            self.knitted |= taken
            self.left_over -= taken
        entries = [(p, p.operation.entry) for p in one.pulls]
        ends = [p for p, entry in entries if entry.takes and not entry.leaves]
        if not ends:
            return
        used = [loop for p in ends for ids in p.used for loop in ids]
        mine = [loop for loop in dict.fromkeys([*used, *taken_up]) if loop not in self.ended]
        self.ended.update(mine)
        self.left_over.update(set(mine).difference(used))
        self.ends.append((one.step, mine))

    # --- rows -----------------------------------------------------------------------------

    def _row(self, one: _Worked) -> None:
        step = one.step
        self._settle()
        loops = self._made(one)
        number, child, parent = self._over(one)
        if not len(loops) or number == _NONE:
            return
        self.rank[loops] = np.arange(len(loops))
        us = self.u[parent]
        ring = step.kind is Kind.ROUND
        width = len(loops) * self.loop_cm / (2 if ring else 1)
        base, whole = self._base(parent, us)
        y = float(self.y[parent].max()) if whole is None else whole.y_top
        was_ring = whole is not None and whole.ring
        if ring and whole is None and not self._of_rounds(parent):
            # A band along a flat piece's edge: over the loops that it takes up of that piece.
            taken = self.u[parent[self.row_of[parent] != _NONE]]
            middle = (taken.min() + taken.max()) / 2 if len(taken) else sum(base) / 2
            start = float(middle) - width / 2
            base = (start, start + width)
        elif ring or was_ring:
            start = (base[0] + base[1] - width) / 2
        else:
            # As many loops as can stay above the loop they came through.
            start = _median(us - (self.rank[child] + 0.5) * self.loop_cm)
        gap = None if ring else self._gap(one, parent, us)
        if gap is not None:
            before = len(np.unique(child[us < gap[0]]))
            start = gap[0] - before * self.loop_cm
            width += gap[1] - gap[0]
        top = (start, start + width)
        if whole is not None and was_ring is not ring:
            base = top
        if step.part not in self.started and self._overlaps(self.pieces[number], top, y):
            number = self._new_piece(step.part, hangs=True)
            y, base = 0.0, top
        self.started.add(step.part)
        if not ring and whole is None:
            ys = self.y[parent]
            if ys.min() < y - self.row_cm * _TOUCH and not self._goes_on(one):
                heights = np.full(len(loops), ys.min())
                np.maximum.at(heights, self.rank[child], ys)
                self._step_up(step, number, loops, start, heights)
                return
        row = RowAt(step, len(loops), ring, base, top, y, y + self.row_cm, gap)
        self.pieces[number].rows.append(row)
        self.rows.append(row)
        self._lay(number, loops, start, row.y_top, ring=ring, row=len(self.rows) - 1)
        if gap is not None:
            self.u[loops[before:]] += gap[1] - gap[0]
        all_of_them = len(loops) == sum(len(run.ids) for run in one.after)
        self.last = _Last(number, one.after, len(self.rows) - 1, None) if all_of_them else None

    def _over(self, one: _Worked) -> tuple[int, Loops, Loops]:
        """The piece that the row grows on, and its loops with those below that are of that."""
        child, parent = links(one.pulls)
        pieces = self.piece_of[parent]
        if len(pieces) and pieces[0] != _NONE and (pieces == pieces[0]).all():
            return int(pieces[0]), child, parent
        pieces = pieces[pieces != _NONE]
        if not len(pieces):
            return _NONE, child, parent
        number = int(np.bincount(pieces).argmax())
        mine = self.piece_of[parent] == number
        return number, child[mine], parent[mine]

    def _of_rounds(self, parent: Loops) -> bool:
        """Whether some of the loops are of a round."""
        return any(n != _NONE and self.rows[n].ring for n in np.unique(self.row_of[parent]))

    def _gap(self, one: _Worked, parent: Loops, us: NDArray[np.float64]) -> Span | None:
        """Where the row binds off between loops that go on, as at a neck: these stay apart."""
        ended = [
            loop
            for p in one.pulls
            if p.operation.entry.takes and not p.operation.entry.leaves
            for ids in p.used
            for loop in ids
        ]
        if not ended:
            return None
        # A chain uses the loop before it, too, which an earlier loop of the row may have made.
        at = np.setdiff1d(np.array(ended), parent)
        at = at[self.piece_of[at] == self.piece_of[parent[0]]]
        if not len(at):
            return None
        half = self.loop_cm / 2
        low, high = float(self.u[at].min()) - half, float(self.u[at].max()) + half
        inside = ((us > low) & (us < high)).any()
        return None if inside or not (us < low).any() or not (us > high).any() else (low, high)

    def _goes_on(self, one: _Worked) -> bool:
        """Whether a later row is worked on the loops of this one."""
        made = {loop for p in one.pulls for ids in p.made for loop in ids}
        later = self.worked[one.step.number :]
        return any(
            loop in made
            for other in later
            if other.step.counts_row
            for p in other.pulls
            for ids in p.used
            for loop in ids
        )

    def _step_up(
        self,
        step: Step,
        number: int,
        loops: Loops,
        start: float,
        heights: NDArray[np.float64],
    ) -> None:
        """The last row over steps, as on a shoulder: drawn on the highest, ended on every one."""
        y = float(heights.max())
        high = np.flatnonzero(heights > y - self.row_cm * _TOUCH)
        first, last = int(high[0]), int(high[-1]) + 1
        span = (start + first * self.loop_cm, start + last * self.loop_cm)
        row = RowAt(step, last - first, False, span, span, y, y + self.row_cm)
        self.pieces[number].rows.append(row)
        self.rows.append(row)
        self._lay(number, loops, start, 0.0, ring=False)
        self.y[loops] = heights + self.row_cm
        self.row_of[loops[first:last]] = len(self.rows) - 1
        self.last = None

    def _goes_straight_up(self, one: _Worked) -> bool:
        """Lay a row that works every loop of the last one as one loop; False for any other."""
        last = self.last
        if last is None or last.runs != one.before:
            return False
        step, ring, below = one.step, one.step.kind is Kind.ROUND, self.rows[last.row]
        if isinstance(one.pulls, StraightUp):
            plain = one.pulls.plain
        else:
            plain = all(p.operation.entry.plain for p in one.pulls)
        if not plain or ring is not below.ring or step.part not in self.started:
            return False
        y = below.y_top
        row = RowAt(step, below.loops, ring, below.top, below.top, y, y + self.row_cm)
        self.pieces[last.piece].rows.append(row)
        self.rows.append(row)
        along = last.along
        if along is None:
            along = self.u[loops_in(run.ids for run in one.before)]
        self.last = _Last(last.piece, one.after, len(self.rows) - 1, along)
        return True

    def _settle(self) -> None:
        """Tell the loops of a row that goes straight up where they lie.

        Of many such rows one over the other only the last is looked at: it has used up the others.
        """
        if self.last is None or self.last.along is None:
            return
        number, runs, row, along = self.last
        loops = loops_in(run.ids for run in runs)
        self.u[loops] = along
        self.y[loops] = self.rows[row].y_top
        self.piece_of[loops] = number
        self.row_of[loops] = row
        self.last = self.last._replace(along=None)

    def _made(self, one: _Worked) -> Loops:
        """The loops that the step worked and left, right to left."""
        live = loops_in(run.ids for run in one.after)
        if sum(len(ids) for p in one.pulls for ids in p.made) == len(live):
            return live
        # In a row that was turned the loops that wait are no part of it.
        worked = loops_in(ids for p in one.pulls for ids in p.made)
        return live[np.isin(live, worked)]

    def _base(self, parent: Loops, us: NDArray[np.float64]) -> tuple[Span, RowAt | None]:
        """The ends of the loops below, and the row they are, where they are all of one."""
        rows = self.row_of[parent]
        first = int(rows[0])
        if first != _NONE and len(parent) == self.rows[first].loops and (rows == first).all():
            return self.rows[first].top, self.rows[first]
        half = self.loop_cm / 2
        return (float(us.min()) - half, float(us.max()) + half), None

    def _overlaps(self, piece: Piece, top: Span, y: float) -> bool:
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
        self, piece: int, loops: Loops, start: float, y: float, *, ring: bool, row: int = _NONE
    ) -> None:
        along = (np.arange(len(loops)) + 0.5) * self.loop_cm
        if ring:
            around = len(loops) * self.loop_cm
            along = np.minimum(along, around - along)
        self.u[loops] = start + along
        self.y[loops] = y
        self.piece_of[loops] = piece
        self.row_of[loops] = row

    # --- beginnings and ends --------------------------------------------------------------

    def _other(self, one: _Worked, follows: Kind | None) -> None:
        made = {x for p in one.pulls if p.made != p.used for ids in p.made for x in ids}
        live = [loop for run in one.after for loop in run.ids]
        if new := [loop for loop in live if loop in made] if made else []:
            self._begin(one.step, live, new, follows)
        taken_up: list[Loop] = []
        if any(o.moves > 0 for o in one.step.operations):
            made.update(loop for run in one.before for loop in run.ids)
            used = [loop for p in one.pulls for ids in p.used for loop in ids]
            taken_up = [loop for loop in dict.fromkeys([*used, *live]) if loop not in made]
        self._note_ends(one, taken_up)

    def _new_piece(self, part: str, *, hangs: bool, told: tuple[str, ...] = ()) -> int:
        self.pieces.append(Piece(part, hangs, told))
        return len(self.pieces) - 1

    def _begin(self, step: Step, live: list[Loop], new: list[Loop], follows: Kind | None) -> None:
        """Loops laid on or picked up: a piece of their own, or more of the row in work."""
        told = tuple(o.at for o in step.operations if o.entry.along and o.at)
        grows = follows in {Kind.ROW, Kind.ROUND}
        if len(new) >= _PICKED_SHARE * len(live) and (grows or not self.pieces):
            number = self._new_piece(step.part, hangs=bool(told), told=told)
            ring = follows is Kind.ROUND
            self._lay(number, np.array(live), 0.0, 0.0, ring=ring)
            width = len(live) * self.loop_cm / (2 if ring else 1)
            self.pieces[number].edges.append((step, (0.0, width), 0.0, len(new)))
        elif not grows and told:
            self._pick_up_in_place(step, new)
        else:
            self._extend(step, live, set(new))

    def _extend(self, step: Step, live: list[Loop], fresh: set[Loop]) -> None:
        """Put new loops beside their neighbours in the row."""
        order = live if live and live[0] not in fresh else live[::-1]
        away = 1 if order is live else -1
        last: Loop | None = None
        for loop in order:
            if loop in fresh and last is not None and self.piece_of[last] != _NONE:
                self.u[loop] = self.u[last] + away * self.loop_cm
                self.y[loop], self.piece_of[loop] = self.y[last], self.piece_of[last]
            last = loop
        self._edge(step, [loop for loop in live if loop in fresh])

    def _pick_up_in_place(self, step: Step, new: list[Loop]) -> None:
        """Loops that are bound off at once stay on the edge they come from, where it is known."""
        if not leftward(step, self.script.hand):
            new = new[::-1]
        laid: list[Loop] = []
        at = 0
        for operation in step.operations:
            if not operation.entry.along:
                continue
            mine = new[at : at + operation.times]
            at += operation.times
            if "foundation" in operation.at and self.pieces[0].edges:
                _, (left, right), y, _ = self.pieces[0].edges[0]
                share = (np.arange(len(mine)) + 0.5) / len(mine)
                self.u[mine] = left + share * (right - left)
                self.y[mine], self.piece_of[mine] = y, 0
                laid += mine
        self._edge(step, laid)

    def _edge(self, step: Step, loops: Iterable[Loop]) -> None:
        """Note where the step's loops lie, neighbours joined to one line."""
        reach = self.loop_cm * (1 + _TOUCH)
        at = np.fromiter(loops, dtype=np.intp)
        at = at[self.piece_of[at] != _NONE]
        at = at[np.lexsort((self.u[at], self.y[at], self.piece_of[at]))]
        runs: list[tuple[int, float, int, list[float]]] = []
        for piece, row, y, u in zip(
            self.piece_of[at].tolist(),
            self.row_of[at].tolist(),
            self.y[at].tolist(),
            self.u[at].tolist(),
            strict=True,
        ):
            if runs and runs[-1][:2] == (piece, y) and u - runs[-1][3][-1] <= reach:
                runs[-1][3].append(u)
            else:
                runs.append((piece, y, row, [u]))
        for piece, y, row, us in runs:
            low, high = us[0] - self.loop_cm / 2, us[-1] + self.loop_cm / 2
            if row != _NONE:
                # On a flat tube the loops at the folds lie nearer than half a loop to its side.
                low, high = max(low, self.rows[row].top[0]), min(high, self.rows[row].top[1])
            self.pieces[piece].edges.append((step, (low, high), y, len(us)))

    # --- markers --------------------------------------------------------------------------

    def _markers(self, one: _Worked) -> None:
        step = one.step
        hung = [o for o in step.operations if o.stitch in {"pm", "rm"}]
        if not hung:
            return
        self._settle()
        live = [loop for run in one.after for loop in run.ids]
        order = live if leftward(step, self.script.hand) else live[::-1]
        passed = 0
        for operation in step.operations:
            if operation.stitch == "pm" and order:
                before = passed or _told_place(operation.at, len(order))
                ends = [order[max(0, before - 1)], order[min(before, len(order) - 1)]]
                places = [place for loop in ends if (place := self._place(loop))]
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
