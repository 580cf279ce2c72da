"""The keys at the foot of the row: the one obvious next, and how it is said."""

from __future__ import annotations

from counter.shared.keys import as_said, key_name
from counter.tui.screens.help import help_offer
from counter.tui.widgets.keyline import Offer
from engine.script import wording
from engine.words.vocabulary import page_key, page_words, word
from models.command import Action, Page
from models.script import Kind
from models.state import MakeState


def offers(state: MakeState, *, asked: bool, spoken: str, more: bool) -> tuple[Offer, ...]:
    """Keys, each with what it does.

    `asked` while a question stands open, `spoken` the language in which a word would be heard,
    empty where none is; `more` where the instruction has another page.
    """
    offered: list[tuple[Action | Page, str]] = [obvious(state)]
    if asked:
        offered = [(Action.YES, "yes"), (Action.NO, "no")]
    found = [_offer(does, label) for does, label in offered]
    if spoken:
        words = [said(does, spoken) for does, _ in offered]
        if label := ", ".join(f"“{phrase}”" for phrase in words if phrase):
            found.append(Offer("say", label))
    if more and not asked:
        found.append(Offer("↓", "more", does="screen.read_on(1)"))
    return (*found, help_offer())


def _offer(does: Action | Page, label: str) -> Offer:
    if isinstance(does, Action):
        key = word(does).keys[0]
        return Offer(key_name(key), label, does=f"screen.press('{key}')", loud=True)
    key = page_key(does).keys[0]
    return Offer(key_name(key), label, does=f"screen.turn_to('{does.value}')", loud=True)


def said(action: Action | Page, language: str) -> str:
    """The words for what a key does, as somebody would say them; empty where it has none."""
    if isinstance(action, Action):
        return as_said(word(action, language).phrases[0], language)
    return next((w.phrases[0] for w in page_words(language) if w.page is action), "")


def obvious(state: MakeState) -> tuple[Action | Page, str]:
    """The one next key, and what it does."""
    if state.done or state.step is None:
        return Page.SHELF, "back to the shelf"
    if state.paused:
        return Action.RESUME, "take it up again"
    if state.open_verdict:
        return Action.CHOOSE, "take a choice: its number"
    match state.step.kind:
        case Kind.MEASURE:
            return Action.MEASURED, "type what the tape says"
        case Kind.FIT_CHECK:
            return Action.FITS, "it fits"
        case Kind.BACK_CHECK:
            return Action.ADVANCE, "no loop sticks out"
        case Kind.ROW | Kind.ROUND:
            return Action.ADVANCE, f"{wording.row_word(state.step.kind)} done"
        case _:
            return Action.ADVANCE, "done"
