"""A note while it is spoken: that it is kept is seen all the while, and how to end it."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.sound.listening import Ears, EarsNote
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Text
from engine.keep.notes import LONGEST_S


class SpokenNote(ModalScreen[EarsNote | None]):
    """Comes back with what was said; None where it is thrown away."""

    AUTO_FOCUS = None
    BINDINGS = [("enter", "end", "keep it"), ("escape", "throw_away", "throw it away")]

    def __init__(self, ears: Ears) -> None:
        """From now on `ears` hear a note."""
        super().__init__()
        self._ears = ears

    def compose(self) -> ComposeResult:
        """What happens, for how long already, and the two ways on."""
        with Vertical(id="ask"):
            yield Text(Content.styled("● Your note at this row: speak", "bold"))
            yield Text(id="noted", classes="quiet")
            yield KeyLine(
                Offer(
                    key_name("enter"), "that is all, keep it", "keep it", "screen.end", loud=True
                ),
                Offer(key_name("escape"), "throw it away", does="screen.throw_away"),
            )

    def on_mount(self) -> None:
        """Listen."""
        self._ears.take_note()
        self._show()
        self.set_interval(0.5, self._show)

    def _show(self) -> None:
        told = f"{self._ears.noted_s:.0f} of {LONGEST_S:.0f} s; a little quiet ends it."
        self.query_one("#noted", Text).update(told)

    def action_end(self) -> None:
        """What was said until now is the note."""
        self._ears.end_note()

    def action_throw_away(self) -> None:
        """Nothing is kept."""
        self._ears.drop_note()
        self.dismiss(None)

    def noted(self, note: EarsNote) -> None:
        """It is over."""
        self.dismiss(note)
