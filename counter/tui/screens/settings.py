"""The page of settings."""

from __future__ import annotations

from collections.abc import Sequence

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget

from counter.shared.keys import key_name
from counter.shared.setting_lines import ENUMS, LINES, MOST_MINUTES, SWITCHES, call
from counter.shared.settings import Settings
from counter.tui.keys import page_bindings
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Field, Pick, Text
from engine.base.numbers import whole
from engine.base.refusal import Refusal
from engine.words.vocabulary import language_name, languages
from models.command import Page


class SettingsScreen(ModalScreen[Settings | None]):
    """Everything that can be set. Leaving it takes it."""

    AUTO_FOCUS = "#unit"
    BINDINGS = [
        ("escape,q", "take", "done"),
        *page_bindings(Page.BEGIN),
    ]

    def __init__(self, settings: Settings, microphones: Sequence[str] = ()) -> None:
        """`microphones` are the names to choose from; the one that is set is always among them."""
        super().__init__()
        self._settings = settings
        names = [*microphones, settings.microphone]
        self._microphones = [name for name in dict.fromkeys(names) if name]

    def compose(self) -> ComposeResult:
        """A line for each."""
        with VerticalScroll(id="page"):
            yield Text(Content.styled("Settings", "bold"), classes="head")
            for name, label, why in LINES:
                with Horizontal(classes="field"):
                    yield Text(Content.styled(label, "bold"), classes="label")
                    yield self._answer(name)
                yield Text(why or call(self._settings.language), classes="why", id=f"why-{name}")
        yield Text(id="refusal")
        yield KeyLine(
            Offer(key_name("escape"), "done", does="screen.take", loud=True),
            Offer("tab", "next line", "next"),
            Offer(key_name("enter"), "choose"),
            classes="keys",
        )

    def _answer(self, name: str) -> Widget:
        value = getattr(self._settings, name)
        if name == "person":
            return Field(value, max_length=60, id=name)
        if name == "reminder_minutes":
            return Field(str(value), id=name)
        return Pick(self._options(name), value=value, id=name)

    def _options(self, name: str) -> list[tuple[str, object]]:
        if name in ENUMS:
            return [(choice.value, choice) for choice in ENUMS[name]]
        if name in SWITCHES:
            return [("off", False), ("on", True)]
        if name == "language":
            return [(language_name(language), language) for language in languages()]
        return [("the usual one", ""), *((name, name) for name in self._microphones)]

    def on_mount(self) -> None:
        """Nothing is refused yet."""
        self.query_one("#refusal").display = False

    @on(Pick.Changed, "#language")
    def _tellcall(self, event: Pick.Changed) -> None:
        self.query_one("#why-attention", Text).update(call(str(event.value)))

    def action_turn_to(self, page: str) -> None:
        """The form's own key."""
        if page == Page.BEGIN:
            self.action_take()

    def action_take(self) -> None:
        """Leave with what stands there."""
        text = self.query_one("#reminder_minutes", Field).value.strip()
        try:
            minutes = whole(text)
        except Refusal:
            minutes = MOST_MINUTES + 1
        if minutes > MOST_MINUTES:
            line = self.query_one("#refusal", Text)
            line.update(
                f"Rest after “{text}” minutes is not understood: give a whole number, 0 to "
                f"{MOST_MINUTES}."
            )
            line.display = True
            self.query_one("#reminder_minutes").focus()
            return
        chosen: dict[str, object] = {"reminder_minutes": minutes}
        chosen |= {line.id: line.value for line in self.query(Pick) if line.id}
        chosen["person"] = self.query_one("#person", Field).value.strip()
        self.dismiss(Settings.model_validate(chosen))
