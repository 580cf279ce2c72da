"""Grammar rules of whole rows and of the labels before them."""

from typing import Any

from lark import Token

from engine.pattern.text.children import all_of, first_of, row_name, spot_of, step_of, token_of
from engine.pattern.text.numbers import Number
from engine.pattern.text.pieces import Label, RowMark
from engine.pattern.text.row_items import Group, Marks, Row, Slip, Times
from engine.pattern.text.stars import fold, row_of
from engine.pattern.text.statements import Filler, Range, RowLine


class RowRules:
    """Rows and their labels."""

    def row_body(self, c: list[Any]) -> Row:
        return row_of(c, spot_of(c))

    def unopened(self, c: list[Any]) -> Row:
        index = next(i for i, child in enumerate(c) if isinstance(child, Times))
        slips: list[Slip] = []
        spot = spot_of(c)
        inside = fold([i for i in c[:index] if not isinstance(i, Token)], slips)
        group = Group(inside, spot, c[index])
        slip = Slip(
            spot,
            "a bracket is closed that was never opened; it is read as open from the row's start",
            "put ( where the repeat begins",
        )
        return row_of([group, *c[index + 1 :]], spot, (*slips, slip))

    def every_other(self, c: list[Any]) -> Filler:
        mark = first_of(c, RowMark)
        step = 2 if mark else step_of(c)
        return Filler(step, mark.side if mark else None, first_of(c, Number))

    def _label(self, kind: str, c: list[Any], **more: Any) -> Label:
        rows = token_of(c, "ROWS", "NAMED_ROW", "OTHER_ROWS")
        rounds = rows is not None and "r" in rows.lower() and "n" in rows.lower()
        rounds = rounds and ("rnd" in rows.lower() or "round" in rows.lower())  # type: ignore[union-attr]
        return Label(kind, rounds, spot_of(c), **more)

    def of_parity(self, c: list[Any]) -> Label:
        rows = first_of(c, Range)
        assert rows is not None  # by the grammar
        filler = Filler(2, None, rows.last)
        return self._label("numbered", c, fillers=(filler,), number=rows.first)

    def numbered(self, c: list[Any]) -> Label:
        ranges = [*all_of(c, Range), *(r for i in c if isinstance(i, list) for r in i)]
        return self._label("numbered", c, ranges=tuple(ranges), fillers=all_of(c, Filler))

    def next_rows(self, c: list[Any]) -> Label:
        mark = first_of(c, RowMark)
        return self._label("next", c, number=first_of(c, Number), side=mark.side if mark else None)

    def named(self, c: list[Any]) -> Label:
        return self._label("named", c, name=row_name(c[0]))

    def all_of_side(self, c: list[Any]) -> Label:
        mark = first_of(c, RowMark)
        return self._label("side", c, side=mark.side if mark else None)

    def every_row(self, c: list[Any]) -> Label:
        return self._label("every", c)

    def all_others(self, c: list[Any]) -> Label:
        return self._label("others", c)

    def marks(self, c: list[Any]) -> Marks:
        side = direction = None
        name = ""
        for child in c:
            if isinstance(child, RowMark):
                side = child.side if child.side is not None else side
                direction = child.direction if child.direction is not None else direction
            elif isinstance(child, Token) and child.type == "NAMED_ROW":
                name = row_name(child)
        return Marks(side, direction, name, spot_of(c))

    def row_line(self, c: list[Any]) -> RowLine:
        label, mark, row = c[0], first_of(c, RowMark), c[-1]
        marks = row.marks or (Marks(mark.side) if mark else None)
        return RowLine(
            label.kind,
            label.rounds,
            row,
            label.spot,
            label.ranges,
            label.fillers,
            label.number,
            label.side,
            label.name or (marks.name if marks else ""),
            marks,
        )
