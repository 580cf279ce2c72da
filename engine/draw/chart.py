"""A part's rows as a chart: one cell a loop, drawn as it looks from the right side.

The columns are found by working the script with the audit's own hands, so a loop stands above the
loop it was pulled through, a decrease leaves its neighbour's column empty and an increase opens a
new one. Row numbers stand where the row begins, as charts have it.

Where a piece has several colours a knitted loop is drawn as a square, another one for each colour.

Symbols are those of the stitch table; a stitch that has none takes the next free letter. Each is
explained in words beside the chart.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from engine.base.refusal import Refusal
from engine.craft.stripes import colour_name
from engine.script import wording
from engine.script.fabric import Fabric, Loop, Pulls, leftward
from engine.script.hands import work
from models.script import (
    LOOP_KINDS,
    Craft,
    Direction,
    Hand,
    Kind,
    Operation,
    RowScript,
    Step,
)
from models.stitch import STITCHES, Role, Stitch

EMPTY = " "
"""A cell without a loop."""

_SQUARES = "□■▣▤▥▦▧▨▩◧◨◩"
"""Knitted loops by colour, in the order in which a part has them."""

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
    turned: bool = False
    """Some of its rows are turned before their end."""

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
        """A new column next to another one; for None at that end of all."""
        self._made += 1
        if reference is None:
            at = 0 if to_left else len(self.order)
        else:
            at = self.order.index(reference) + (not to_left)
        self.order.insert(at, self._made)
        return self._made

    def seat(self, loops: Iterable[Loop], *, to_left: bool) -> None:
        """Give the loops that come in from elsewhere, in the order of the hand, their columns."""
        row = list(loops)
        seated = next((i for i, loop in enumerate(row) if loop in self.of), 0)
        for i in reversed(range(seated)):  # they come before one that has its column
            self.of[row[i]] = self.beside(self.of[row[i + 1]], to_left=not to_left)
        last: int | None = None
        for loop in row:
            if loop not in self.of:
                self.of[loop] = self.beside(last, to_left=to_left)
            last = self.of[loop]


class _Row:
    """A row as it is drawn: what stands in which column."""

    def __init__(self, columns: _Columns, symbols: "_Symbols", step: Step, to_left: bool) -> None:
        self.columns, self.symbols = columns, symbols
        self.step, self.to_left = step, to_left
        self.cells: dict[int, str] = {}
        self.last: int | None = None
        """The column of the loop made last."""
        self.opened: list[tuple[int, Loop]] = []
        """Columns opened since the last loop that came from another, with what stands in them."""
        self.freed: list[int] = []
        """Columns left empty beside the last loop."""

    def draw(self, row: Sequence[Pulls], waiting: Iterable[Loop]) -> None:
        """Draw the row; `waiting` are the loops that are live after it."""
        in_hand = _in_hand(self.step)
        for index, pulls in enumerate(row):
            entry = pulls.operation.entry
            while in_hand and in_hand[0][0] != pulls.operation:
                in_hand.pop(0)
            self.symbols.colour = in_hand.pop(0)[1] if in_hand else ""
            symbol = self.symbols.of(pulls.operation.stitch, self.step.side)
            if entry.role is Role.TURN:
                self._turned(symbol, waiting)
            elif entry.leaves < 0:
                # A slipped loop is passed over the one just made, which stays.
                if self.last is not None:
                    self.cells[self.last] = symbol
            else:
                closing = index == len(row) - 1 and self.step.counts_row
                self._place(pulls, symbol, closing=closing)

    def _place(self, pulls: Pulls, symbol: str, *, closing: bool) -> None:
        """Columns for what an operation made.

        At either end of a row the edge itself moves, in or out; within the row each pull stands
        where its loops stood, and leaves a column empty or opens one beside it.
        """
        of, entry = self.columns.of, pulls.operation.entry
        used = [of[loop] for ids in pulls.used for loop in ids]
        made = [loop for ids in pulls.made for loop in ids]
        if not made:
            self.cells.update(dict.fromkeys(used, symbol))
            return
        opening = self.last is None
        if used and opening is not closing and len(made) != len(used):
            places = self._moved_edge(used, len(made), opening=opening)
            self._set(made, places, set(used), pulls, symbol)
            return
        if entry.through:
            self._cross(used, made, pulls)
            return
        for pull in pulls.each():
            stood = [of[loop] for loop in pull.used]
            places = stood[: len(pull.made)]
            if not stood:
                places = self._from_nothing(pull.made)
            elif len(stood) > len(pull.made):
                places = self._narrowed(stood, len(pull.made))
            else:
                self.opened = []
                self.freed = []
                for _ in range(len(pull.made) - len(stood)):
                    places.append(self.columns.beside(places[-1], to_left=self.to_left))
            self._set(list(pull.made), places, set(stood), pulls, symbol)

    def _set(
        self, made: list[Loop], places: list[int], stood: set[int], pulls: Pulls, symbol: str
    ) -> None:
        plain = symbol
        if len(made) > len(stood) > 0:
            # The loop itself is knitted or purled; the symbol stands in the column it opened.
            stitch = "p" if pulls.operation.stitch == "pfb" else "k"
            plain = self.symbols.of(stitch, self.step.side)
        for loop, place in zip(made, places, strict=True):
            self.columns.of[loop] = self.last = place
            self.cells[place] = plain if place in stood else symbol

    def _from_nothing(self, made: Sequence[Loop]) -> list[int]:
        """Loops made out of none: in a place that a decrease has just left, or in a new one."""
        places: list[int] = []
        for loop in made:
            if self.freed:
                place = self.freed.pop(0)
            else:
                # The first thing in a row is made from nothing: outside the edge.
                last = places[-1] if places else self.last
                to_left = self.to_left if last is not None else not self.to_left
                place = self.columns.beside(last, to_left=to_left)
                self.opened.append((place, loop))
            places.append(place)
        return places

    def _narrowed(self, stood: list[int], made: int) -> list[int]:
        """A decrease: what was made of nothing just before it takes a place that it leaves."""
        moved = self.opened[-(len(stood) - made) :]
        for (place, loop), taken in zip(moved, stood, strict=False):
            self.cells[taken] = self.cells.pop(place)
            self.columns.of[loop] = taken
            self.columns.order.remove(place)
        self.opened = []
        self.freed = stood[len(moved) + made :]
        return stood[len(moved) : len(moved) + made]

    def _moved_edge(self, used: list[int], made: int, *, opening: bool) -> list[int]:
        """The columns of a row's end after it lost or gained some, in the order of the hand."""
        self.opened, self.freed = [], []
        if made < len(used):
            return used[len(used) - made :] if opening else used[:made]
        outside: list[int] = []
        for _ in range(made - len(used)):
            edge = outside[-1] if outside else used[0 if opening else -1]
            outside.append(self.columns.beside(edge, to_left=self.to_left is not opening))
        return [*outside[::-1], *used] if opening else [*used, *outside]

    def _cross(self, used: list[int], made: list[Loop], pulls: Pulls) -> None:
        """The places stay, the loops change them: strokes lean as those that pass in front."""
        shown = self.symbols.crossing(pulls.operation.stitch, self.step.side)
        size = len(shown)
        to_left = self.to_left is not self.symbols.mirror
        self.opened, self.freed = [], []
        for index, (loop, place) in enumerate(zip(made, used, strict=True)):
            here = index % size
            self.cells[place] = shown[size - 1 - here if to_left else here]
            self.columns.of[loop] = self.last = place

    def _turned(self, symbol: str, waiting: Iterable[Loop]) -> None:
        """The turn stands over the loop that waits next."""
        order = self.columns.order if self.to_left else self.columns.order[::-1]
        if self.last is None:
            return
        there = {self.columns.of[loop] for loop in waiting if loop in self.columns.of}
        beyond = order[: order.index(self.last)][::-1]
        for place in beyond:
            if place in there:
                self.cells[place] = symbol
                return


