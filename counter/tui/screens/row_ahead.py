"""The next row, made ready while nobody waits: its words, and its letters in their coming room.

A row done is nearly always followed by the next step of the script. So once a row is painted, what
the screen will say of the next is worked out, and its letters and figures become strips of cells.
How much room those get hangs on how the screen is dressed for that step: that is remembered from
the last time it was dressed so, and worked out where it never was. A wrong guess costs nothing but
the time that it was meant to save.
"""

from __future__ import annotations

from typing import NamedTuple

from textual.geometry import Size
from textual.screen import Screen
from textual.widget import Widget

from counter.shared.settings import Unit
from counter.tui.screens import row_words
from counter.tui.screens.row_words import Told
from counter.tui.widgets.figures import Figures, figured
from counter.tui.widgets.lettering import Lettering, arranged
from counter.tui.widgets.words import Text
from engine.make import answers
from models.script import Craft, Step
from models.state import MakeState

_FIGURELESS = frozenset({"no-row", "crowded"})
"""How the screen is dressed where the figures give way."""


class _Room(NamedTuple):
    """Cells that one way of dressing leaves."""

    wide: int
    high: int
    """Rows of the letters, the sentence and the answer together: one takes what another leaves."""
    answered: bool
    """Whether an answer stands there."""
    figures: Size


class Ahead:
    """What is ready of the next step."""

    def __init__(self, screen: Screen[None]) -> None:
        self._screen = screen
        self._told: list[tuple[object, Told]] = []
        self._rooms: dict[tuple[frozenset[str], Size], _Room] = {}

    def told(self, step: Step, craft: Craft, unit: Unit) -> Told:
        """What is said of a step: ready, where it was seen coming."""
        key = (step, craft, unit, self._screen.size)
        for known, told in self._told:
            if known == key:
                return told
        told = row_words.told(*key)
        self._told = [*self._told[-1:], (key, told)]
        return told

    def look(self, state: MakeState, unit: Unit) -> None:
        """Make the step after this one ready; the screen is painted as it is now."""
        here = self._dressed(frozenset(self._screen.classes))
        self._rooms[here, self._screen.size] = now = self._seen()
        after = answers.next_step(state)
        if after is None or state.done:
            return
        told = self.told(after, state.plan.craft, unit)
        dress = (here - row_words.DRESSES) | told.dress
        known = self._rooms.get((dress, self._screen.size))
        room = known or self._guessed(now, here, dress)
        sentence, doing = self._text("#sentence"), self._screen.query_one("#doing", Lettering)
        rows = room.high - (sentence.high_with(told.sentence) if sentence.display else 0)
        rows -= _least(self._text("#answer")) if room.answered else 0
        # Margins that meet where the figures give way are one: a guess may be a row off.
        sizes = [Size(room.wide, max(0, rows + off)) for off in ((0,) if known else (0, 1, -1))]
        doing.make_ready([(arranged(told.lines, *size), size) for size in sizes])
        if told.figures and room.figures:
            ready = figured(told.figures, *room.figures)
            self._screen.query_one(Figures).make_ready([(ready, room.figures)])

    def _dressed(self, classes: frozenset[str]) -> frozenset[str]:
        return classes - {"asked", "choosing"}

    def _seen(self) -> _Room:
        doing, answer = self._screen.query_one("#doing"), self._text("#answer")
        together = (doing, self._text("#sentence"), answer)
        return _Room(
            doing.size.width,
            sum(_high(widget) for widget in together),
            answer.display,
            self._screen.query_one(Figures).size,
        )

    def _guessed(self, now: _Room, here: frozenset[str], dress: frozenset[str]) -> _Room:
        """Letters get the rows of figures that give way, and give them back."""
        figures = self._screen.query_one(Figures)
        height = figures.styles.height
        rows = int(height.value) if height is not None else 0
        had, has = not here & _FIGURELESS, not dress & _FIGURELESS
        return now._replace(
            high=now.high + rows * (had - has), figures=Size(now.wide, rows if has else 0)
        )

    def _text(self, name: str) -> Text:
        return self._screen.query_one(name, Text)


def _high(widget: Widget) -> int:
    return widget.size.height if widget.display else 0


def _least(widget: Widget) -> int:
    least = widget.styles.min_height
    return int(least.value) if least is not None else 1
