"""Keys and words, from the one table."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import as_said, key_name, key_names
from counter.tui.host import Host
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.tap import Tap
from counter.tui.widgets.words import Text
from engine.words.vocabulary import PAGES, page_words, word, words
from models.command import Action

_SAFE = (
    "Rest your hands often; pain or numbness that stays is for a doctor or a hand therapist. "
    "Mind the scissors. Keep loose loops and yarn away from infants."
)


class HelpScreen(ModalScreen[None]):
    """The whole table."""

    AUTO_FOCUS = "VerticalScroll"
    BINDINGS = [
        (",".join({"escape", "q", *word(Action.HELP).keys}), "dismiss", "close"),
    ]
    app: Host

    def compose(self) -> ComposeResult:
        """Each action with its key, its words and its meaning."""
        language = self.app.wanted.language
        with VerticalScroll(id="page"):
            yield Text(Content.styled("Keys and words", "bold"), classes="head")
            for line in words(language):
                said = ", ".join(f"“{as_said(phrase, language)}”" for phrase in line.phrases[:3])
                asks = " Asks first." if line.confirm else ""
                yield Tap(
                    Content.assemble(
                        (f" {key_names(line.keys)} ", "bold reverse"),
                        (f" {said or '(typed)'}", "bold"),
                        f"\n{line.meaning[:1].upper()}{line.meaning[1:]}.{asks}",
                    ),
                    f"screen.perform('{line.action.value}')",
                )
            yield Text(Content.styled("Pages", "bold"), classes="below")
            for page in PAGES:
                yield Tap(
                    Content.assemble(
                        (f" {key_names(page.keys)} ", "bold reverse"), f" {page.meaning}"
                    ),
                    f"screen.turn_to('{page.page.value}')",
                )
            for turned in page_words(language):
                said = ", ".join(f"“{phrase}”" for phrase in turned.phrases)
                yield Text(Content.assemble((said, "bold"), f" {turned.meaning}"))
            yield Text(_SAFE, classes="below")
        yield KeyLine(
            Offer(key_name("escape"), "close", does="screen.dismiss", loud=True),
            Offer("↑ ↓", "scroll"),
            classes="keys",
        )

    def action_perform(self, name: str) -> None:
        """A tap on a line of the table: what its key does on the screen below."""
        self._below("perform", Action(name))

    def action_turn_to(self, name: str) -> None:
        """A tap on the line of a page, likewise."""
        self._below("action_turn_to", name)

    def _below(self, method: str, *arguments: object) -> None:
        self.app.pop_screen()
        if act := getattr(self.app.screen, method, None):
            act(*arguments)


def help_offer() -> Offer:
    """The key that leads here, for the foot of another screen."""
    keys = word(Action.HELP).keys
    return Offer(key_names(keys), "keys and words", "help", f"screen.press('{keys[0]}')")