class _Symbols:
    """The symbol of a stitch as seen from the right side, and what it stood for so far."""

    def __init__(self, mirror: bool) -> None:
        self.mirror = mirror
        """Left-handed work: what leans is the mirror image of what its name says."""
        self._lent: dict[str, str] = {}
        self.colour = ""
        """Of the loop that is being drawn, where there are several."""
        self.colours: dict[str, str] = {}
        """The square of each."""
        self.seen: dict[str, list[tuple[str, bool]]] = {}

    def of(self, stitch: str, side: str | None) -> str:
        """The symbol of a stitch worked on that side."""
        entry, behind = self._shown(stitch, side)
        if self.colour and entry.key == "k":
            free = _SQUARES[len(self.colours) % len(_SQUARES)]
            return self.colours.setdefault(colour_name(self.colour), free)
        symbol = entry.symbol or (entry.symbols[-1] if entry.symbols else "")
        symbol = symbol or self._lent.setdefault(
            entry.key, _LETTERS[len(self._lent) % len(_LETTERS)]
        )
        if not entry.symbols:
            self._note(symbol, stitch, behind)
        return symbol

    def crossing(self, stitch: str, side: str | None) -> tuple[str, ...]:
        """A crossing's symbols from the left to the right as seen."""
        entry, behind = self._shown(stitch, side)
        self._note("".join(entry.symbols), stitch, behind)
        return entry.symbols

    def _shown(self, stitch: str, side: str | None) -> tuple[Stitch, bool]:
        entry = STITCHES[stitch]
        behind = side == "WS" and bool(entry.behind)
        shown = STITCHES[entry.behind] if behind else entry
        if self.mirror and shown.mirror and shown.role is not Role.CROSS:
            shown = STITCHES[shown.mirror]
        return shown, behind

    def _note(self, symbol: str, stitch: str, behind: bool) -> None:
        if (stitch, behind) not in self.seen.setdefault(symbol, []):
            self.seen[symbol].append((stitch, behind))


