"""What happened in a make: per part, and action by action, the latest first."""

from __future__ import annotations

from collections import Counter
from datetime import datetime

from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen

from counter.shared.keys import key_name
from counter.shared.settings import Unit
from counter.shared.telling import in_unit
from counter.shared.work import Work
from counter.tui.host import Host
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Text
from engine.make.history import Entry, entries
from engine.script import wording
from engine.words.vocabulary import page_key
from models.command import Page
from models.script import LOOP_KINDS
from models.state import MakeState

_MARGIN = 3
"""Columns that the page keeps to itself: a space on either side, and the scroll bar."""
_SHOWN = 400
"""Entries shown; the whole is in `spokenrow log`."""


class JournalScreen(ModalScreen[None]):
    """The journal."""

    AUTO_FOCUS = "VerticalScroll"
    BINDINGS = [
        (",".join({"escape", "q", *page_key(Page.JOURNAL).keys}), "dismiss", "close"),
    ]
    app: Host

    def __init__(self, work: Work) -> None:
        super().__init__()
        self._work = work

    def compose(self) -> ComposeResult:
        """Parts first, then days."""
        making, unit = self._work.making, self.app.settings.unit
        with VerticalScroll(id="page"):
            yield Text(
                Content.styled(f"{making.state.plan.title}: the journal", "bold"), classes="head"
            )
            yield Text(id="parts")
            history = entries(making.begun, making.events)
            yield Text(_history(history[-_SHOWN:], unit), classes="below")
            if len(history) > _SHOWN:
                yield Text(f"Earlier entries: spokenrow log {self._work.name}")
        yield KeyLine(
            Offer(key_name("escape"), "close", does="screen.dismiss", loud=True),
            Offer("↑ ↓", "scroll"),
            classes="keys",
        )

    def on_resize(self, event: events.Resize) -> None:
        """The parts are told by the room there is."""
        told = _parts(self._work.state)
        if max(map(len, told.split("\n"))) > event.size.width - _MARGIN:
            told = _parts(self._work.state, brief=True)
        self.query_one("#parts", Text).update(told)


def _parts(state: MakeState, *, brief: bool = False) -> str:
    """A line for each part: its bar, its steps done, its loops worked, its marks.

    In `brief` a shorter bar, no loops, and the mark's number alone.
    """
    steps = state.script.steps
    rows = []
    marks = Counter(mark.part for mark in state.marks if mark.open)
    loops_word = wording.loop_word(state.plan.craft)
    widest = max(len(part) for part in state.script.parts)
    for part in state.script.parts:
        own = [step for step in steps if step.part == part and step.kind in LOOP_KINDS]
        done = [step for step in own if step.number <= state.at]
        length = 5 if brief else 10
        filled = round(length * len(done) / len(own)) if own else length
        bar = "█" * filled + "░" * (length - filled)
        mark = f"  ◆ {marks[part]}{'' if brief else ' open'}" if marks[part] else ""
        loops = "" if brief else f", {sum(step.yarn_loops for step in done)} {loops_word}"
        rows.append(f"{part:{widest}} {bar} {len(done)}/{len(own)}{loops}{mark}")
    return "\n".join(rows)


def _history(history: list[Entry], unit: Unit) -> str:
    rows, day = [], None
    for entry in reversed(history):
        at = datetime.fromtimestamp(entry.at)
        if at.date() != day:
            day = at.date()
            rows.append(f"{at:%A}, {at.day} {at:%B %Y}")
        struck = "  (taken back)" if entry.taken_back else ""
        text = entry.text if entry.own_words else in_unit(entry.text, unit)
        rows.append(f"  {at:%H:%M}  {text}{struck}")
    return "\n".join(rows) if rows else "Nothing has happened yet."
