"""Words that turn pages: what they come to, on whatever screen they are said.

None of it moves a row. Each gives the sentence that tells of it; empty where the page itself does.
"""

from __future__ import annotations

from textual.containers import VerticalScroll
from textual.screen import ModalScreen, Screen

from counter.shared.settings import Readback
from counter.tui.host import Host
from counter.tui.screens.row import RowScreen
from counter.tui.screens.settings import SettingsScreen
from counter.tui.screens.shelf import Shelf
from counter.tui.widgets.words import Choices
from engine.base.refusal import Refusal
from models.command import Page

_READ = {
    Page.READ_BRIEFLY: Readback.SHORT,
    Page.READ_EVERYTHING: Readback.FULL,
    Page.BE_QUIET: Readback.OFF,
}
_TOLD = {
    Readback.OFF: "Nothing is read out any more.",
    Readback.SHORT: "The next step is read out in short.",
    Readback.FULL: "Every instruction is read out whole.",
}
_OF_A_MAKE = frozenset({Page.JOURNAL, Page.PIECE, Page.HOW, Page.CHANGE})


def turn(app: Host, row: RowScreen | None, page: Page) -> str:
    """Do it. Raises Refusal where it makes no sense here."""
    screen = app.screen
    match page:
        case Page.READ_BRIEFLY | Page.READ_EVERYTHING | Page.BE_QUIET:
            return _read(app, _READ[page])
        case Page.READ_ALOUD:
            return _read(app, app.read_before)
        case Page.CLOSE:
            _close(screen)
        case Page.FURTHER | Page.EARLIER:
            _scroll(screen, 1 if page is Page.FURTHER else -1)
        case Page.SHELF if row is not None:
            app.to_shelf()
        case Page.PLAY if row is not None:
            return row.play_note()
        case Page.LEAVE:
            app.exit(0)
        case Page.NEW_MAKE | Page.SETTINGS | Page.GO_ON | Page.SHELF:
            return _from_the_shelf(app, row, page)
        case page if page in _OF_A_MAKE:
            if row is None:
                raise Refusal("No make is on the table: go on with one first.")
            _bare(app, row)
            row.action_turn_to(page.value)
        case _:
            raise Refusal("That cannot be done here.")
    return ""


def _read(app: Host, readback: Readback) -> str:
    app.read_out(readback)
    return _TOLD[readback]


def _close(screen: Screen[object]) -> None:
    if isinstance(screen, SettingsScreen):
        screen.action_take()
    elif isinstance(screen, ModalScreen):
        screen.dismiss(None)
    else:
        raise Refusal("No page is open that could be closed.")


def _scroll(screen: Screen[object], way: int) -> None:
    from counter.tui.screens.how import HowScreen  # and with it the drawings

    if isinstance(screen, HowScreen):
        screen.action_turn(way)
        return
    if isinstance(screen, RowScreen):
        raise Refusal("There is nothing here to scroll.")
    for choices in screen.query(Choices):
        if choices.display and choices.option_count:
            (choices.action_cursor_down if way > 0 else choices.action_cursor_up)()
            return
    for page in screen.query(VerticalScroll):
        (page.scroll_page_down if way > 0 else page.scroll_page_up)(animate=False)
        return
    raise Refusal("There is nothing here to scroll.")


def _from_the_shelf(app: Host, row: RowScreen | None, page: Page) -> str:
    if page is Page.SHELF:
        raise Refusal("No make is on the table.")
    if row is not None and page is Page.SETTINGS:
        _bare(app, row)
        app.open_settings()
        return ""
    if row is not None and page is Page.NEW_MAKE:
        app.to_shelf()
    shelf = app.screen
    if not isinstance(shelf, Shelf):
        raise Refusal("Close this page first.")
    if page is Page.GO_ON:
        shelf.action_open()
    elif page is Page.SETTINGS:
        app.open_settings()
    else:
        shelf.begin_by_word()
    return ""


def _bare(app: Host, row: RowScreen) -> None:
    """The row, with no page over it."""
    while app.screen is not row:
        app.pop_screen()
