"""A part's rows as a chart: one cell a loop, drawn as it looks from the right side.

The columns are found by working the script with the audit's own hands, so a loop stands above the
loop it was pulled through, a decrease leaves its neighbour's column empty and an increase opens a
new one. Row numbers stand where the row begins, as charts have it.

Symbols are those of the stitch table; a stitch that has none takes the next free letter. Each is
explained in words beside the chart.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby, pairwise

from engine.base.refusal import Refusal
from engine.script import wording
from engine.script.fabric import Fabric, Loop, Pull, leftward, regroup, work
from models.script import LOOP_KINDS, Craft, Direction, Kind, RowScript, Step
from models.stitch import STITCHES

EMPTY = " "
"""A cell without a loop."""
GAP = "⋯"
"""Stands for columns that are the same all the way up."""

_LETTERS = "ABCDEFGHJKNPSTWXZabcdefghijklmnoprstvwz"
"""For stitches without a symbol of their own, in the order in which a part has them."""


@dataclass(frozen=True)
class ChartRow:
    """One row of the chart, its cells from left to right as seen from the right side."""

    step: int
    label: str
    """The row's number, or start or end for a step that is no row."""
    cells: tuple[str, ...]
    loops: int
    """Live loops after it."""
    from_right: bool
    """Whether the hand begins at the right end."""
    arrow: str
    current: bool = False


@dataclass(frozen=True)
class Chart:
    """A part's rows, the first one first: a chart is read from the bottom up."""

    part: str
    craft: Craft
    rows: tuple[ChartRow, ...]
    key: tuple[tuple[str, str], ...]
    """Symbol and meaning, for the symbols that are used."""

    @property
    def columns(self) -> int:
        """Cells of every row."""
        return len(self.rows[0].cells)


class _Columns:
    """Which column each live loop stands in, and the order of the columns from left to right."""

    def __init__(self) -> None:
        self.of: dict[Loop, int] = {}
        self.order: list[int] = []
        self._made = 0

    def beside(self, reference: int | None, *, to_left: bool) -> int:
        """A new column next to another one."""
        self._made += 1
        at = 0 if reference is None else self.order.index(reference) + (not to_left)
        self.order.insert(at, self._made)
        return self._made

    def seat(self, live: Iterable[Loop]) -> None:
        """Give the loops that come in from elsewhere, right to left, their columns."""
        last: int | None = None
        for loop in live:
            if loop not in self.of:
                self.of[loop] = self.beside(last, to_left=last is not None)
            last = self.of[loop]


@dataclass(frozen=True)
class _Worked:
    """One operation of a row as it was worked: its pulls in the order of the hand."""

    stitch: str
    pulls: tuple[Pull, ...]

    @property
    def used(self) -> list[Loop]:
        return [loop for pull in self.pulls for loop in pull.used]

    @property
    def made(self) -> list[Loop]:
        return [loop for pull in self.pulls for loop in pull.made]


def _by_operation(pulls: Iterable[Pull]) -> list[_Worked]:
    groups = groupby(pulls, key=lambda pull: id(pull.operation))
    worked = [tuple(group) for _, group in groups]
    return [_Worked(group[0].operation.stitch, group) for group in worked]


def _place(
    columns: _Columns, worked: _Worked, last: int | None, to_left: bool, *, closing: bool
) -> None:
    """Columns for what an operation made. `last` is the column of the loop made before it.

    At either end of a row the edge itself moves, in or out; within the row each pull stands
    where its loops stood, and leaves a column empty or opens one beside it.
    """
    used = [columns.of[loop] for loop in worked.used]
    made, opening = worked.made, last is None
    if used and opening is not closing and len(made) != len(used):
        here = _moved_edge(columns, used, len(made), to_left, opening=opening)
    else:
        here = []
        for pull in worked.pulls:
            stood = [columns.of[loop] for loop in pull.used][: len(pull.made)]
            for _ in range(len(pull.made) - len(stood)):
                beside = stood[-1] if stood else here[-1] if here else last
                if beside is None:
                    # The first thing in a row is made from nothing: outside the edge.
                    edge = (
                        (columns.order[-1] if to_left else columns.order[0])
                        if (columns.order)
                        else None
                    )
                    stood.append(columns.beside(edge, to_left=not to_left))
                else:
                    stood.append(columns.beside(beside, to_left=to_left))
            here += stood
    columns.of.update(zip(made, here, strict=True))


