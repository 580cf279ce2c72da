"""The books of a count: loops live and resting, markers, rows so far, drafts and findings."""

from collections.abc import Sequence
from functools import cached_property

from engine.base.plural import some
from engine.pattern.count.drafts import Counted, Draft, Recurring, Stretch, Template
from engine.pattern.count.meanwhile import Beside
from engine.pattern.count.plain_rows import Plans
from engine.pattern.count.sides import Split
from engine.pattern.count.standing import Standing
from engine.pattern.count.worked import Misfit, Worked
from engine.pattern.text.numbers import Spot
from engine.pattern.text.read import Pattern, by_size
from engine.pattern.text.row_items import Item, Row
from engine.pattern.text.statements import AtOnce, Described, Fabric, Heading, Statement
from models.gauge import Gauge
from models.pattern import Fault, Severity
from models.script import ROW_KINDS, Craft, Direction, Kind, Operation

ROWS_AT_MOST = 20_000
LOOPS_WORKED_AT_MOST = 1_000_000
"""Loops worked in one size, all rows together; a large blanket has a tenth of it."""
OPERATIONS_AT_MOST = 400_000


def _named(piece: str, part: str) -> str:
    """A part by its own name, and by that of the piece which it goes on with: `Shape armhole`."""
    if part == piece:
        return part
    if {"left", "right"}.isdisjoint(part.lower().split()):
        return f"{piece} {part}"
    return f"back {part}" if "back" in piece.lower() else part


class Enough(Exception):
    """Counting stops here; the reason is among the faults."""


