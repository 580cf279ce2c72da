"""Works a whole pattern for one size, row by row, and writes down what it finds.

The counting knows nothing of the loops' histories: it keeps how many are live, how many rest and
where the markers stand, and drafts the steps. The drafts become a script only where nothing is
at fault; `engine.audit` then proves it loop by loop.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from engine.pattern.expand import work_row
from engine.pattern.fabric import established, patterned
from engine.pattern.read import WEAVE_IN, Pattern, by_size
from engine.pattern.tally import RowSetting
from engine.pattern.tree import (
    AsRow,
    Claim,
    Even,
    Heading,
    Hold,
    Item,
    Limit,
    Note,
    Number,
    Repeat,
    Row,
    RowLine,
    Shape,
    ShapeRows,
    Span,
    Spot,
    Statement,
    StepLine,
    Stitch,
    Toward,
    Turns,
    Until,
    YarnLine,
    number_of,
)
from engine.pattern.worked import Misfit, TooMuch, Worked
from models.gauge import Gauge
from models.pattern import Fault, Severity
from models.script import LOOP_KINDS, ROW_KINDS, Craft, Direction, Kind, Operation
from models.stitch import STITCHES

ROWS_AT_MOST = 20_000
LOOPS_WORKED_AT_MOST = 1_000_000
"""Loops worked in one size, all rows together; a large blanket has a tenth of it."""
OPERATIONS_AT_MOST = 400_000
_FLIP = {"RS": "WS", "WS": "RS"}
_BACK = {
    Direction.RIGHT_TO_LEFT: Direction.LEFT_TO_RIGHT,
    Direction.LEFT_TO_RIGHT: Direction.RIGHT_TO_LEFT,
}
_LOOK_NOTES = {
    Kind.BACK_CHECK: "Look at the back before going on: a missed loop sticks out there",
    Kind.FIT_CHECK: "Try it on before going on",
    Kind.FINISH: WEAVE_IN,
}


@dataclass
class Draft:
    """A step as the pattern says it, before its part's rows are counted."""

    part: str
    kind: Kind
    operations: list[Operation]
    spot: Spot
    direction: Direction | None = None
    side: str | None = None
    target_cm: float | None = None
    note: str = ""
    length: Heading | None = None
    """What the pattern says of the part's length, where it does."""
    before: int = 0
    after: int = 0


@dataclass(frozen=True)
class Template:
    """A row that may be worked again."""

    items: tuple[Item, ...]
    rounds: bool
    spot: Spot
    even: Even | None = None


@dataclass(frozen=True)
class _Filler:
    start: int
    step: int
    side: str | None
    last: int | None
    template: Template


@dataclass
class Stretch:
    """Rows of a part whose number a tape may change."""

    part: str
    open: bool
    rows: int


@dataclass
class Counted:
    """One size of a pattern, counted."""

    drafts: list[Draft] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    rows: dict[str, int] = field(default_factory=dict)
    open_parts: set[str] = field(default_factory=set)
    stretches: list[Stretch] = field(default_factory=list)
    level: list[tuple[str, ...]] = field(default_factory=list)
    mirrored: list[tuple[str, str]] = field(default_factory=list)
    fixes: tuple[tuple[Spot, int], ...] = ()
    """Numbers to write, by their places, that repair the first fault that numbers repair."""
    mendable: set[Spot] = field(default_factory=set)
    """Places of the faults that numbers repair."""
    claims: dict[str, Spot] = field(default_factory=dict)
    """Where a claim about parts stands, by the parts' names."""
    finished: dict[str, tuple[float, str]] = field(default_factory=dict)
    """Finished measurements, cm, and whether they lie across or up."""

    @property
    def sound(self) -> bool:
        """Whether nothing but warnings was found."""
        return all(f.severity is Severity.WARNING for f in self.faults)


class _Enough(Exception):
    """Counting stops here; the reason is among the faults."""