def _moved_edge(
    columns: _Columns, used: list[int], made: int, to_left: bool, *, opening: bool
) -> list[int]:
    """The columns of a row's end after it lost or gained some, in the order of the hand."""
    if made < len(used):
        return used[len(used) - made :] if opening else used[:made]
    outside: list[int] = []
    for _ in range(made - len(used)):
        edge = outside[-1] if outside else used[0 if opening else -1]
        outside.append(columns.beside(edge, to_left=to_left is not opening))
    return [*outside[::-1], *used] if opening else [*used, *outside]


class _Symbols:
    """The symbol of a stitch as seen from the right side, and what it stood for so far."""

    def __init__(self) -> None:
        self._lent: dict[str, str] = {}
        self.seen: dict[str, list[tuple[str, bool]]] = {}

    def of(self, stitch: str, side: str | None) -> str:
        """The symbol of a stitch worked on that side."""
        behind = side == "WS" and bool(STITCHES[stitch].behind)
        shown = STITCHES[stitch].behind if behind else stitch
        symbol = STITCHES[shown].symbol or self._lent.setdefault(
            shown, _LETTERS[len(self._lent) % len(_LETTERS)]
        )
        if (stitch, behind) not in self.seen.setdefault(symbol, []):
            self.seen[symbol].append((stitch, behind))
        return symbol


def _draw(
    columns: _Columns, symbols: _Symbols, pulls: list[Pull], step: Step, to_left: bool
) -> dict[int, str]:
    """The symbols of a step by column."""
    cells: dict[int, str] = {}
    last: int | None = None
    row = _by_operation(pulls)
    for worked in row:
        symbol = symbols.of(worked.stitch, step.side)
        if not worked.made and not worked.used:
            # A slipped loop is passed over the one just made, which stays.
            if last is not None:
                cells[last] = symbol
            continue
        _place(columns, worked, last, to_left, closing=worked is row[-1] and step.counts_row)
        if not worked.made:
            cells.update((columns.of[loop], symbol) for loop in worked.used)
            continue
        stood = {columns.of[loop] for loop in worked.used}
        plain = symbol
        if len(worked.made) > len(stood) > 0:
            # The loop itself is knitted or purled; the symbol stands in the column it opened.
            plain = symbols.of("p" if worked.stitch == "pfb" else "k", step.side)
        for loop in worked.made:
            last = columns.of[loop]
            cells[last] = plain if last in stood else symbol
    return cells


def _label(step: Step) -> str:
    if step.counts_row:
        return str(step.row)
    return "start" if step.kind in {Kind.FOUNDATION, Kind.PICK_UP} else "end"


def _arrow(step: Step, to_left: bool) -> str:
    """The way of the hand as the chart shows it, from the right side."""
    if step.direction is Direction.AROUND:
        return wording.arrow(Direction.AROUND)
    return wording.arrow(Direction.RIGHT_TO_LEFT if to_left else Direction.LEFT_TO_RIGHT)


def _meaning(stitches: list[tuple[str, bool]], craft: Craft) -> str:
    """What a symbol stands for: the stitch as worked, by side."""
    words = []
    for stitch, behind in stitches:
        name = _name(stitch, craft)
        words.append(f"{name} on the wrong side" if behind else name)
    return ", ".join(words)


def _name(stitch: str, craft: Craft) -> str:
    entry = STITCHES[stitch]
    return (entry.charted_loop if craft is Craft.LOOP else "") or entry.charted or entry.name


def chart(script: RowScript, part: str, current: int | None = None) -> Chart:
    """The chart of a part; `current` is the number of the step to light.

    Raises Refusal for a part that the script has not, or in which no loop moves.
    """
    drawn: list[tuple[Step, dict[int, str], bool]] = []
    fabric, columns, symbols = Fabric(), _Columns(), _Symbols()
    heights: dict[str, int] = {}
    for step in script.steps:
        heights[step.part] = heights.get(step.part, 0) + step.counts_row
        regroup(fabric, step, script.hand)
        if step.part == part and step.kind in LOOP_KINDS:
            columns.seat(fabric.live)
        pulls = [
            pull
            for pull in work(fabric, step, heights[step.part], script.hand)
            if pull.operation.entry.takes or pull.operation.entry.leaves
        ]
        if step.part != part or step.kind not in LOOP_KINDS or not pulls:
            continue
        to_left = leftward(step, script.hand)
        drawn.append((step, _draw(columns, symbols, pulls, step, to_left), to_left))
    if not drawn:
        raise Refusal(
            f"There are no rows to draw in a part {part!r}; the parts are "
            f"{', '.join(script.parts)}."
        )
    order = [c for c in columns.order if any(c in cells for _, cells, _ in drawn)]
    rows = tuple(
        ChartRow(
            step=step.number,
            label=_label(step),
            cells=tuple(cells.get(column, EMPTY) for column in order),
            loops=step.loops_after,
            from_right=to_left,
            arrow=_arrow(step, to_left),
            current=step.number == current,
        )
        for step, cells, to_left in drawn
    )
    used = {cell for row in rows for cell in row.cells}
    key = tuple((s, _meaning(w, script.craft)) for s, w in symbols.seen.items() if s in used)
    return Chart(part, script.craft, rows, key)


