"""Works a whole pattern for one size, row by row, and writes down what it finds.

The counting knows nothing of the loops' histories: it keeps how many are live, how many rest and
where the markers stand, and drafts the steps. The drafts become a script only where nothing is
at fault; `engine.script.audit` then proves it loop by loop.
"""

from collections.abc import Sequence

from engine.base.plural import noun
from engine.pattern.count.as_part import as_part
from engine.pattern.count.drafts import Counted
from engine.pattern.count.ledger import Enough, Ledger
from engine.pattern.count.one_row import work_step
from engine.pattern.count.row_lines import flush, row_line
from engine.pattern.count.shaping import repeat_rows, shape_rows
from engine.pattern.count.step_lines import step_line, yarn_line
from engine.pattern.count.stitch_rows import describe, forms
from engine.pattern.count.stretches import even_rows, hold_to
from engine.pattern.count.worked import TooMuch
from engine.pattern.text.read import WEAVE_IN
from engine.pattern.text.tree import (
    AsPart,
    Claim,
    Described,
    Even,
    Fabric,
    Forms,
    Heading,
    Note,
    Repeat,
    RowLine,
    ShapeRows,
    Spot,
    Statement,
    StepLine,
    Talk,
    YarnLine,
)
from models.script import Kind


class Counting(Ledger):
    """Works the statements in order."""

    def run(self) -> Counted:
        """Count the pattern to its end, or to where it goes beyond all bounds."""
        said = self.all_said
        try:
            for index, statement in enumerate(said):
                if isinstance(statement, Heading) and statement.kind == "part":
                    goes_on = "goes on" in statement.names and index > 0
                    self._start_part(statement.text, said[index + 1 :], goes_on=goes_on)
                elif not index:
                    self._start_part(self.part, said)
                self.label = None
                self.following = said[index + 1 :]
                self._say(statement)
            flush(self)
            self._end()
        except (Enough, TooMuch):
            pass
        return self.out

    def _say(self, statement: Statement) -> None:
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
            self.talk.append(self.place(statement.text))
            return
        if isinstance(statement, Claim):
            hold_to(self, statement)
            return
        if not (isinstance(statement, RowLine) and statement.kind == "numbered"):
            flush(self)
        self.since = len(self.out.drafts)
        try:
            match statement:
                case Heading():
                    self._heading(statement)
                case RowLine():
                    self.fabric = None
                    row_line(self, statement)
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
        except TooMuch:
            self.fault(
                statement.spot,
                "comes to more stitches than a row can have",
                "look for a number that is too large",
            )
            raise

    def _again(self, statement: Statement, following: Sequence[Statement]) -> None:
        """A statement of another part, worked once more in this one."""
        self.label, self.following = None, following
        self._say(statement)

    def _start_part(
        self, name: str, following: Sequence[Statement], *, goes_on: bool = False
    ) -> None:
        """Begin a part; one that goes on keeps the loops as they are, and the rows to repeat."""
        flush(self)
        self.rows_before = self.rows_so_far if goes_on else 0
        self.part, self.length = name, None
        if goes_on:
            self.sections[name.lower()] = self.rows_so_far
        if not goes_on:
            self.fabric = None
            self.sections, self.last_rows, self.pattern_rows = {}, {}, []
            self.in_round = False
            self.block, self.fillers, self.last = {}, [], 0
            self.named, self.history, self.marks = {}, [], []
            self.standing, self.gaps, self.holes = None, [], []
            self.next_side = self.next_direction = None
        self.part_statements = []
        for statement in following:
            if isinstance(statement, Heading) and statement.kind == "part":
                break
            self.part_statements.append(statement)

    def _end(self) -> None:
        spot = self.out.drafts[-1].spot if self.out.drafts else Spot(1, 1)
        self.label = None
        if self.pattern.unread:
            return  # what is left over may be closed by a line that could not be read
        if self.pending:
            work_step(self, (), spot)
        held = {place: count for place, count in self.rests.items() if count}
        if self.live:
            self.fault(
                spot,
                f"at the end {self.n(self.live)} {noun(self.live, 'is', 'are')} still live",
                "bind them off, or leave them resting for a later part",
            )
        if held:
            told = ", ".join(f"{count} at {place}" for place, count in held.items())
            self.fault(spot, f"at the end loops still rest: {told}", "take them up and close them")
        if self.out.drafts and self.out.drafts[-1].kind is not Kind.FINISH:
            self.draft(Kind.FINISH, [], spot, note=WEAVE_IN)

    def _heading(self, heading: Heading) -> None:
        match heading.kind:
            case "length":
                self.length = heading
            case "worked":
                self.in_round = heading.text == "round"
            case "section":
                self.sections.pop(heading.text.lower(), None)
                self.sections[heading.text.lower()] = self.rows_so_far
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
