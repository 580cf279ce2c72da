"""Works a whole pattern for one size, row by row, and writes down what it finds.

The counting knows nothing of the loops' histories: it keeps how many are live, how many rest and
where the markers stand, and drafts the steps. The drafts become a script only where nothing is
at fault; `engine.script.audit` then proves it loop by loop.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import overload

from engine.base.plural import noun
from engine.pattern.count.as_part import as_part
from engine.pattern.count.described import describe
from engine.pattern.count.drafts import Counted
from engine.pattern.count.ledger import Enough, Ledger
from engine.pattern.count.meanwhile import prepare
from engine.pattern.count.one_row import work_step
from engine.pattern.count.reach import loops_of
from engine.pattern.count.row_lines import flush, row_line
from engine.pattern.count.shaping import repeat_rows, shape_beside, shape_rows
from engine.pattern.count.sides import apart, both_sides, keep_sides
from engine.pattern.count.step_lines import step_line, yarn_line
from engine.pattern.count.stitch_rows import forms
from engine.pattern.count.stretches import even_rows, hold_to
from engine.pattern.count.tally import RowSetting, Tally
from engine.pattern.count.worked import TooMuch, leaves_of, takes_of
from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.read import WEAVE_IN
from engine.pattern.text.row_items import (
    Claim,
    Group,
    Hold,
    Item,
    Marker,
    Row,
    Stitch,
    Toward,
    Until,
)
from engine.pattern.text.statements import (
    MARK,
    Again,
    AsPart,
    AtOnce,
    Both,
    Described,
    Even,
    Fabric,
    Forms,
    Heading,
    Note,
    Repeat,
    RowLine,
    ShapeRows,
    Statement,
    StepLine,
    Talk,
    YarnLine,
)
from models.script import Kind


class From(Sequence[Statement]):
    """The statements from one of them on, without a copy for each."""

    def __init__(self, said: Sequence[Statement], start: int) -> None:
        self._said, self._places = said, range(start, len(said))

    def __len__(self) -> int:
        return len(self._places)

    def __iter__(self) -> Iterator[Statement]:
        return map(self._said.__getitem__, self._places)

    @overload
    def __getitem__(self, index: int) -> Statement: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Statement]: ...
    def __getitem__(self, index: int | slice) -> Statement | Sequence[Statement]:
        if isinstance(index, slice):
            return [self._said[place] for place in self._places[index]]
        return self._said[self._places[index]]


class Counting(Ledger):
    """Works the statements in order."""

    def run(self, *, close: bool = False) -> Counted:
        """Count the pattern to its end, or to where it goes beyond all bounds.

        `close`: loops that are live at the end are bound off, with a warning; else that is a fault.
        """
        said = self.all_said
        try:
            for index, statement in enumerate(said):
                if isinstance(statement, Heading) and statement.kind == "part":
                    goes_on = "goes on" in statement.names and index > 0
                    self._start_part(statement.text, From(said, index + 1), goes_on=goes_on)
                elif not index:
                    self._start_part(self.part, said)
                self.label = None
                self.following = From(said, index + 1)
                if self.passed:
                    self.passed -= 1
                else:
                    self._say(statement)
            flush(self)
            self._end(close=close)
        except (Enough, TooMuch):
            pass
        return self.out

    def _say(self, statement: Statement) -> None:
        if isinstance(statement, RowLine):
            self._row(statement)
            return
        if isinstance(statement, Note):
            self._note(statement)
            return
        if isinstance(statement, Described):
            describe(self, statement)
            return
        if isinstance(statement, Fabric):
            self.fabric = statement
            self.even_from = self.out.rows.get(self.part, 0)
            return
        if isinstance(statement, Forms):
            flush(self)
            forms(self, statement)
            return
        if isinstance(statement, Talk):
            if statement.text == MARK:
                return
            self.talk.append(self.place(statement.text))
            return
        if isinstance(statement, Claim):
            hold_to(self, statement)
            return
        flush(self)
        keep_sides(self, statement)
        self._in_bounds(statement)

    def _row(self, line: RowLine) -> None:
        """A row that is written out."""
        if line.kind != "numbered":
            flush(self)
        plain = self.plans.of(line.row, self.size) is not None
        if self.split or not plain:  # a plain row puts nothing aside
            keep_sides(self, line)
        self._in_bounds(line, plain=plain)

    def _in_bounds(self, statement: Statement, *, plain: bool = False) -> None:
        self.since = len(self.out.drafts)
        if self.parallel:
            prepare(self, statement)
        try:
            if plain and isinstance(statement, RowLine):
                self.fabric = None
                row_line(self, statement)
            else:
                self._work(statement)
        except TooMuch:
            self.fault(
                statement.spot,
                "comes to more stitches than a row can have",
                "look for a number that is too large",
            )
            raise

    def _work(self, statement: Statement) -> None:
        """A statement that moves loops, or says where they lie."""
        match statement:
            case Heading():
                self._heading(statement)
            case RowLine() if _is_bind_off(statement):
                off = replace(statement.row, items=statement.row.items[:1])
                line = StepLine("bind off", off, statement.spot, whole=True, said_all=True)
                step_line(self, line)
            case RowLine() if _only_marks(statement):
                self._mark(statement)
            case RowLine():
                self.fabric = None
                row, end = _apart(statement)
                row, picked = self._before_pick_up(self._founded(row))
                row_line(self, apart(self, row))
                if picked:
                    step_line(self, picked)
                if end:
                    yarn_line(self, end)
            case Even():
                even_rows(self, statement)
                if statement.last:
                    shape_rows(self, statement.last)
            case Repeat():
                repeat_rows(self, statement)
            case ShapeRows():
                shape_rows(self, statement)
            case AsPart():
                as_part(self, statement, self.all_said, self._again)
            case StepLine():
                step_line(self, statement)
            case YarnLine():
                yarn_line(self, statement)
            case Both():
                self.passed = both_sides(self, statement, self.following, self._again)
            case AtOnce():
                shape_beside(self, statement)
            case Again():
                self._steps_again(statement)

    def _mark(self, line: RowLine) -> None:
        """`Place marker after 10 sts.` between two rows: it lies there for the next one."""
        for item in line.row.items:
            if isinstance(item, Marker):
                after = number_of(item.number, self.size, 0)
                self.marks.append(self.live - after if item.before_end else after)
        self.marks.sort()

    def _founded(self, line: RowLine) -> RowLine:
        """`Cast on 8 sts, knit across`, where no loop is there yet: a foundation and a row."""
        first, *rest = line.row.items or (None,)
        if (
            self.live
            or not rest
            or not isinstance(first, Stitch)
            or first.parts != (("co", 1),)
            or not all(isinstance(i, (Stitch, Toward, Group, Claim)) for i in rest)
        ):
            return line
        step_line(self, StepLine("foundation", replace(line.row, items=(first,)), line.spot))
        return replace(line, row=replace(line.row, items=tuple(rest)))

    def _before_pick_up(self, line: RowLine) -> tuple[RowLine, StepLine | None]:
        """`K12, pick up and knit 10, k20, pick up and knit 10, k6` on a heel of 12: its row, and
        the round that is picked up, which ends within the heel again.
        """
        items = line.row.items
        at = next((n for n, i in enumerate(items) if _picks_up(i)), 0)
        heel = [i for i in items[:at] if not isinstance(i, Marker)]
        if not heel or line.kind == "numbered" or not self.split or self.split_done:
            return line, None
        if self._reached(heel) != self.live:
            return line, None
        rest = replace(line.row, items=items[at:])
        return (
            replace(line, rounds=False, row=replace(line.row, items=items[:at])),
            StepLine("pick up", rest, rest.items[0].spot),
        )

    def _reached(self, items: Sequence[Item]) -> int | None:
        """Loops that items take, where a stretch alone goes to the end, or over so many."""
        one = items[0] if len(items) == 1 else None
        if isinstance(one, Toward):
            if one.limit.until is Until.OVER and one.limit.short:
                return one.limit.short.whole(self.size)
            return self.live if one.limit.until is Until.LAST and not one.limit.short else None
        return loops_of(Tally(self.live, self.size, RowSetting()), items)

    def _steps_again(self, again: Again) -> None:
        times = number_of(again.times, self.size, 1) - (0 if again.more else 1)
        for _ in range(self.bounded(times, again.spot)):
            for index, statement in enumerate(again.said):
                self._again(statement, From(again.said, index + 1))

    def _again(self, statement: Statement, following: Sequence[Statement]) -> None:
        """A statement of another part, worked once more in this one."""
        self.label, self.following = None, following
        self._say(statement)

    def _start_part(
        self, name: str, following: Sequence[Statement], *, goes_on: bool = False
    ) -> None:
        """Begin a part; one that goes on keeps the loops as they are, and the rows to repeat."""
        flush(self)
        if not goes_on:
            self.note_length()
        self.rows_before = self.rows_so_far if goes_on else 0
        self.part, self.length, self.section = name, None, ""
        self.piece = self.piece if goes_on else name
        if goes_on:
            self.sections[name.lower()] = self.rows_so_far
        if not goes_on:
            self.fabric = None
            self.sections, self.last_rows, self.pattern_rows = {}, {}, []
            self.in_round = self.flat = False
            self.former = self.block or self.former
            self.block, self.fillers, self.last, self.numbered = {}, [], 0, (0, 0)
            self.named, self.history, self.marks = {}, [], []
            self.standing, self.gaps, self.holes = None, [], []
            self.split, self.split_done = None, False
            self.beside, self.charted = [], {}
            self.next_side = self.next_direction = None
        self.part_statements = []
        for statement in following:
            if isinstance(statement, Heading) and statement.kind == "part":
                break
            self.part_statements.append(statement)

    def _end(self, *, close: bool) -> None:
        spot = self.out.drafts[-1].spot if self.out.drafts else Spot(1, 1)
        self.label = None
        if self.pattern.unread:
            return  # what is left over may be closed by a line that could not be read
        if self.pending:
            worked, before, after = work_step(self, (), spot)
            if worked.operations:
                self.draft(Kind.BIND_OFF, worked.operations, spot, before=before, after=after)
        held = {place: count for place, count in self.rests.items() if count}
        if self.live and close and self.out.sound and self.out.drafts:
            self._close_live(spot)
        elif self.live:
            self.fault(
                spot,
                f"at the end {self.n(self.live)} {noun(self.live, 'is', 'are')} still live",
                "bind them off, or leave them resting for a later part",
            )
        if held and not self.live and self.out.sound:
            for name, said in self._pairs():
                self._work_other(name, said)
            held = {place: count for place, count in self.rests.items() if count}
            if held:
                self._close_held(held, spot)
        if self.out.drafts and self.out.drafts[-1].kind is not Kind.FINISH:
            self.draft(Kind.FINISH, [], spot, note=WEAVE_IN)

    def _pairs(self) -> list[tuple[str, list[Statement]]]:
        """Parts that are told once for two, as sleeves are, and take up loops from a holder."""
        parts: list[tuple[str, list[Statement]]] = []
        for statement in self.all_said:
            if isinstance(statement, Heading) and statement.kind == "part":
                parts.append((statement.text, []))
            elif parts:
                parts[-1][1].append(statement)
        return [(name, said) for name, said in parts if name.lower().endswith("s")]

    def _work_other(self, name: str, said: Sequence[Statement]) -> None:
        """The second one of a pair, where as many loops rest for it as the first one took up."""
        works = [s for s in said if isinstance(s, (StepLine, YarnLine, RowLine))][:1]
        items = [i for s in works for i in _items_of(s) if isinstance(i, Hold)]
        if len(items) != 1 or items[0].stitch != "resume":
            return
        place = self.place(items[0].places[0])
        waiting = {p: n for p, n in self.rests.items() if n and place in {p, ""}}
        drafts = (d for d in self.out.drafts if d.part == name)
        first = next((o for d in drafts for o in d.operations if o.stitch == "resume"), None)
        if first is None or list(waiting.items()) != [(first.at, first.times)]:
            return
        self._start_part(f"{name} (2)", said)
        for index, statement in enumerate(said):
            self._again(statement, From(said, index + 1))

    def _close_live(self, spot: Spot) -> None:
        """Loops of which the text does not say what becomes: bound off, and told."""
        self.warn(
            spot,
            f"at the end {self.n(self.live)} {noun(self.live, 'is', 'are')} still live; "
            f"{noun(self.live, 'it is', 'they are')} bound off there",
            "say what becomes of them, where it is something else",
        )
        off = Stitch((("bo", 1),), spot)
        self._say(StepLine("bind off", Row((off,), spot), spot, whole=True, said_all=True))

    def _close_held(self, held: dict[str, int], spot: Spot) -> None:
        """Loops that a pattern leaves on a holder and never takes up: closed at the end."""
        told = ", ".join(f"{count} at {place}" for place, count in held.items())
        self.warn(
            spot,
            f"at the end loops still rest: {told}; they are taken up and bound off there",
            "say what becomes of them, where it is something else",
        )
        chunks = [(p, n) for p, count in held.items() for n in self.left_at(p, count)]
        for place, count in chunks:
            taken = Hold("resume", Number((float(count),), spot, str(count)), (place,), spot)
            closed = (("bo", count - 1), ("fasten", 1), ("tail", 1))
            stitches = (
                Stitch(((stitch, 1),), spot, Number((float(times),), spot))
                for stitch, times in closed
                if times
            )
            self._say(StepLine("bind off", Row((taken, *stitches), spot), spot))

    def _heading(self, heading: Heading) -> None:
        match heading.kind:
            case "length":
                self.length = heading
            case "worked":
                self.in_round = heading.text == "round"
                self.flat = not self.in_round
            case "section" | "part" if heading.kind == "section" or "goes on" in heading.names:
                self.sections.pop(heading.text.lower(), None)
                self.sections[heading.text.lower()] = self.rows_so_far
                self.section = heading.text.lower().removeprefix("shape ").strip(" .:")
            case "level":
                self.out.level.append(heading.names)
                self.out.claims["|".join(heading.names)] = heading.spot
            case "mirrored":
                if len(heading.names) == 2:
                    self.out.mirrored.append((heading.names[0], heading.names[1]))
                    self.out.claims["|".join(heading.names)] = heading.spot
                else:
                    self.fault(
                        heading.spot,
                        f"names {len(heading.names)} parts to mirror",
                        "name two, as in 'Mirrored: right front, left front'",
                    )
            case "finished":
                cm = heading.numbers[0].real(self.size) * heading.unit
                self.out.finished[heading.text] = (cm, heading.names[0])

    def _note(self, note: Note) -> None:
        if note.names and self.name not in note.names:
            return
        if len(self.out.drafts) > self.since:
            text = "" if note.text == "-" else self.place(note.text)
            self.out.drafts[-1].note = text


def _picks_up(item: Item) -> bool:
    return isinstance(item, Stitch) and item.parts == (("pick up", 1),)


def _only_marks(line: RowLine) -> bool:
    """Whether a sentence places markers by their numbers, and works no loop."""
    items = line.row.items
    return (
        line.kind == "next"
        and bool(items)
        and all(isinstance(i, Marker) and i.number and not i.off and not i.at for i in items)
    )


def _is_bind_off(line: RowLine) -> bool:
    """`Row 6: bind off`: all there are."""
    items = line.row.items
    first = items[0] if items else None
    return (
        isinstance(first, Stitch)
        and first.parts == (("bo", 1),)
        and first.count is None
        and first.times is None
        and not first.at
        and all(isinstance(i, Claim) for i in items[1:])
    )


def _items_of(said: StepLine | YarnLine | RowLine) -> Sequence[Item]:
    if isinstance(said, YarnLine):
        return said.items
    return said.row.items if said.row else ()


def _apart(line: RowLine) -> tuple[RowLine, YarnLine | None]:
    """`K2tog and fasten off`: what is fastened is what the decrease leaves."""
    items = line.row.items
    for index in range(1, len(items)):
        before, here = items[index - 1], items[index]
        if not (isinstance(before, Stitch) and isinstance(here, Stitch)):
            continue
        if here.parts[0][0] in _ENDS and takes_of(before.parts) > leaves_of(before.parts) > 0:
            ends = YarnLine(items[index:], here.spot)
            return replace(line, row=replace(line.row, items=items[:index])), ends
    return line, None


_ENDS = {"fasten", "tail"}