def _in_hand(step: Step) -> list[tuple[Operation, str]]:
    """The operations of a step with the yarn that works each; none for a make of one colour."""
    found, yarn = [], step.colour
    for one in step.operations:
        yarn = one.at if one.stitch == "colour" else yarn
        found.append((one, yarn))
    return found if yarn else []


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
    mirror = script.hand is Hand.LEFT
    fabric, columns, symbols = Fabric(script.hand), _Columns(), _Symbols(mirror)
    for step in script.steps:
        mine = step.part == part and step.kind in LOOP_KINDS
        if mine:
            columns.seat(fabric.live, to_left=True)
        pulls = [pulls for pulls in work(fabric, step) if _drawn(pulls)]
        if not mine or not pulls:
            continue
        to_left = leftward(step, script.hand)
        columns.seat((loop for one in pulls for ids in one.used for loop in ids), to_left=to_left)
        row = _Row(columns, symbols, step, to_left)
        row.draw(pulls, list(fabric.live))
        drawn.append((step, row.cells, to_left))
    if not drawn:
        raise Refusal(
            f"There are no rows to draw in a part {part!r}; the parts are "
            f"{', '.join(script.parts)}."
        )
    order = [c for c in columns.order if any(c in cells for _, cells, _ in drawn)]
    if mirror:
        order.reverse()
    rows = tuple(
        ChartRow(
            step=step.number,
            label=_label(step),
            cells=tuple(cells.get(column, EMPTY) for column in order),
            loops=step.loops_after,
            from_right=to_left is not mirror,
            arrow=_arrow(step, to_left is not mirror),
            current=step.number == current,
        )
        for step, cells, to_left in drawn
    )
    used = {cell for row in rows for cell in row.cells}
    key = tuple(
        (symbol, _meaning(stitches, script.craft))
        for symbol, stitches in symbols.seen.items()
        if len(symbol) > 1 or symbol in used
    )
    key = (*((square, f"knit in {colour}") for colour, square in symbols.colours.items()), *key)
    turned = any(STITCHES[s].role is Role.TURN for of in symbols.seen.values() for s, _ in of)
    return Chart(part, script.craft, rows, key, turned)


def _drawn(pulls: Pulls) -> bool:
    """Whether an operation has a symbol."""
    entry = pulls.operation.entry
    return bool(entry.takes or entry.leaves) or entry.role is Role.TURN
