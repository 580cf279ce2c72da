"""What the hands do, drawn: as many stages side by side as there is room for."""

from itertools import chain, groupby
from textwrap import wrap

from textual.reactive import reactive

from counter.tui.widgets.drawn import Drawn, Row, Rows, one
from engine.draw.movement.cells import Cell, cells
from engine.draw.movement.svg import box
from models.movement import Movement, Yarn

_STYLES = {
    Yarn.BELOW: "$foreground",
    Yarn.OTHER: "$quiet",
    Yarn.WORKING: "bold $accent",
    Yarn.END: "$accent",
    None: "",
}
_WIDEST, _NARROWEST = 44, 26
"""Cells of a stage: wider says no more, narrower is a smudge."""
_GAP = 2


class Hands(Drawn):
    """The movement from the stage `first` on."""

    movement: reactive[Movement | None] = reactive(None)
    first: reactive[int] = reactive(0)
    mirrored: reactive[bool] = reactive(False)

    @property
    def room(self) -> int:
        """Stages that fit side by side."""
        return max(1, (self.size.width + _GAP) // (_NARROWEST + _GAP))

    def rows(self) -> Rows:
        """Drawings, and under each its sentence."""
        movement, (width, height) = self.movement, self.size
        if movement is None or width < 1 or height < 1:
            return ()
        stages = list(enumerate(movement.stages, start=1))[self.first :][: self.room]
        count = len(stages)
        wide = min(_WIDEST, (width - _GAP * (count - 1)) // count)
        said = [wrap(f"{n}. {stage.sentence}", wide) for n, stage in stages]
        high = height - max(map(len, said))
        drawn = (
            [
                cells(stage, box(movement.stages), wide, max(0, high), mirrored=self.mirrored)
                for _, stage in stages
            ]
            if movement.drawn
            else [[]]
        )
        between: Row = one(" " * _GAP)
        rows = [
            tuple(chain.from_iterable((*between, *_line(picture[row])) for picture in drawn))[1:]
            for row in range(len(drawn[0]))
        ]
        for row in range(max(map(len, said))):
            words = (lines[row] if row < len(lines) else "" for lines in said)
            rows.append(one((" " * _GAP).join(f"{line:{wide}}" for line in words).rstrip()))
        return tuple(rows)


def _line(row: list[Cell]) -> Row:
    return tuple(
        ("".join(character for character, _ in run), _STYLES[yarn])
        for yarn, run in groupby(row, key=lambda cell: cell[1])
    )