class Counter:
    """Works the statements in order. `changes` adds rows to a stretch, by its index."""

    def __init__(
        self,
        pattern: Pattern,
        size: int,
        gauge: Gauge,
        craft: Craft,
        changes: dict[int, int] | None = None,
    ) -> None:
        self.pattern, self.size, self.gauge, self.craft = pattern, size, gauge, craft
        self.changes = changes or {}
        self.name = pattern.sizes[size]
        self.out = Counted()
        self.live = 0
        self.rests: dict[str, int] = {}
        self.marks: list[int] = []
        self.pending: list[Item] = []
        self.worked_loops = self.worked_operations = 0
        self.block: dict[int, Template] = {}
        self.fillers: list[_Filler] = []
        self.last = 0
        self.named: dict[str, Template] = {}
        self.history: list[Template] = []
        self.part, self.in_round = "piece", False
        self.length: Heading | None = None
        self.next_side: str | None = None
        self.next_direction: Direction | None = None
        self.label: int | None = None
        self.since = 0
        """Index of the first draft of the last statement: what a note belongs to."""
        self.even_from = 0
        self._part_statements: list[Statement] = []
        self._ahead: set[tuple[Spot, int]] = set()
        """Rows already worked by a line that is still to come, by its place."""
        self._seen: set[tuple[Spot, str]] = set()

    # ------------------------------------------------------------ findings
    def fault(
        self, spot: Spot, text: str, repair: str = "", severity: Severity = Severity.FAULT
    ) -> None:
        """Write down a finding; the same one of a repeated row is told once."""
        key = (spot, severity.value)
        if key in self._seen:
            return
        self._seen.add(key)
        self.out.faults.append(
            Fault(
                line=spot.line,
                column=spot.column,
                size=self.name if len(self.pattern.sizes) > 1 else "",
                part=self.part,
                row=self.label,
                severity=severity,
                text=text,
                repair=repair,
            )
        )

    def warn(self, spot: Spot, text: str, repair: str = "") -> None:
        """A finding that does not keep the pattern from being worked."""
        self.fault(spot, text, repair, Severity.WARNING)

    def _slips(self, row: Row) -> None:
        for slip in row.slips:
            severity = Severity.FAULT if slip.fault else Severity.WARNING
            self.fault(slip.spot, slip.what, slip.repair, severity)

    def misfit(self, found: Misfit) -> None:
        """A row's own finding."""
        severity = Severity.WARNING if found.warning else Severity.FAULT
        if found.fixes:
            self.out.fixes = self.out.fixes or found.fixes
            self.out.mendable.add(found.spot)
        self.fault(found.spot, found.what, found.repair, severity)

    # ------------------------------------------------------------ words
    @property
    def word(self) -> str:
        """Loop or stitch."""
        return "loop" if self.craft is Craft.LOOP else "stitch"

    def n(self, count: int) -> str:
        """`12 loops`, `1 stitch`."""
        plural = "loops" if self.craft is Craft.LOOP else "stitches"
        return f"{count} {self.word if count == 1 else plural}"

    def place(self, text: str) -> str:
        """A place's name, for this size."""
        return by_size(text, self.size, len(self.pattern.sizes))

    # ------------------------------------------------------------ the whole pattern
    def run(self) -> Counted:
        """Count the pattern to its end, or to where it goes beyond all bounds."""
        mine = [s for s in self.pattern.statements if not s.names or self.name in s.names]
        said = [s.said for s in mine]
        try:
            for index, statement in enumerate(said):
                if isinstance(statement, Heading) and statement.kind == "part":
                    self._start_part(statement.text, said[index + 1 :])
                elif not index:
                    self._start_part(self.part, said)
                self.label = None
                self._say(statement)
            self._flush()
            self._end()
        except (_Enough, TooMuch):
            pass
        return self.out

    def _say(self, statement: Statement) -> None:
        if isinstance(statement, Note):
            self._note(statement)
            return
        if isinstance(statement, Claim):
            self._claim(statement)
            return
        if not (isinstance(statement, RowLine) and statement.kind == "numbered"):
            self._flush()
        self.since = len(self.out.drafts)
        try:
            match statement:
                case Heading():
                    self._heading(statement)
                case RowLine():
                    self._row_line(statement)
                case Even():
                    self._even(statement)
                case Repeat():
                    self._repeat(statement)
                case ShapeRows():
                    self._shape_rows(statement)
                case StepLine():
                    self._step_line(statement)
                case YarnLine():
                    self._yarn_line(statement)
        except TooMuch:
            self.fault(
                statement.spot,
                "comes to more stitches than a row can have",
                "look for a number that is too large",
            )
            raise

    def _start_part(self, name: str, following: Sequence[Statement]) -> None:
        self._flush()
        self.part, self.length, self.in_round = name, None, False
        self.block, self.fillers, self.last = {}, [], 0
        self.named, self.history, self.marks = {}, [], []
        self.next_side = self.next_direction = None
        self._part_statements = []
        for statement in following:
            if isinstance(statement, Heading) and statement.kind == "part":
                break
            self._part_statements.append(statement)

    def _end(self) -> None:
        spot = self.out.drafts[-1].spot if self.out.drafts else Spot(1, 1)
        self.label = None
        if self.pattern.unread:
            return  # what is left over may be closed by a line that could not be read
        if self.pending:
            self._work((), spot, strict=False, rounds=False)
        held = {place: count for place, count in self.rests.items() if count}
        if self.live:
            self.fault(
                spot,
                f"at the end {self.n(self.live)} {'is' if self.live == 1 else 'are'} still live",
                "bind them off, or leave them resting for a later part",
            )
        if held:
            told = ", ".join(f"{count} at {place}" for place, count in held.items())
            self.fault(spot, f"at the end loops still rest: {told}", "take them up and close them")
        if self.out.drafts and self.out.drafts[-1].kind is not Kind.FINISH:
            self._draft(Kind.FINISH, [], spot, note=WEAVE_IN)

    # ------------------------------------------------------------ headings and notes
    def _heading(self, heading: Heading) -> None:
        match heading.kind:
            case "length":
                self.length = heading
            case "worked":
                self.in_round = heading.text == "round"
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

    # ------------------------------------------------------------ drafts
    def _draft(
        self,
        kind: Kind,
        operations: list[Operation],
        spot: Spot,
        *,
        before: int = 0,
        after: int = 0,
        direction: Direction | None = None,
        side: str | None = None,
        target_cm: float | None = None,
        note: str = "",
    ) -> Draft:
        draft = Draft(
            part=self.part,
            kind=kind,
            operations=operations,
            spot=spot,
            direction=direction,
            side=side,
            target_cm=target_cm,
            note=note,
            length=self.length,
            before=before,
            after=after,
        )
        self.out.drafts.append(draft)
        if kind in ROW_KINDS:
            self.out.rows[self.part] = self.out.rows.get(self.part, 0) + 1
        if len(self.out.drafts) > ROWS_AT_MOST:
            self.fault(
                spot, f"comes to more than {ROWS_AT_MOST} rows", "look for a slip in a count"
            )
            raise _Enough
        return draft

    def _spend(self, worked: Worked, spot: Spot) -> None:
        self.worked_loops += max(self.live, worked.leaves)
        self.worked_operations += len(worked.operations)
        if self.worked_loops > LOOPS_WORKED_AT_MOST or self.worked_operations > OPERATIONS_AT_MOST:
            self.fault(
                spot,
                f"the pattern comes to more than {LOOPS_WORKED_AT_MOST} {self.word}s in all",
                "look for a number that is too large",
            )
            raise _Enough

    def _find(self, wanted: AsRow) -> tuple[Item, ...] | None:
        if wanted.name:
            named = self.named.get(wanted.name)
            return named.items if named else None
        number = wanted.rows[0][0].whole(self.size) if wanted.rows else 0
        template = self.block.get(number)
        return template.items if template else None

    def _work(
        self, items: Sequence[Item], spot: Spot, *, strict: bool, rounds: bool
    ) -> tuple[Worked, int, int]:
        """The worked row with the loops before and after it; the counters move on."""
        whole = (*self.pending, *items)
        self.pending = []
        worked, before, self.rests = work_row(
            whole,
            self.live,
            self.size,
            RowSetting(
                word=self.word,
                marks=tuple(self.marks),
                as_row=self._find,
                strict=strict,
                in_round=rounds,
                rests=self.rests,
                place=self.place,
            ),
        )
        for found in worked.misfits:
            self.misfit(found)
        self._spend(worked, spot)
        after = before + worked.leaves - worked.takes
        if not worked.fits:
            # What the pattern says it leaves is the likelier count to go on with.
            after = worked.claim.number.whole(self.size) if worked.claim else max(0, after)
        self.live = after
        return worked, before, after

    def _travel(
        self, rounds: bool, side: str | None, direction: str | None, spot: Spot
    ) -> tuple[Direction | None, str | None]:
        """Direction and side of the next row, and what the row after it will have."""
        told = None if not direction else Direction(direction)
        if rounds:
            return (None if direction == "" else told or Direction.AROUND), None
        if self.craft is Craft.NEEDLES:
            expected = self.next_side or "RS"
            if side and self.next_side and side != expected:
                self._wrong_side(side, expected, spot)
            now = None if side == "" else side or expected
            self.next_side = _FLIP[now] if now else None
            return (None if direction == "" else told or Direction.RIGHT_TO_LEFT), now
        if told is None and side and self.next_direction is None:
            told = Direction.RIGHT_TO_LEFT if side == "RS" else Direction.LEFT_TO_RIGHT
        going = told or self.next_direction or Direction.RIGHT_TO_LEFT
        if side and direction is None and (side == "RS") != (going is Direction.RIGHT_TO_LEFT):
            self._wrong_side(side, _FLIP[side], spot)
        self.next_direction = _BACK.get(going, going)
        return (None if direction == "" else going), None

    def _wrong_side(self, said: str, comes: str, spot: Spot) -> None:
        self.warn(
            spot,
            f"is marked {said}, and comes as a {comes} row",
            "work one row more or fewer before it, or mark it so",
        )

    def _emit(
        self,
        template: Template,
        *,
        side: str | None = None,
        direction: str | None = None,
        spot: Spot | None = None,
        claimed: bool = False,
    ) -> None:
        """Work one row of a template. A count said after it holds only where it is `claimed`."""
        where = spot or template.spot
        going, facing = self._travel(template.rounds, side, direction, where)
        if template.even is not None:
            operations = self._even_operations(template, facing, going)
            items: tuple[Item, ...] = _as_items(operations, where)
        else:
            items = template.items
            if not claimed:
                items = tuple(i for i in items if not isinstance(i, Claim))
        worked, before, after = self._work(items, where, strict=True, rounds=template.rounds)
        kind = Kind.ROUND if template.rounds else Kind.ROW
        if not any(STITCHES[o.stitch].takes for o in worked.operations) and before:
            self.fault(where, "works no loop of the row", "write what is done with them")
        self._draft(
            kind,
            worked.operations,
            where,
            before=before,
            after=after,
            direction=going,
            side=facing,
        )
        if template.rounds:
            self.marks = sorted(worked.marks)
        else:
            self.marks = sorted(max(0, after - m) for m in worked.marks)
        self.history.append(template)

    # ------------------------------------------------------------ rows
    def _row_line(self, line: RowLine) -> None:
        template = Template(line.row.items, line.rounds, line.spot)
        self._slips(line.row)
        side = line.marks.side if line.marks else None
        direction = line.marks.direction if line.marks else None
        if line.name:
            self.named[line.name] = template
        match line.kind:
            case "numbered":
                self._numbered(line, template, side, direction)
            case "next":
                count = number_of(line.number, self.size, 1)
                for index in range(self._bounded(count, line.spot)):
                    first = index == 0
                    self.last += 1
                    self.label = None
                    self._emit(
                        template,
                        side=(side or line.side) if first else None,
                        direction=direction if first else None,
                        claimed=index == count - 1,
                    )
            case "named":
                self.last += 1
                self._emit(template, side=side, direction=direction, claimed=True)
            case _:
                pass  # "All WS rows" and "All other rows" fill gaps, wherever they stand

    def _bounded(self, count: int, spot: Spot) -> int:
        if count > ROWS_AT_MOST:
            self.fault(spot, f"asks for {count} rows", f"ask for at most {ROWS_AT_MOST}")
            raise _Enough
        return max(0, count)

    def _numbered(
        self, line: RowLine, template: Template, side: str | None, direction: str | None
    ) -> None:
        first_row = True
        for rows in line.ranges:
            first, last = rows.first.whole(self.size), rows.last.whole(self.size)
            count = self._bounded(last - first + 1, line.spot)
            templates = self._sources(template, line.row.items)
            if rows.first is not rows.last:
                count = self._stretch(count, is_open=False)
            for index in range(count):
                if (line.spot, first + index) in self._ahead:
                    continue
                self._labelled(
                    first + index,
                    templates[index % len(templates)],
                    side if first_row else None,
                    direction if first_row else None,
                    line.spot,
                    claimed=index == count - 1 and templates == [template],
                )
                first_row = False
        for filler in line.fillers:
            start = number_of(line.number, self.size, self.last + filler.step) - filler.step
            if line.ranges:
                start = line.ranges[-1].first.whole(self.size)
            last_row = filler.last.whole(self.size) if filler.last else None
            self.fillers.append(_Filler(start, filler.step, filler.side, last_row, template))

    def _sources(self, template: Template, items: tuple[Item, ...]) -> list[Template]:
        """`Rows 5–8: as rows 1–4` are four templates; any other row is its own."""
        only = items[0] if len(items) == 1 else None
        if not isinstance(only, AsRow) or not only.rows:
            return [template]
        found: list[Template] = []
        for first, last in only.rows:
            for number in range(first.whole(self.size), last.whole(self.size) + 1):
                source = self.block.get(number)
                if source is None or len(found) > ROWS_AT_MOST:
                    return [template]
                found.append(source)
        return found or [template]

    def _labelled(
        self,
        number: int,
        template: Template,
        side: str | None,
        direction: str | None,
        spot: Spot,
        *,
        claimed: bool,
    ) -> None:
        count = self.out.rows.get(self.part, 0) + 1
        if number == 1 and self.last:
            self.block, self.fillers, self.last = {}, [], 0
        elif not self.last and number != 1:
            self.last = number - 1
        expected = self.last + 1
        if number > expected and number != count:
            self._fill_to(number - 1, spot, number)
        elif number < expected and number != count:
            self.label = number
            self.fault(
                spot,
                f"row {number} comes after row {self.last}",
                f"call it row {expected}, or 'next row'",
            )
        self.label = number
        self.last = number
        self._emit(template, side=side, direction=direction, spot=spot, claimed=claimed)
        self.block[number] = template

    def _filler_for(self, number: int) -> Template | None:
        for filler in self.fillers:
            fits = number > filler.start and (number - filler.start) % filler.step == 0
            if fits and (filler.last is None or number <= filler.last):
                return filler.template
        for statement in self._part_statements:
            if not isinstance(statement, RowLine):
                continue
            if statement.kind == "numbered" and len(statement.ranges) > 1:
                # "Rows 2, 4 and 6" may be written after "Rows 1, 3 and 5" and still come between.
                for rows in statement.ranges:
                    if rows.first.whole(self.size) <= number <= rows.last.whole(self.size):
                        self._ahead.add((statement.spot, number))
                        return Template(statement.row.items, statement.rounds, statement.spot)
            side = self.next_side or "RS"
            if self.craft is Craft.LOOP:
                going = self.next_direction or Direction.RIGHT_TO_LEFT
                side = "RS" if going is Direction.RIGHT_TO_LEFT else "WS"
            if statement.kind == "others" or (statement.kind == "side" and statement.side == side):
                return Template(statement.row.items, statement.rounds, statement.spot)
        return None

    def _fill_to(self, last: int, spot: Spot, before: int) -> None:
        """Work the rows that are not written out, up to row `last`."""
        self._bounded(last - self.last, spot)
        while self.last < last:
            template = self._filler_for(self.last + 1)
            if template is None:
                missing = (
                    f"row {self.last + 1} is"
                    if last == self.last + 1
                    else f"rows {self.last + 1} to {last} are"
                )
                self.label = before
                self.fault(
                    spot,
                    f"row {before} follows row {self.last}: {missing} missing",
                    "write what is between, or 'all other rows'",
                )
                self.last = last
                return
            self.last += 1
            self.label = self.last
            self.block[self.last] = template
            self._emit(template)

    def _flush(self) -> None:
        """Work the rows that `to row N` promises beyond the last one written out."""
        for filler in self.fillers:
            if filler.last is not None and filler.last > self.last:
                self._fill_to(filler.last, filler.template.spot, filler.last)

    # ------------------------------------------------------------ sentences about rows
    def _stretch(self, rows: int, *, is_open: bool) -> int:
        """Rows of a stretch, with what the tape has changed."""
        index = len(self.out.stretches)
        rows = max(0, rows + self.changes.get(index, 0))
        self.out.stretches.append(Stretch(self.part, is_open, rows))
        return rows

    @property
    def _rounds(self) -> bool:
        return self.in_round or bool(self.history and self.history[-1].rounds)

    def _even(self, even: Even) -> None:
        rounds = self._rounds if even.rounds is None else even.rounds
        template = Template((), rounds, even.spot, even)
        self.even_from = self.out.rows.get(self.part, 0)
        self._go_on([template], even.span, even.spot)

    def _even_operations(
        self, template: Template, side: str | None, going: Direction | None
    ) -> list[Operation]:
        even = template.even
        assert even is not None  # only called for one
        count = self.live
        for item in self.pending:
            if isinstance(item, Hold):
                held = number_of(item.number, self.size, 0)
                count += -held if item.stitch == "rest" else held * len(item.places)
        row = self.out.rows.get(self.part, 0) - self.even_from
        back = side == "WS" or going is Direction.LEFT_TO_RIGHT
        if even.style or even.stitch != "work":
            rib = even.rib
            return patterned(
                even.style or even.stitch,
                count,
                row,
                rib=(rib[0].whole(self.size), rib[1].whole(self.size)) if rib else (1, 1),
                back=back,
                turned=side is not None,
                rounds=template.rounds,
            )
        mine = [
            d
            for d in self.out.drafts
            if d.part == self.part and d.kind in ROW_KINDS and (d.side == side)
        ]
        before = mine[-1].operations if mine else None
        return established(before, count, purl=side == "WS")

    def _span_rows(self, span: Span, spot: Spot) -> tuple[int, float | None]:
        """Rows of a span, and what the tape should say after them."""
        worked = self.out.rows.get(self.part, 0)
        per_cm = self.gauge.rows_per_cm
        if span.kind == "rows":
            return self._bounded(number_of(span.number, self.size, 1), spot), None
        cm = span.number.real(self.size) * span.unit if span.number else 0.0
        if span.kind == "length":
            wanted = round(cm * per_cm)
            target = round(worked / per_cm + cm, 1)
        else:
            wanted = max(0, round(cm * per_cm) - worked)
            target = cm
        rows = number_of(span.about, self.size, wanted)
        self._bounded(rows, spot)
        if span.end_side and rows and self._side_after(rows) != span.end_side:
            if span.about is None:
                rows += 1
            else:
                self.warn(
                    spot,
                    f"ends after {rows} rows with a {_FLIP[span.end_side]} row, and says "
                    f"{span.end_side}",
                    f"work {rows + 1} rows",
                )
        return rows, target

    def _side_after(self, rows: int) -> str:
        if self.craft is Craft.NEEDLES:
            first = self.next_side or "RS"
        else:
            going = self.next_direction or Direction.RIGHT_TO_LEFT
            first = "RS" if going is Direction.RIGHT_TO_LEFT else "WS"
        return first if rows % 2 else _FLIP[first]

    def _go_on(self, templates: Sequence[Template], span: Span, spot: Spot) -> None:
        """Work templates in turn for as long as a span says."""
        match span.kind:
            case "times" | "once":
                times = number_of(span.number, self.size, 1)
                self._bounded(times * len(templates), spot)
                for _ in range(times):
                    for template in templates:
                        self._emit(template, spot=spot)
            case "remain":
                self._until_remain(templates, number_of(span.number, self.size, 0), spot)
            case _:
                rows, target = self._span_rows(span, spot)
                rows = self._stretch(rows, is_open=target is not None)
                for index in range(rows):
                    self._emit(templates[index % len(templates)], spot=spot)
                if target is not None:
                    self.out.open_parts.add(self.part)
                    self._measure(target, spot)

    def _measure(self, target: float, spot: Spot) -> None:
        self._draft(
            Kind.MEASURE,
            [],
            spot,
            target_cm=target,
            before=self.live,
            after=self.live,
            note=f"Lay it flat and measure: {target:g} cm is wanted",
        )

    def _until_remain(self, templates: Sequence[Template], wanted: int, spot: Spot) -> None:
        rising = self.live < wanted
        while (self.live < wanted) if rising else (self.live > wanted):
            before = self.live
            for template in templates:
                self._emit(template, spot=spot)
            if (self.live <= before) if rising else (self.live >= before):
                self.fault(
                    spot,
                    f"goes on until there are {self.n(wanted)}, and the rows never get there",
                    f"repeat rows that {'increase' if rising else 'decrease'}",
                )
                return
            if not self.out.sound:
                return
        if self.live != wanted:
            self.fault(
                spot,
                f"goes on until there are {self.n(wanted)}, and passes by to {self.live}",
                f"write {self.live}",
            )

    def _meant(self, repeat: Repeat) -> list[Template]:
        if repeat.kind == "named":
            named = self.named.get(repeat.name)
            return [named] if named else []
        if repeat.kind == "last":
            count = number_of(repeat.number, self.size, len(self.block) or 1)
            return self.history[-count:] if 0 < count <= len(self.history) else []
        found: list[Template] = []
        for rows in repeat.ranges:
            first, last = rows.first.whole(self.size), rows.last.whole(self.size)
            if last > self.last and all(
                self._filler_for(n) for n in range(self.last + 1, min(last, self.last + 3) + 1)
            ):
                self._fill_to(last, repeat.spot, last)
            for number in range(first, self._bounded(last - first + 1, repeat.spot) + first):
                if number not in self.block:
                    return []
                found.append(self.block[number])
        return found

    def _repeat(self, repeat: Repeat) -> None:
        templates = self._meant(repeat)
        if not templates:
            known = ", ".join(str(n) for n in list(self.block)[:12]) or "none"
            self.fault(
                repeat.spot,
                "repeats rows that are not written",
                f"the rows written so far in this part are: {known}",
            )
            return
        if repeat.turns:
            self._turns(repeat.turns, templates[0], 0, None, repeat.spot)
        else:
            self._go_on(templates, repeat.span, repeat.spot)

    def _shape_rows(self, shape: ShapeRows) -> None:
        spot, count = shape.spot, shape.number or Number((1.0,), shape.spot)
        ends = 2 if shape.where == "each end" else 1
        each = ends * count.whole(self.size)
        items: tuple[Item, ...]
        if shape.stitch in {"bo", "co"}:
            worked = Stitch(((shape.stitch, 1),), spot, count)
            rest = Toward((("k", 1),), Limit(Until.LAST), spot)
            items = (worked, rest) if shape.where == "beginning" else (rest, worked)
            if shape.stitch == "bo" and shape.where == "end":
                items = (Toward((("k", 1),), Limit(Until.LAST, count), spot), worked)
        else:
            items = (Shape(shape.stitch, count, shape.where, spot),)
        template = Template(items, self._rounds, spot)
        change = each if shape.stitch in {"inc", "co"} else -each
        self._turns(shape.turns, template, change, shape.claim, spot)

    def _turns(
        self,
        turns: Sequence[Turns],
        template: Template,
        change: int,
        claim: Claim | None,
        spot: Spot,
    ) -> None:
        """A row that comes every so many rows, with even rows between."""
        even = Template(
            (), template.rounds, spot, Even("work", "", None, Span("once"), spot, template.rounds)
        )
        said = claim.number.whole(self.size) if claim else None
        for index, turn in enumerate(turns):
            times = self._turn_times(turn, change, spot)
            last = index == len(turns) - 1
            if (
                said is not None
                and last
                and index
                and times > 1
                and not turn.span.more
                and self.live + change * times != said
                and self.live + change * (times - 1) == said
            ):
                times -= 1  # "next and every foll 4th row 6 times" counts the next one in
            for _ in range(self._bounded(times, spot)):
                self._wait(turn, even, spot)
                self._emit(template, spot=spot)
        if claim is not None:
            self._claim(claim)

    def _claim(self, claim: Claim) -> None:
        """What a sentence says is there after it."""
        said = claim.number.whole(self.size)
        if self.out.sound and self.live != said:
            self.misfit(
                Misfit(
                    claim.spot,
                    f"says {self.n(said)} after it, there are {self.live}",
                    f"write {self.live}, or change how many times",
                    fixes=((claim.number.spot, self.live),),
                )
            )

    def _turn_times(self, turn: Turns, change: int, spot: Spot) -> int:
        span = turn.span
        if span.kind == "once":
            return 1
        if span.kind == "times":
            return number_of(span.number, self.size, 1)
        if span.kind == "remain" and change:
            wanted = number_of(span.number, self.size, 0)
            times, over = divmod(wanted - self.live, change)
            if over or times < 0:
                self.fault(
                    spot,
                    f"goes on until {self.n(wanted)} remain, and from {self.live} in steps of "
                    f"{abs(change)} it never comes to that",
                    f"say until {self.live - (self.live - wanted) // abs(change) * abs(change)} "
                    "remain",
                )
                return 0
            return times
        self.fault(spot, "does not say how many times", "add '6 times', or 'until 20 sts rem'")
        return 0

    def _wait(self, turn: Turns, even: Template, spot: Spot) -> None:
        if turn.first_now:
            return
        if turn.side:
            if self._side_after(1) != turn.side:
                self._emit(even, spot=spot)
            return
        for _ in range(min(turn.step - 1, ROWS_AT_MOST)):
            self._emit(even, spot=spot)

    # ------------------------------------------------------------ steps that are no rows
    def _step_line(self, step: StepLine) -> None:
        spot = step.spot
        kind = Kind.FINISH if step.kind == "weave in" else Kind(step.kind)
        if kind is Kind.MEASURE:
            cm = step.target.real(self.size) * step.unit if step.target else None
            note = (
                f"Lay it flat and measure: {cm:g} cm is wanted" if cm else "Lay it flat and measure"
            )
            self._draft(kind, [], spot, target_cm=cm, before=self.live, after=self.live, note=note)
            return
        items: Sequence[Item] = step.row.items if step.row else ()
        if step.row:
            self._slips(step.row)
        if step.whole:
            items = self._all_off(step, list(items))
        worked, before, after = self._moves(items, spot, kind)
        direction = Direction.LEFT_TO_RIGHT if kind is Kind.FOUNDATION else None
        if step.marks and step.marks.direction is not None:
            direction = Direction(step.marks.direction) if step.marks.direction else None
        side = (step.marks.side or None) if step.marks and self.craft is Craft.NEEDLES else None
        if kind in LOOP_KINDS and not worked.operations:
            self.fault(spot, f"says {kind.value} and nothing to do", "write how many, and where")
        self._draft(
            kind,
            worked.operations,
            spot,
            before=before,
            after=after,
            direction=direction,
            side=side,
            note=_LOOK_NOTES.get(kind, ""),
        )
        self.marks = sorted(worked.marks)

    def _moves(self, items: Sequence[Item], spot: Spot, kind: Kind) -> tuple[Worked, int, int]:
        if kind in LOOP_KINDS or items:
            return self._work(items, spot, strict=False, rounds=self.in_round)
        return Worked(marks=self.marks), self.live, self.live

    def _all_off(self, step: StepLine, items: list[Item]) -> list[Item]:
        """`Bind off all` fastens the last loop; a smaller number leaves the others as they are."""
        first = items[0]
        assert isinstance(first, Stitch)  # the bind-off itself, put there by the reader
        said = first.count.whole(self.size) if first.count else self.live
        if step.said_all and said != self.live:
            self.fault(
                step.spot,
                f"binds off {said} as all there are, {self.live} are there",
                f"write {self.live}",
            )
        if said < self.live and not step.said_all:
            return items
        one = Number((1.0,), step.spot)
        close: list[Item] = [
            Stitch((("bo", 1),), first.spot, Number((float(max(0, self.live - 1)),), step.spot))
        ]
        rest = items[1:]
        if said > self.live:
            return items
        told = {i.parts[0][0] for i in rest if isinstance(i, Stitch)}
        if not self.pending and self._yarn_is_cut():
            told.add("tail")
        for stitch in ("fasten", "tail"):
            if stitch not in told:
                close.append(Stitch(((stitch, 1),), step.spot, one))
        return close + rest

    def _yarn_is_cut(self) -> bool:
        """Whether the last thing done with the yarn was to cut it: it is not cut again."""
        ends = [
            o.stitch
            for d in self.out.drafts[-1:]
            for o in d.operations
            if o.stitch in {"tail", "join"}
        ]
        return ends[-1:] == ["tail"]

    def _yarn_line(self, line: YarnLine) -> None:
        for item in line.items:
            if isinstance(item, Stitch) and item.parts[0][0] in {"tail", "fasten"}:
                self._end_of_yarn(item.parts[0][0])
            else:
                self.pending.append(item)

    def _end_of_yarn(self, stitch: str) -> None:
        """The yarn's end belongs to the step before; a loop fastened twice is fastened once."""
        moved = [d for d in self.out.drafts[-1:] if d.kind in LOOP_KINDS]
        if not moved:
            return
        draft = moved[0]
        if stitch == "fasten":
            if not self.live:
                return
            self.live -= 1
            draft.after -= 1
        elif any(o.stitch == "tail" for o in draft.operations):
            return
        draft.operations.append(Operation(stitch=stitch, times=1))


def _as_items(operations: Iterable[Operation], spot: Spot) -> tuple[Item, ...]:
    return tuple(
        Stitch(((o.stitch, 1),), spot, Number((float(o.times),), spot), at=o.at) for o in operations
    )
