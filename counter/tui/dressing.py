"""Classes that a screen puts on and off while somebody waits for it.

Textual looks every widget of the screen up in the style sheet again when one class changes, which
takes longer than all else that a row done needs. Most of our classes say something about four or
five widgets: the style sheet itself tells which, and only those are looked up, once for each set of
classes. A style sheet in other colours wants another `Dressing`.
"""

from collections.abc import Sequence

from textual.css.model import CombinatorType, Selector, SelectorType
from textual.css.styles import RulesMap
from textual.dom import DOMNode
from textual.screen import Screen


class Dressing:
    """The classes of one screen, whose widgets stay the same."""

    def __init__(self, screen: Screen[None]) -> None:
        self._screen = screen
        self._changed: set[str] = set()
        self._found: dict[frozenset[str], dict[tuple[object, ...], RulesMap]] = {}
        self._heeding: dict[tuple[str, frozenset[str]], tuple[DOMNode, ...]] = {}

    def wear(self, name: str, on: bool) -> None:
        """A class of the style sheet; it is seen once all that change have been said (`show`)."""
        if self._screen.has_class(name) is not on:
            self._screen.set_class(on, name, update=False)
            self._changed.add(name)

    def show(self) -> None:
        """Let the style sheet see the classes that have changed, once."""
        changed, self._changed = self._changed, set()
        worn = frozenset(self._screen.classes)
        ever = worn | changed
        nodes = {node: None for name in sorted(changed) for node in self._nodes(name, ever)}
        found = self._found.setdefault(worn, {})
        for node in nodes:
            self._screen.app.stylesheet.apply(node, cache=found)

    def _nodes(self, name: str, ever: frozenset[str]) -> tuple[DOMNode, ...]:
        """Whom a class of the screen says something about, beside others worn now or before."""
        if (name, ever) not in self._heeding:
            every = list(self._screen.walk_children(with_self=True))
            found = {
                node: None
                for rule in self._screen.app.stylesheet.rules
                for selectors in rule.selector_set
                if name in (wanted := _classes(selectors.selectors)) and wanted <= ever
                for node in every
                if _is_subject(selectors.selectors, node)
            }
            self._heeding[name, ever] = tuple(found)
        return self._heeding[name, ever]


def _classes(selectors: Sequence[Selector]) -> set[str]:
    """The classes that a rule asks of the screen: `asked` of `RowScreen.asked #answer.news`."""
    subject = max(
        place
        for place, selector in enumerate(selectors)
        if selector.combinator is not CombinatorType.SAME
    )
    asked = selectors[:subject] or selectors  # a rule about the screen itself has one part
    return {selector.name for selector in asked if selector.type is SelectorType.CLASS}


def _is_subject(selectors: Sequence[Selector], node: DOMNode) -> bool:
    """Whether a rule speaks of the node in `RowScreen.asked #answer.news`, classes put aside."""
    for selector in reversed(selectors):
        if selector.type is not SelectorType.CLASS and not selector.check(node):
            return False
        if selector.combinator is not CombinatorType.SAME:
            return True
    return True