# --- drawn in characters --------------------------------------------------------------------


def drawn(chart: Chart, width: int = 78, *, all_rows: bool = False) -> list[str]:
    """The chart in lines of text of at most `width` columns where that is possible, top row first.

    Columns and rows that repeat are drawn once or twice and said to repeat. The current row is
    lit by an arrowhead. Words follow the chart: the key, and what was left out.
    """
    word = wording.loop_word(chart.craft)
    name = max(len(_row_name(row)) for row in chart.rows)
    count = max(len(wording.counted(row.loops, chart.craft)) for row in chart.rows)
    room = max(8, width - 2 * name - count - 5)
    shown, hidden = _narrowed(chart, room)
    lines: list[str] = []
    for rows in reversed(_runs(chart.rows, shown, all_rows)):
        kept = rows if len(rows) <= 3 else (rows[0], rows[-1])
        for number, row in enumerate(reversed(kept)):
            if number == 1 and len(rows) > 3:
                lines.append(
                    f"{'':{name + 3}}⋮  rows {rows[1].label} to {rows[-2].label} are the same"
                )
            lines.append(_line(row, shown[row.step], name, chart.craft))
    lines.append("")
    lines += [f"{symbol}  {meaning}" for symbol, meaning in chart.key]
    if any(EMPTY in row.cells for row in chart.rows):
        lines.append("an empty place: no loop" if chart.craft is Craft.LOOP else
                     "an empty place: no stitch")  # fmt: skip
    lines += [f"{GAP}  {left_out} {word} like those beside them" for left_out in hidden]
    if any(row.current for row in chart.rows):
        lines.append("▶  the row in work")
    return lines


def _row_name(row: ChartRow) -> str:
    return f"{row.label} {row.arrow}"


def _line(row: ChartRow, cells: str, width: int, craft: Craft) -> str:
    lit = "▶" if row.current else " "
    left, right = ("", _row_name(row)) if row.from_right else (_row_name(row), "")
    loops = wording.counted(row.loops, craft)
    return f"{lit} {left:>{width}} {cells} {right:<{width}} {loops}"


def _narrowed(chart: Chart, room: int) -> tuple[dict[int, str], list[int]]:
    """Each row's cells as text, with runs of equal columns cut until they fit, longest first."""
    columns = list(zip(*(row.cells for row in chart.rows), strict=True))
    runs = [(cells, len(list(group))) for cells, group in groupby(columns)]
    cut: set[int] = set()
    total = len(columns)
    for index in sorted(range(len(runs)), key=lambda i: -runs[i][1]):
        if total <= room or runs[index][1] <= 3:
            break
        cut.add(index)
        total -= runs[index][1] - 3
    pieces: list[tuple[str, ...]] = []
    for index, (cells, count) in enumerate(runs):
        if index in cut:
            gap = tuple(EMPTY if cell == EMPTY else GAP for cell in cells)
            pieces += [cells, gap, cells]
        else:
            pieces += [cells] * count
    shown = {row.step: "".join(piece[i] for piece in pieces) for i, row in enumerate(chart.rows)}
    return shown, [runs[i][1] - 2 for i in sorted(cut)]


def _runs(
    rows: tuple[ChartRow, ...], shown: dict[int, str], all_rows: bool
) -> list[tuple[ChartRow, ...]]:
    """Rows in groups that look the same two by two; the current row stands alone."""
    if all_rows:
        return [(row,) for row in rows]
    groups: list[list[ChartRow]] = [[rows[0]]]
    for one, other in pairwise(rows):
        same = (
            not (one.current or other.current)
            and shown[one.step] == shown[other.step]
            and one.label.isdigit()
            and other.label.isdigit()
        )
        if same:
            groups[-1].append(other)
        else:
            groups.append([other])
    return [tuple(group) for group in groups]
