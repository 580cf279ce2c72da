"""The page of settings."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Select, Static

from counter.keys import key_name, page_bindings
from counter.settings import Look, Readback, Settings, Unit
from engine.ears.grammar import attention
from engine.ears.guard import Sensitivity
from engine.vocabulary import page_key
from models.command import Page
from models.script import Hand

_CHOICES: tuple[tuple[str, str, str, type[StrEnum]], ...] = (
    ("unit", "Unit", "What your tape shows, and what you say.", Unit),
    (
        "readback",
        "Read out",
        "What is said back after a row; a question is always answered.",
        Readback,
    ),
    ("sensitivity", "Ears", "Careful where others talk; eager in a quiet room.", Sensitivity),
    ("look", "Colours", "Dark or light; both in high contrast.", Look),
    ("hand", "Leading hand", "For new makes: the left mirrors every direction.", Hand),
)


class SettingsScreen(ModalScreen[Settings | None]):
    """Everything that can be set. Leaving it takes it."""

    AUTO_FOCUS = "#unit"
    BINDINGS = [
        ("escape,q", "take", "take it"),
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
            yield Static(Content.styled("Settings", "bold"), classes="head")
            for name, label, why, kind in _CHOICES:
                with Horizontal(classes="field"):
                    yield Static(Content.styled(label, "bold"), classes="label")
                    yield Select(
                        [(choice.value, choice) for choice in kind],
                        value=getattr(self._settings, name),
                        allow_blank=False,
                        compact=True,
                        id=name,
                    )
                yield Static(why, classes="why")
            with Horizontal(classes="field"):
                yield Static(Content.styled("Large type", "bold"), classes="label")
                yield Select(
                    [("off", False), ("on", True)],
                    value=self._settings.large,
                    allow_blank=False,
                    compact=True,
                    id="large",
                )
            yield Static("The instruction and the row, and little else.", classes="why")
            with Horizontal(classes="field"):
                yield Static(Content.styled("Call first", "bold"), classes="label")
                yield Select(
                    [("off", False), ("on", True)],
                    value=self._settings.attention,
                    allow_blank=False,
                    compact=True,
                    id="attention",
                )
            yield Static(
                f"On: a command counts only after “{' '.join(attention())}”.", classes="why"
            )
            with Horizontal(classes="field"):
                yield Static(Content.styled("Microphone", "bold"), classes="label")
                yield Select(
                    [("the usual one", ""), *((name, name) for name in self._microphones)],
                    value=self._settings.microphone,
                    allow_blank=False,
                    compact=True,
                    id="microphone",
                )
            yield Static("Which one listens.", classes="why")
            with Horizontal(classes="field"):
                yield Static(Content.styled("Your name", "bold"), classes="label")
                yield Input(self._settings.person, max_length=60, compact=True, id="person")
            yield Static("Whose voice, as 'spokenrow rehearse' knows it.", classes="why")
            with Horizontal(classes="field"):
                yield Static(Content.styled("Rest after", "bold"), classes="label")
                yield Input(
                    str(self._settings.reminder_minutes),
                    type="integer",
                    compact=True,
                    id="reminder",
                )
            yield Static("Minutes of work before a rest is proposed; 0 for never.", classes="why")
            yield Static(id="refusal")
        yield Static(
            Content.from_markup(
                "[@click=screen.take][bold reverse] esc [/] [bold]take it[/][/]"
                "   tab next line   enter choose"
            ),
            classes="keys",
        )

    def action_turn_to(self, page: str) -> None:
        """The form's own key."""
        if page == Page.BEGIN:
            self.action_take()

    def action_take(self) -> None:
        """Leave with what stands there."""
        text = self.query_one("#reminder", Input).value.strip()
        if not text.isdigit() or int(text) > 240:
            self.query_one("#refusal", Static).update(
                "Give the minutes before a rest as a whole number, 0 to 240."
            )
            return
        chosen: dict[str, object] = {
            name: self.query_one(f"#{name}", Select).value for name, *_ in _CHOICES
        }
        for name in ("attention", "microphone"):
            chosen[name] = self.query_one(f"#{name}", Select).value
        chosen["person"] = self.query_one("#person", Input).value.strip()
        chosen["large"] = self.query_one("#large", Select).value
        chosen["reminder_minutes"] = int(text)
        self.dismiss(Settings.model_validate(chosen))


BEGIN_KEY = key_name(page_key(Page.BEGIN).keys[0])
"""The key that takes a form as it stands."""
