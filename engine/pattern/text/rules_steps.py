"""Grammar rules of steps that are no rows: foundation, bind off, measure, the yarn's ends."""

from dataclasses import replace
from typing import Any

from engine.pattern.text.children import all_of, first_of, spot_of, token_of
from engine.pattern.text.numbers import Number
from engine.pattern.text.pieces import Named, Op, Tail, Unit
from engine.pattern.text.row_items import Claim, Hold, Limit, Marks, Row, Stitch, Toward, Until
from engine.pattern.text.stars import row_of
from engine.pattern.text.statements import RowLine, StepLine, YarnLine

OTHERS = "the other stitches"
"""Where loops wait that a row leaves for later, where the text names no place."""


_ROWS = {"k", "p", "work"}
_KINDS = {
    "cast off": "bind off",
    "bindoff": "bind off",
    "castoff": "bind off",
    "between rows": "marker",
}
"""What else a step may be called."""


def _worked_on(row: Row) -> bool:
    """Whether after what is bound off a row goes on over other loops."""
    return any(isinstance(i, (Stitch, Toward)) and i.parts[0][0] in _ROWS for i in row.items[1:])


class StepRules:
    """Steps that are no rows."""

    def do(self, c: list[Any]) -> StepLine:
        said = " ".join(c[0].lower().replace("-", " ").split())
        kind = _KINDS.get(said, said)
        row = first_of(c, Row)
        if kind == "foundation" and row and all(isinstance(i, Claim) for i in row.items):
            raise ValueError("a foundation says how its loops are made")
        return StepLine(kind, row, spot_of(c), row.marks if row else None)

    def look(self, c: list[Any]) -> StepLine:
        kind = " ".join(c[0].lower().split())
        return StepLine(kind, None, spot_of(c), first_of(c, Marks))

    def measure_step(self, c: list[Any]) -> StepLine:
        unit = first_of(c, Unit)
        return StepLine(
            "measure",
            None,
            spot_of(c),
            first_of(c, Marks),
            first_of(c, Number),
            unit.cm if unit else 1.0,
        )

    def _bare(self, stitch: str, c: list[Any]) -> Row:
        named, number = first_of(c, Named), first_of(c, Number)
        first = Stitch(((stitch, 1),), spot_of(c), number, at=named.text if named else "")
        mine = (Number, Named)
        return row_of([first, *(i for i in c if not isinstance(i, mine))], spot_of(c))

    def foundation(self, c: list[Any]) -> StepLine:
        row = self._bare("co", c)
        if _worked_on(row):
            raise ValueError("a row is no part of casting on")
        return StepLine("foundation", row, spot_of(c))

    def pick_up_line(self, c: list[Any]) -> StepLine:
        held = all_of(c, Hold)
        row = self._bare("pick up", [i for i in c if not isinstance(i, Hold)])
        return StepLine("pick up", replace(row, items=(*held, *row.items)), spot_of(c))

    def gather(self, c: list[Any]) -> StepLine:
        return StepLine("bind off", self._bare("fasten", c), spot_of(c), whole=True, said_all=True)

    def graft(self, c: list[Any]) -> StepLine:
        needles = "needle" in c[0].lower() and "kitchener" not in c[0].lower()
        return StepLine("three-needle" if needles else "graft", None, spot_of(c))

    def bind_off_all(self, c: list[Any]) -> StepLine | RowLine:
        all_of_it = bool(token_of(c, "ALL", "REMAIN"))
        number = first_of(c, Number)
        row, spot = self._bare("bo", c), spot_of(c)
        if number is not None and not all_of_it and _worked_on(row):
            return RowLine("next", None, row, spot, marks=row.marks)  # "cast off 3 sts, k to end"
        return StepLine("bind off", row, spot, whole=True, said_all=all_of_it or number is None)

    def bind_off_but(self, c: list[Any]) -> StepLine:
        spot = spot_of(c)
        off = Toward((("bo", 1),), Limit(Until.LAST, first_of(c, Number)), spot)
        return StepLine("bind off", Row((off,), spot), spot)

    def yarn_end(self, c: list[Any]) -> Tail:
        return Tail(c[0])

    def yarn_line(self, c: list[Any]) -> YarnLine:
        ops = [i if isinstance(i, Op) else i.op for i in c if isinstance(i, (Op, Tail))]
        return YarnLine(
            tuple(Stitch(op.parts, op.spot, Number((1.0,), op.spot)) for op in ops), spot_of(c)
        )

    def hold_line(self, c: list[Any]) -> YarnLine:
        return YarnLine(tuple(all_of(c, Hold)), spot_of(c))

    def hold_but(self, c: list[Any]) -> Hold:
        return Hold("rest", first_of(c, Number), (OTHERS,), spot_of(c), keep=True)

    def weave_in(self, c: list[Any]) -> StepLine:
        return StepLine("weave in", None, spot_of(c))
