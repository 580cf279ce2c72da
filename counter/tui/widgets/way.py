"""Which way the hand travels: a word and an arrow as wide as the screen."""

from textual.reactive import reactive

from counter.tui.widgets.drawn import Drawn, Rows, one
from models.script import Direction


class Way(Drawn):
    """The direction of the row in work."""

    direction: reactive[Direction | None] = reactive(None)
    side: reactive[str] = reactive("")
    """`RS` or `WS` where the work is turned."""

    def rows(self) -> Rows:
        """The arrow; nothing where the step has no direction."""
        if self.direction is None:
            return ()
        word = f" {self.direction.value} "
        if self.side:
            word = f" {'right' if self.side == 'RS' else 'wrong'} side ({self.side}),{word}"
        rows = _arrow(self.direction, word, self.size.width, thick=self.size.height >= 3)
        return tuple(one(row, "bold $secondary") for row in rows)


def _arrow(direction: Direction, word: str, width: int, *, thick: bool) -> list[str]:
    bar = "█" if thick else "━"
    if direction is Direction.AROUND:
        side = bar * max(1, (width - len(word) - 4) // 2)
        return _around(f"↻ {side}{word}{side} ↻", thick=thick)
    left = direction is Direction.RIGHT_TO_LEFT
    head, near = ("▟█" if thick else "◀"), bar * 3
    shaft = bar * max(0, width - len(word) - len(near) - 2 * len(head))
    if left:
        middle = f"{head}{near}{word}{shaft}"
        return [" ▟█", middle, " ▜█"] if thick else [middle]
    head = "█▙" if thick else "▶"
    middle = f"{shaft}{word}{near}{head}"
    edge = " " * (len(middle) - 3)
    return [f"{edge}█▙ ", middle, f"{edge}█▛ "] if thick else [middle]


def _around(middle: str, *, thick: bool) -> list[str]:
    return ["", middle, ""] if thick else [middle]
