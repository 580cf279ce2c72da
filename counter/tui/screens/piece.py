"""The whole piece on a page of its own."""

from textual import events
from textual.app import ComposeResult
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.piece import Piece
from counter.tui.widgets.words import Text
from engine.draw.schematic_cells import legend
from engine.words.vocabulary import page_key
from models.command import Page
from models.state import MakeState


class PieceScreen(ModalScreen[None]):
    """The drawing and what its shapes mean."""

    AUTO_FOCUS = None
    BINDINGS = [(",".join({"escape", "q", *page_key(Page.PIECE).keys}), "dismiss", "close")]

    def __init__(self, state: MakeState) -> None:
        super().__init__()
        self._state = state

    def compose(self) -> ComposeResult:
        """Drawing, legend, key."""
        yield Piece(id="whole")
        yield Text(id="legend")
        yield KeyLine(
            Offer(key_name("escape"), "close", does="screen.dismiss", loud=True), classes="keys"
        )

    def on_resize(self, event: events.Resize) -> None:
        """The legend breaks between its entries, not within them."""
        lines = [""]
        for shape, means in legend():
            told = f"{shape} {means}"
            if lines[-1] and len(lines[-1]) + len(told) + 5 > event.size.width:
                lines.append("")
            lines[-1] += ("   " if lines[-1] else "") + told
        self.query_one("#legend", Text).update("\n".join(lines))

    def on_mount(self) -> None:
        """Draw it."""
        piece, state = self.query_one(Piece), self._state
        piece.script, piece.at, piece.marks = state.script, state.at, state.open_marks
