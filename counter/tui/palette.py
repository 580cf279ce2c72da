"""The command palette, out of the one table."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import cast

from textual.command import DiscoveryHit, Hit, Hits, Provider

from counter.shared.keys import as_said, key_names
from counter.tui.host import Host
from counter.tui.widgets.words import told
from engine.words.vocabulary import PAGES, words


class TableCommands(Provider):
    """Every action and every page that the screen under the palette knows."""

    def _lines(self) -> Iterator[tuple[str, str, Callable[[], None]]]:
        screen = self.screen
        perform = getattr(screen, "perform", None)
        if perform is not None:
            language = cast("Host", self.app).wanted.language
            for line in words(language):
                said = f", “{as_said(line.phrases[0], language)}”" if line.phrases else ""
                yield (
                    line.action.value,
                    f"{line.meaning} ({key_names(line.keys)}{said})",
                    partial(perform, line.action),
                )
        turn = getattr(screen, "action_turn_to", None)
        if turn is not None:
            for page in PAGES:
                yield (
                    page.page.value,
                    f"{page.meaning} ({key_names(page.keys)})",
                    partial(turn, page.page.value),
                )

    async def discover(self) -> Hits:
        """The whole table, before anything is typed."""
        for name, meaning, act in self._lines():
            yield DiscoveryHit(told(name), act, text=name, help=_help(meaning))

    async def search(self, query: str) -> Hits:
        """What fits the letters typed."""
        matcher = self.matcher(query)
        for name, meaning, act in self._lines():
            score = matcher.match(f"{name} {meaning}")
            if score > 0:
                yield Hit(score, matcher.highlight(name), act, text=name, help=_help(meaning))


def _help(meaning: str) -> str:
    """Textual reads a string as markup, and takes content as it is."""
    return cast("str", told(meaning))
