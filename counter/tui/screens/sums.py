"""The sums of shaping: a line is typed, and what it comes to stands below."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.shared.telling import in_unit
from counter.tui.host import Host
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.tap import Tap
from counter.tui.widgets.words import Field, Text
from engine.advise.sums import SUMS, asked
from engine.base.refusal import Refusal


class SumsScreen(ModalScreen[None]):
    """Tapers, even spreads, crowns and yokes, by the words of the commands."""

    AUTO_FOCUS = "Field"
    BINDINGS = [("escape", "dismiss(None)", "close")]
    app: Host

    def compose(self) -> ComposeResult:
        """The line, what it comes to, what can be asked."""
        yield Text(Content.styled("The sums of shaping", "bold"), classes="head")
        yield Field("", placeholder=f"{SUMS[0].name} {SUMS[0].example}", id="sum")
        with VerticalScroll(id="page"):
            yield Text(id="comes")
            for place, one in enumerate(SUMS):
                yield Tap(
                    Content.assemble((f"{one.name} {one.example}", "bold"), f"\n{one.what}"),
                    f"screen.try_out({place})",
                )
        yield KeyLine(
            Offer(key_name("enter"), "work it out", does="screen.take", loud=True),
            Offer(key_name("escape"), "close", does="screen.dismiss(None)"),
            classes="keys",
        )

    def on_mount(self) -> None:
        """Nothing is asked yet."""
        self.query_one("#comes").display = False

    def action_take(self) -> None:
        """A click on enter."""
        self._work_out(self.query_one("#sum", Field).value)

    def action_try_out(self, place: int) -> None:
        """A tap on an example."""
        one = SUMS[place]
        self.query_one("#sum", Field).value = f"{one.name} {one.example}"
        self.action_take()

    def on_input_submitted(self, event: Field.Submitted) -> None:
        """Enter."""
        self._work_out(event.value)

    def _work_out(self, said: str) -> None:
        line = self.query_one("#comes", Text)
        line.display = True
        try:
            told = "\n".join(asked(said).lines)
        except Refusal as refusal:
            line.update(Content.assemble(("✗ ", "bold"), str(refusal)))
        else:
            line.update(Content.styled(in_unit(told, self.app.settings.unit), "bold"))
