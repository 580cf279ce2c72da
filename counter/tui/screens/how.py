"""How the hands do what a step asks for: small drawings of loop yarn, words for needles."""

from textual.app import ComposeResult
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.tui.widgets.hands import Hands
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Text
from engine.draw.movement.shown import shown
from engine.words.vocabulary import page_key
from models.command import Page
from models.script import Hand
from models.state import MakeState


class HowScreen(ModalScreen[None]):
    """The movements of the step in work, one after the other."""

    AUTO_FOCUS = None
    BINDINGS = [
        (",".join({"escape", "q", *page_key(Page.HOW).keys}), "dismiss", "close"),
        ("right,space,enter", "turn(1)", "on"),
        ("left,backspace", "turn(-1)", "back"),
    ]

    def __init__(self, state: MakeState) -> None:
        super().__init__()
        self._movements = shown(state.step, state.plan.craft)
        self._mirrored = state.plan.hand is Hand.LEFT
        self._at = 0

    def compose(self) -> ComposeResult:
        """Title, drawings, keys."""
        yield Text(id="title", classes="head")
        yield Hands(id="hands")
        yield KeyLine(
            Offer(key_name("escape"), "close", does="screen.dismiss", loud=True),
            Offer("← →", "turn the page", does="screen.turn(1)"),
            classes="keys",
        )

    def on_mount(self) -> None:
        """The first movement."""
        self.query_one(Hands).mirrored = self._mirrored
        self._show()

    def action_turn(self, by: int) -> None:
        """The stages that found no room, else the next movement; at the ends it stays."""
        hands = self.query_one(Hands)
        stages = len(self._movements[self._at].stages)
        if by > 0 and hands.first + hands.room < stages:
            hands.first += hands.room
            return
        if by < 0 and hands.first:
            hands.first = max(0, hands.first - hands.room)
            return
        self._at = min(max(self._at + by, 0), len(self._movements) - 1)
        self._show()

    def _show(self) -> None:
        movement, count = self._movements[self._at], len(self._movements)
        hands = self.query_one(Hands)
        hands.first, hands.movement = 0, movement
        place = f"  {self._at + 1} of {count}" if count > 1 else ""
        self.query_one("#title", Text).update(
            Content.assemble((movement.title, "bold"), (place, "$quiet"))
        )
