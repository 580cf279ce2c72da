"""What happened in a make: per part, and action by action, the latest first."""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from counter.keys import key_names
from counter.telling import in_unit
from counter.work import Work
from engine import wording
from engine.history import Entry, entries
from engine.vocabulary import page_key
from models.command import Page
from models.script import LOOP_KINDS
from models.state import MakeState

if TYPE_CHECKING:
    from counter.app import SpokenrowApp

_SHOWN = 400
"""Entries shown; the whole is in `spokenrow log`."""


class JournalScreen(ModalScreen[None]):
    """The journal."""

    AUTO_FOCUS = "VerticalScroll"
    BINDINGS = [
        (",".join({"escape", "q", *page_key(Page.JOURNAL).keys}), "dismiss", "close"),
    ]
    app: SpokenrowApp

    def __init__(self, work: Work) -> None:
        super().__init__()
        self._work = work

    def compose(self) -> ComposeResult:
        """Parts first, then days."""
        making, unit = self._work.making, self.app.settings.unit
        with VerticalScroll(id="page"):
            yield Static(
                Content.styled(f"{making.state.plan.title}: the journal", "bold"), classes="head"
            )
            yield Static(_parts(making.state))
            history = entries(making.plan, making.events)
            yield Static(in_unit(_history(history[-_SHOWN:]), unit), classes="below", markup=False)
            if len(history) > _SHOWN:
                yield Static(f"Earlier entries: spokenrow log {self._work.name}")
        yield Static(
            Content.from_markup(
                "[@click=screen.dismiss][bold reverse] esc [/] [bold]close[/][/]   ↑ ↓ scroll"
                f"   {key_names(page_key(Page.JOURNAL).keys)} opens it"
            ),
            classes="keys",
        )


def _parts(state: MakeState) -> str:
    """A line for each part: its bar, its steps done, its loops worked, its marks."""
    steps = state.script.steps
    rows = []
    marks = Counter(mark.part for mark in state.marks if mark.open)
    loops_word = wording.loop_word(state.plan.craft)
    widest = max(len(part) for part in state.script.parts)
    for part in state.script.parts:
        own = [step for step in steps if step.part == part and step.kind in LOOP_KINDS]
        done = [step for step in own if step.number <= state.at]
        filled = round(10 * len(done) / len(own)) if own else 10
        bar = "█" * filled + "░" * (10 - filled)
        mark = f"  ◆ {marks[part]} open" if marks[part] else ""
        loops = sum(step.yarn_loops for step in done)
        rows.append(f"{part:{widest}} {bar} {len(done)}/{len(own)}, {loops} {loops_word}{mark}")
    return "\n".join(rows)


def _history(history: list[Entry]) -> str:
    rows, day = [], None
    for entry in reversed(history):
        at = datetime.fromtimestamp(entry.at)
        if at.date() != day:
            day = at.date()
            rows.append(f"{at:%A}, {at.day} {at:%B %Y}")
        struck = "  (taken back)" if entry.taken_back else ""
        rows.append(f"  {at:%H:%M}  {entry.text}{struck}")
    return "\n".join(rows) if rows else "Nothing has happened yet."
