"""The pages that a key lays over the row, each loaded when it is first wanted."""

from __future__ import annotations

from textual.screen import Screen

from counter.shared.work import Work
from models.command import Page


def page_over(page: Page, work: Work) -> Screen[None] | None:
    """The page that shows something of the make; None for one that is more than to look at."""
    match page:
        case Page.JOURNAL:
            from counter.tui.screens.journal import JournalScreen

            return JournalScreen(work)
        case Page.PIECE:
            from counter.tui.screens.piece import PieceScreen

            return PieceScreen(work.state)
        case Page.HOW:
            from counter.tui.screens.how import HowScreen

            return HowScreen(work.state)
        case Page.SUMS:
            from counter.tui.screens.sums import SumsScreen

            return SumsScreen()
        case _:
            return None
