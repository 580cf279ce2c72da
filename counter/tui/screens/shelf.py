"""The shelf: every make, what is next in it, and the way to a new one."""

from __future__ import annotations

import asyncio
import sqlite3

from textual import work
from textual.app import ComposeResult
from textual.content import Content
from textual.screen import Screen

from counter.shared.keys import key_name
from counter.shared.telling import ago, duration, in_unit
from counter.shared.work import offered
from counter.tui.host import Host
from counter.tui.keys import page_bindings, table_bindings
from counter.tui.screens.help import HelpScreen, help_offer
from counter.tui.screens.new_make import PRACTICE, NewMake
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Choice, Choices, Text
from engine.advise import pace
from engine.base.refusal import Refusal
from engine.keep.store import unreadable
from engine.make import progress
from engine.plan.planning import DEFAULT_GAUGE, make_plan, read_gauge
from engine.script import places, wording
from engine.words.vocabulary import page_key, word
from models.command import Action, Page
from models.event import Event
from models.plan import Plan
from models.script import LOOP_KINDS
from models.state import MakeState

_WELCOME = (
    "Nothing is on the shelf yet.\n\n"
    "spokenrow counts what you make, loop by loop, while your hands are full: you say “{said}”, "
    "or press space, and it shows the next row.\n"
)
_PRACTICE = "Begin with the practice piece: two minutes, and you know the words."


class Shelf(Screen[None]):
    """The makes, the last touched first."""

    AUTO_FOCUS = "#makes"
    BINDINGS = [
        *table_bindings(Action.ADVANCE, Action.HELP),
        *page_bindings(Page.SHELF, Page.NEW_MAKE, Page.SETTINGS),
    ]
    app: Host

    def compose(self) -> ComposeResult:
        """Title, makes, keys."""
        yield Text(Content.styled("spokenrow", "bold"), id="shelf-title")
        yield Text(id="welcome")
        yield Choices(id="makes")
        yield Text(id="trouble")
        yield KeyLine(id="keys")

    def on_mount(self) -> None:
        """Fill it."""
        self.fill()

    def on_screen_resume(self) -> None:
        """Whatever was on the table may have moved."""
        self.fill()

    @work(exclusive=True)
    async def fill(self) -> None:
        """Names at once; then, make by make, where it stands."""
        try:
            names = self.app.store.names()
        except sqlite3.Error as error:
            names = []
            self._trouble(f"The makes cannot be read ({error}): run spokenrow doctor.")
        welcome, makes = self.query_one("#welcome", Text), self.query_one("#makes", Choices)
        welcome.display, makes.display = not names, bool(names)
        said = word(Action.ADVANCE, self.app.wanted.language).phrases[0]
        welcome.update(f"{_WELCOME.format(said=said)}\n{_PRACTICE}")
        self.query_one("#keys", KeyLine).offers = self._offers(empty=not names)
        if troubles := self.app.troubles:
            self._trouble(troubles)
        if [option.id for option in makes.options] != names:
            makes.clear_options()
            makes.add_options([Choice(Content.styled(name, "bold"), id=name) for name in names])
            if names:
                makes.highlighted = 0
        now = self.app.clock()
        for name in names:
            await asyncio.sleep(0)  # a key pressed meanwhile goes first
            makes.say(name, self._line(name, now))

    def _line(self, name: str, now: float) -> Content:
        try:
            return self._told(name, now)
        except Exception as error:  # one broken make must not hide the others
            why = error if isinstance(error, Refusal) else unreadable(name, str(error))
            return Content.assemble((name, "bold"), f"\n⚠ cannot be opened. {why}\n")

    def _told(self, name: str, now: float) -> Content:
        begun, events = self.app.store.load(name)
        try:
            state = progress.fold(begun, events)
        except Refusal as why:
            raise unreadable(name, str(why)) from why
        unit = self.app.settings.unit
        return Content.assemble(
            (begun.plan.title, "bold"),
            f"  {name}" if name != begun.plan.title.lower() else "",
            f"\n{in_unit(_next(state), unit)}",
            f"\n{_standing(begun.plan, events, state, now)}\n",
            f"{in_unit(told, unit)}\n" if (told := offered(state, name)) else "",
        )

    def _trouble(self, sentence: str) -> None:
        self.query_one("#trouble", Text).update(sentence)

    def _offers(self, *, empty: bool) -> tuple[Offer, ...]:
        new, leave = (key_name(page_key(page).keys[0]) for page in (Page.NEW_MAKE, Page.SHELF))
        turn = "screen.turn_to('{}')".format
        first = Offer(key_name("enter"), "go on with it", "go on", "screen.open", loud=True)
        if empty:
            key = key_name(word(Action.ADVANCE).keys[0])
            first = Offer(key, "the practice piece", "practice", "screen.open", loud=True)
        another = "another make" if empty else "a new make"
        return (
            first,
            Offer(new, another, "new", turn(Page.NEW_MAKE.value)),
            help_offer(),
            Offer(leave, "leave", does=turn(Page.SHELF.value)),
        )

    def action_press(self, key: str) -> None:
        """A key of the table: help, and what opens the make that is lit."""
        if key in word(Action.HELP).keys:
            self.app.push_screen(HelpScreen())
        elif key in word(Action.ADVANCE).keys:
            self.action_open()

    def action_open(self) -> None:
        """Open what is lit; with nothing there, begin the practice piece."""
        makes = self.query_one("#makes", Choices)
        if makes.option_count == 0:
            self._practise()
        elif makes.highlighted is not None:
            makes.action_select()

    def on_option_list_option_selected(self, event: Choices.OptionSelected) -> None:
        """Enter on a make."""
        if event.option.id is not None:
            self.app.open_named(event.option.id)

    def action_turn_to(self, page: str) -> None:
        """A key that turns to a page."""
        match Page(page):
            case Page.SHELF:
                self.app.exit(0)
            case Page.NEW_MAKE:
                self.app.push_screen(NewMake(), self._begun)
            case Page.SETTINGS:
                self.app.open_settings()
            case _:
                pass

    def _practise(self) -> None:
        plan = make_plan(PRACTICE, read_gauge(DEFAULT_GAUGE), hand=self.app.settings.hand)
        name = self.app.store.free_name(plan.title)
        self.app.store.create(name, plan)
        self.app.open_named(name)

    def _begun(self, name: str | None) -> None:
        if name is not None:
            self.app.open_named(name)


def _next(state: MakeState) -> str:
    step = state.step
    if state.done or step is None:
        return "✓ done"
    return f"next: {step.part}. {wording.text(step, state.plan.craft)}"


def _standing(plan: Plan, events: list[Event], state: MakeState, now: float) -> str:
    steps = [step for step in state.script.steps if step.kind in LOOP_KINDS]
    done = sum(step.number <= state.at for step in steps)
    said = [f"{done} of {len(steps)} rows and bind-offs"]
    if plan.size:
        said.insert(0, f"size {plan.size}")
    if marks := state.open_marks:
        said.append(f"◆ open mark at {places.mark_place(marks[-1], state.plan.craft)}")
    if state.last_at is not None:
        said.append(f"touched {ago(state.last_at, now)}")
    left = pace.left(state)
    if left.learned and not state.done:
        said.append(f"about {duration(left.make)} to go")
    return " · ".join(said) if events else f"not begun · {len(steps)} rows and bind-offs"