class Ledger:
    """Where the counting of one size stands. `changes` adds rows to a stretch, by its index."""

    piece = "piece"
    """The part with whose foundation this one goes on."""
    split: Split | None = None
    """Where one side of the piece was put aside, to be worked like the other."""
    split_done = False
    """Whether that side has been taken up again."""
    last = 0
    """The number of the last row that has one."""
    former: dict[int, Template] | None = None
    """The numbered rows of the part before."""
    numbered = (0, 0)
    """The last number of a row, and the rows of the piece there were then."""
    worked_loops = worked_operations = 0
    part, in_round, flat = "piece", False, False
    """The part; whether it is worked around, or is said to be worked in rows from here on."""
    label: int | None = None
    next_side: str | None = None
    next_direction: Direction | None = None
    since = 0
    """Index of the first draft of the last statement: what a note belongs to."""
    section = ""
    """The heading within the part under which rows are, in small letters."""
    even_from = 0
    rows_before = 0
    """Rows of the piece that were worked in the parts which this one goes on with."""
    edges_as = ""
    """The part as whose edges lie those that are named, where it is worked to be reversed."""
    passed = 0
    """Statements still to come that were worked with an earlier one."""
    instep: int | None = None
    """Loops between the first and the last needle of a sock."""
    lengths: dict[str, int]
    """Rows of the parts worked so far, to their shoulders, by their names in small letters."""

    def __init__(
        self,
        pattern: Pattern,
        size: int,
        gauge: Gauge,
        craft: Craft,
        changes: dict[int, int] | None = None,
    ) -> None:
        self.pattern, self.size, self.gauge, self.craft = pattern, size, gauge, craft
        self.all_said = [
            s.said for s in pattern.statements if not s.names or pattern.sizes[size] in s.names
        ]
        self.parallel = any(isinstance(s, AtOnce) for s in self.all_said)
        """Whether the text says of a shaping that it goes on beside another."""
        self.changes = changes or {}
        self.name = pattern.sizes[size]
        self.out = Counted()
        self.live = 0
        self.rests: dict[str, int] = {}
        self.aside_at: dict[str, int] = {}
        """Rows of the piece there were when loops were put aside, by their places."""
        self.marks: list[int] = []
        """Where markers lie, in loops from where the next row begins."""
        self.gaps: list[int] = []
        """Where the work was turned within a row, likewise."""
        self.holes: list[int] = []
        """Where loops were bound off within the last row, likewise."""
        self.standing: Standing | None = None
        """Where the hand is within the row; None at its beginning."""
        self.pending: list[Item] = []
        self.block: dict[int, Template] = {}
        self.fillers: list[Recurring] = []
        self.named: dict[str, Template] = {}
        self.history: list[Template] = []
        self.length: Heading | None = None
        self.stitches: dict[str, list[Template]] = {}
        """Stitches that the pattern describes, by their names in small letters."""
        self.pattern_rows: list[Template] = []
        """What the text calls its pattern."""
        self.fabric: Fabric | None = None
        """What is worked where rows do not say it."""
        self.last_rows: dict[str | None, Draft] = {}
        """The last row on each side."""
        self.sections: dict[str, int] = {}
        """Headings within the piece, with the rows that were worked before them."""
        self.lengths = {}
        self.described = any(isinstance(s, Described) for s in self.all_said)
        self.charted: dict[str, int] = {}
        """Rows worked of the charts that rows of this part have in them."""
        self.beside: list[Beside] = []
        """Shaping that goes on beside what is said."""
        self.talk: list[str] = []
        """What the text says since the last step: a note to the next one."""
        self.part_statements: list[Statement] = []
        self.following: Sequence[Statement] = ()
        """What the pattern says after the line that is worked."""
        self.ahead: set[tuple[Spot, int]] = set()
        """Rows already worked by a line that is still to come, by its place."""
        self._seen: set[tuple[Spot, str]] = set()

    @cached_property
    def blocks(self) -> dict[str, dict[int, Template]]:
        """Rows by their numbers of each part, and of what a heading in it begins, by their names in
        small letters.
        """
        return {}

    @cached_property
    def begun_before(self) -> bool:
        """Whether a shaping says that it begins before the text comes to it."""
        return any(isinstance(s, AtOnce) and s.when is not None for s in self.all_said)

    @cached_property
    def plans(self) -> Plans:
        """What all sizes know of the pattern's plain rows."""
        plans: Plans = self.pattern.kept.setdefault("plans", Plans())
        return plans

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

    def slips(self, row: Row) -> None:
        """What was read in spite of a slip of the pen."""
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

    @property
    def word(self) -> str:
        """Loop or stitch."""
        return "loop" if self.craft is Craft.LOOP else "stitch"

    def n(self, count: int) -> str:
        """`12 loops`, `1 stitch`."""
        return some(count, self.word, "loops" if self.craft is Craft.LOOP else "stitches")

    def place(self, text: str) -> str:
        """A place's name, for this size."""
        return by_size(text, self.size, len(self.pattern.sizes))

    @property
    def edge_part(self) -> str:
        """The part by whose name edges are found: of a divided one, the side that is worked."""
        if self.edges_as:
            return self.edges_as
        if self.split is None:
            return _named(self.piece, self.part)
        # what the hand had just worked, when the others were put aside
        return "right side" if (self.split.side or "WS") == "WS" else "left side"

    @property
    def rows_so_far(self) -> int:
        """Rows of the piece, from where its loops were made."""
        return self.rows_before + self.out.rows.get(self.part, 0)

    def keep_row(self, number: int, template: Template) -> None:
        """Keep a row by its number, and by the part and heading that it stands under."""
        self.block[number] = template
        for name in {self.part.lower(), self.section} - {""}:
            self.blocks[name] = self.block

    def left_at(self, place: str, count: int) -> list[int]:
        """The loops that rest at a place, by the parts that left them there."""
        left: list[int] = []
        for operation in (o for d in self.out.drafts for o in d.operations if o.at == place):
            if operation.stitch.startswith("rest"):
                left.append(operation.times)
            elif operation.times in left:
                left.remove(operation.times)
        return left if sum(left) == count else [count]

    def note_length(self) -> None:
        """Keep how long the part is that ends here, for one that is to be as long."""
        shoulder = [rows for name, rows in self.sections.items() if "shoulder" in name]
        self.lengths[self.piece.lower()] = shoulder[-1] if shoulder else self.rows_so_far
        armhole = [r for n, r in self.sections.items() if "armhole" in n or "raglan" in n]
        if armhole:
            self.lengths[f"{self.piece.lower()} to armhole"] = armhole[0]

    @property
    def rounds(self) -> bool:
        """Whether rows without a word about it are rounds."""
        before = self.history and self.history[-1].rounds and not self.flat
        return self.in_round or bool(before)

    def bounded(self, count: int, spot: Spot) -> int:
        """A number of rows, at least none. Raises Enough for one beyond all bounds."""
        if count > ROWS_AT_MOST:
            self.fault(spot, f"asks for {count} rows", f"ask for at most {ROWS_AT_MOST}")
            raise Enough
        return max(0, count)

    def stretch(self, rows: int, *, is_open: bool) -> int:
        """Rows of a stretch, with what the tape has changed."""
        index = len(self.out.stretches)
        rows = max(0, rows + self.changes.get(index, 0))
        self.out.stretches.append(Stretch(self.part, is_open, rows))
        return rows

    def draft(
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
        """Write down a step. Raises Enough beyond all bounds."""
        if self.talk:
            note = ". ".join(t.rstrip(". ") for t in [*self.talk, *([note] if note else [])])
            self.talk = []
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
            self.last_rows[side] = draft
            self.out.rows[self.part] = self.out.rows.get(self.part, 0) + 1
        if len(self.out.drafts) > ROWS_AT_MOST:
            self.fault(
                spot, f"comes to more than {ROWS_AT_MOST} rows", "look for a slip in a count"
            )
            raise Enough
        return draft

    def measure(self, target: float, spot: Spot) -> None:
        """A measurement of what is worked: the tape should say `target` cm."""
        self.draft(
            Kind.MEASURE,
            [],
            spot,
            target_cm=target,
            before=self.live,
            after=self.live,
            note=f"Lay it flat and measure: {target:g} cm is wanted",
        )

    def spend(self, worked: Worked, spot: Spot) -> None:
        """Count what a row cost. Raises Enough beyond all bounds."""
        self.worked_loops += max(self.live, worked.leaves)
        self.worked_operations += len(worked.operations)
        if self.worked_loops > LOOPS_WORKED_AT_MOST or self.worked_operations > OPERATIONS_AT_MOST:
            self.fault(
                spot,
                f"the pattern comes to more than {LOOPS_WORKED_AT_MOST} {self.word}s in all",
                "look for a number that is too large",
            )
            raise Enough
