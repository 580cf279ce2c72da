"""One line to type: a name, or where a file goes."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Field, Text
from engine.base.refusal import Refusal


class OneLine(ModalScreen[str | None]):
    """Asks for a line and gives what came of it; None where she left it."""

    AUTO_FOCUS = "Field"
    BINDINGS = [("escape", "dismiss(None)", "leave it")]

    def __init__(self, asked: str, light: str, value: str, does: Callable[[str], str]) -> None:
        """`does` does it with what was typed and gives what to tell; its Refusal is shown here."""
        super().__init__()
        self._asked, self._light, self._value, self._does = asked, light, value, does

    def compose(self) -> ComposeResult:
        """The question, the line, the keys."""
        with Vertical(id="ask"):
            yield Text(Content.styled(f"? {self._asked}", "bold"))
            yield Text(self._light, classes="quiet")
            yield Field(self._value)
            yield Text(id="ask-trouble")
            yield KeyLine(
                Offer(key_name("enter"), "take it", does="screen.take", loud=True),
                Offer(key_name("escape"), "leave it", does="screen.dismiss(None)"),
            )

    def on_mount(self) -> None:
        """Nothing is refused yet."""
        self.query_one("#ask-trouble").display = False

    def action_take(self) -> None:
        """A click on enter."""
        line = self.query_one(Field)
        line.post_message(Field.Submitted(line, line.value))

    def on_input_submitted(self, event: Field.Submitted) -> None:
        """Enter."""
        try:
            self.dismiss(self._does(event.value.strip()))
        except Refusal as refusal:
            line = self.query_one("#ask-trouble", Text)
            line.update(f"✗ {refusal}")
            line.display = True
