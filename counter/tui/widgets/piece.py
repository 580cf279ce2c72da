"""The whole make, drawn to scale: what is worked is filled in, the row in work is lit."""

from itertools import groupby

from textual.reactive import reactive

from counter.tui.widgets.drawn import Drawn, Row, Rows
from engine.draw.schematic_cells import Cell, Tag, cells
from models.schematic import Drawing
from models.script import RowScript
from models.state import Mark

_STYLES = {
    Tag.EMPTY: "",
    Tag.PLANNED: "$quiet",
    Tag.WORKED: "$secondary",
    Tag.NOW: "bold $accent",
    Tag.MARK: "bold $error",
    Tag.MARKER: "bold $accent",
    Tag.LABEL: "bold",
    Tag.LABEL_WORKED: "bold reverse",
}
_SMALLEST = (12, 6)
"""Cells below which a drawing is only a smudge."""


class Piece(Drawn):
    """The drawing, as large as the widget."""

    script: reactive[RowScript | None] = reactive(None)
    at: reactive[int] = reactive(0)
    marks: reactive[tuple[Mark, ...]] = reactive(())

    _drawing: Drawing | None = None

    def watch_script(self) -> None:
        """A new plan is drawn anew; a row done only fills the drawing further."""
        self._drawing = None

    def rows(self) -> Rows:
        """The drawing; nothing where there is no room for one."""
        width, height = self.size
        if self.script is None or width < _SMALLEST[0] or height < _SMALLEST[1]:
            return ()
        if self._drawing is None:
            from engine.draw.schematic import layout  # and with it numpy

            self._drawing = layout(self.script)
        rows = cells(self._drawing, self.at, width, height, self.marks)
        return tuple(_line(row) for row in rows)


def _line(row: list[Cell]) -> Row:
    """A row of cells; neighbours of one kind become one stretch."""
    return tuple(
        ("".join(character for character, _ in stretch), _STYLES.get(tag, ""))
        for tag, stretch in groupby(row, key=lambda cell: cell[1])
    )
