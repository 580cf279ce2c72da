"""The page of settings."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widget import Widget

from counter.shared.keys import key_name
from counter.shared.settings import Look, Loudness, Pace, Readback, Settings, Speaker, Unit
from counter.tui.keys import page_bindings
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Field, Pick, Text
from engine.base.numbers import whole
from engine.base.refusal import Refusal
from engine.ears.guard import Sensitivity
from engine.words.grammar import attention, no_attention
from engine.words.vocabulary import language_name, languages
from models.command import Page
from models.script import Hand

_LINES = (
    ("unit", "Unit", "What your tape shows, and what you say."),
    ("readback", "Read out", "What is said back after a row; a question is always answered."),
    ("speaker", "Voice", "Natural wants the extra of that name; else the small one speaks."),
    ("pace", "Reads", "How quickly it is read out."),
    ("loudness", "Loudness", "Of the voice and the tones."),
    ("language", "Words", "The language that you say them in; help (?) shows them."),
    ("sensitivity", "Ears are", "Careful where others talk; eager in a quiet room."),
    ("attention", "Call first", ""),
    ("microphone", "Microphone", "Which one listens."),
    ("person", "Your name", "Whose voice, as 'spokenrow rehearse' knows it."),
    ("look", "Colours", "Dark or light; both in high contrast."),
    ("large", "Large type", "The instruction and the row, and little else."),
    ("hand", "Leading hand", "For new makes: the left mirrors every direction."),
    ("reminder_minutes", "Rest after", "Minutes of work before a rest is proposed; 0 for never."),
)
"""Name, label, and what it is for, in the order of the page."""
_ENUMS: dict[str, type[StrEnum]] = {
    "unit": Unit,
    "readback": Readback,
    "speaker": Speaker,
    "pace": Pace,
    "loudness": Loudness,
    "sensitivity": Sensitivity,
    "look": Look,
    "hand": Hand,
}
_MOST_MINUTES = 240
_SWITCHES = frozenset({"attention", "large"})


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
            yield Text(Content.styled("Settings", "bold"), classes="head")
            for name, label, why in _LINES:
                with Horizontal(classes="field"):
                    yield Text(Content.styled(label, "bold"), classes="label")
                    yield self._answer(name)
                yield Text(why or _call(self._settings.language), classes="why", id=f"why-{name}")
        yield Text(id="refusal")
        yield KeyLine(
            Offer(key_name("escape"), "take it", does="screen.take", loud=True),
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
        if name in _ENUMS:
            return [(choice.value, choice) for choice in _ENUMS[name]]
        if name in _SWITCHES:
            return [("off", False), ("on", True)]
        if name == "language":
            return [(language_name(language), language) for language in languages()]
        return [("the usual one", ""), *((name, name) for name in self._microphones)]

    def on_mount(self) -> None:
        """Nothing is refused yet."""
        self.query_one("#refusal").display = False

    @on(Pick.Changed, "#language")
    def _tell_call(self, event: Pick.Changed) -> None:
        self.query_one("#why-attention", Text).update(_call(str(event.value)))

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
            minutes = _MOST_MINUTES + 1
        if minutes > _MOST_MINUTES:
            line = self.query_one("#refusal", Text)
            line.update(
                f"Rest after “{text}” minutes is not understood: give a whole number, 0 to "
                f"{_MOST_MINUTES}."
            )
            line.display = True
            self.query_one("#reminder_minutes").focus()
            return
        chosen: dict[str, object] = {"reminder_minutes": minutes}
        chosen |= {line.id: line.value for line in self.query(Pick) if line.id}
        chosen["person"] = self.query_one("#person", Field).value.strip()
        self.dismiss(Settings.model_validate(chosen))


def _call(language: str) -> str:
    """What the attention word does, in the words that are chosen."""
    said = " ".join(attention(language))
    return no_attention(language) or f"On: a command counts only after “{said}”."
