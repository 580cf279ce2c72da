"""Key bindings out of the one table of words (`engine.words.vocabulary`)."""

from textual.binding import Binding

from engine.words.vocabulary import page_key, words
from models.command import Action, Page


def table_bindings(*only: Action) -> list[Binding]:
    """A binding for every key of the table, or of some of its actions.

    Actions that share a key share a binding.
    """
    meant: dict[str, list[str]] = {}
    for line in words():
        if only and line.action not in only:
            continue
        for key in line.keys:
            meant.setdefault(key, []).append(line.action.value)
    return [
        Binding(key, f"press('{key}')", " / ".join(actions), show=False)
        for key, actions in meant.items()
    ]


def page_bindings(*pages: Page) -> list[Binding]:
    """Bindings that turn to a page."""
    return [
        Binding(",".join(page_key(page).keys), f"turn_to('{page.value}')", page.value, show=False)
        for page in pages
    ]
