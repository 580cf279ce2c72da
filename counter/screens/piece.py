"""The whole piece on a page of its own."""

from textual.app import ComposeResult
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from counter.keys import key_names
from counter.widgets.piece import Piece
from engine.schematic_cells import legend
from engine.vocabulary import page_key
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
        yield Static("   ".join(f"{shape} {means}" for shape, means in legend()), id="legend")
        yield Static(
            Content.from_markup(
                "[@click=screen.dismiss][bold reverse] esc [/] [bold]close[/][/]   "
                f"{key_names(page_key(Page.PIECE).keys)} opens it"
            ),
            classes="keys",
        )

    def on_mount(self) -> None:
        """Draw it."""
        piece, state = self.query_one(Piece), self._state
        piece.script, piece.at, piece.marks = state.script, state.at, state.open_marks
