"""A make that another window has open: look on, or take it over."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Text
from engine.words.vocabulary import word
from models.command import Action, Heard


class TakeOver(ModalScreen[bool]):
    """Asks once, when such a make is opened."""

    AUTO_FOCUS = None
    BINDINGS = [
        (",".join(word(Action.YES).keys), "dismiss(True)", "take it over"),
        (",".join(word(Action.NO).keys), "dismiss(False)", "look on"),
    ]

    def __init__(self, told: str) -> None:
        """`told` says who has it, in a sentence."""
        super().__init__()
        self._told = told

    def hear(self, heard: Heard) -> bool:
        """Take a spoken yes or no; False for anything else."""
        action = heard.command.action if heard.taken and heard.command else None
        if action in (Action.YES, Action.NO):
            self.dismiss(action is Action.YES)
        return action in (Action.YES, Action.NO)

    def compose(self) -> ComposeResult:
        """What is the matter, and the two ways on."""
        yes, no = (key_name(word(action).keys[0]) for action in (Action.YES, Action.NO))
        with Vertical(id="take-over"):
            yield Text(Content.styled(self._told, "bold"))
            yield Text("Only one window counts, so that no row is counted twice.", classes="quiet")
            yield KeyLine(
                Offer(yes, "take it over here", "take it over", "screen.dismiss(True)", loud=True),
                Offer(no, "only look on", "look on", "screen.dismiss(False)", loud=True),
            )
