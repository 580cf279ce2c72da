"""The shelf: every make, what is next in it, and the way to a new one."""

from __future__ import annotations

import asyncio
import sqlite3

from textual import work
from textual.app import ComposeResult
from textual.content import Content
from textual.screen import Screen

from counter.shared.beginning import Beginning
from counter.shared.keys import key_name
from counter.shared.signs import Sign, Signs
from counter.tui.host import Host
from counter.tui.keys import page_bindings, table_bindings
from counter.tui.screens import shelf_lines as lines
from counter.tui.screens.help import HelpScreen, help_offer
from counter.tui.screens.questions import Questions
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.words import Choice, Choices, Text
from engine.base.refusal import Refusal
from engine.designs import PRACTICE
from engine.keep import shelving
from engine.keep.store import unreadable
from engine.make import progress
from engine.plan.planning import DEFAULT_GAUGE, make_plan, read_gauge
from engine.words.grammar import numbers
from engine.words.vocabulary import page_key, page_words, word
from models.command import Action, Page

_WELCOME = (
    "Nothing is on the shelf yet.\n\n"
    "spokenrow counts what you make, loop by loop, while your hands are full: you say “{said}”, "
    "or press space, and it shows the next row.\n"
)
_PRACTICE = "Begin with the practice piece: two minutes, and you know the words."


_HEADING = "heading: "
"""Begins the id of a heading: no name of a make has it in its short form."""


class Shelf(Screen[None]):
    """The makes, the last touched first."""

    AUTO_FOCUS = "#makes"
    BINDINGS = [
        *table_bindings(Action.ADVANCE, Action.HELP),
        *page_bindings(Page.SHELF, Page.NEW_MAKE, Page.MORE, Page.SUMS, Page.SETTINGS),
    ]
    app: Host

    def __init__(self) -> None:
        super().__init__()
        self._finished: set[str] = set()
        self._numbered = False
        self._signs = Signs()
        self._order: list[str] = []
        """The makes from the top down: what their numbers mean."""
        self._titles: dict[str, str] = {}
        self._chosen = False

    def compose(self) -> ComposeResult:
        """Title, makes, keys."""
        yield Text(Content.styled("spokenrow", "bold"), id="shelf-title")
        yield Text(id="ears")
        yield Text(id="welcome")
        yield Choices(id="makes")
        yield Text(id="trouble")
        yield KeyLine(id="keys")

    def on_mount(self) -> None:
        """What the ears do; the makes are filled in when it is on the table."""
        self.show_ears()

    def on_screen_resume(self) -> None:
        """Whatever was on the table may have moved; under a make that opens it fills nothing."""
        if self.is_current:
            self.fill()

    @work(exclusive=True)
    async def fill(self) -> None:
        """Names at once; then, make by make, where it stands."""
        store, now = self.app.store, self.app.clock()
        try:
            self._gone(shelving.clear(store, now))
            names = store.names()
        except (sqlite3.Error, Refusal) as error:
            names = []
            self._trouble(f"The makes cannot be read ({error}): run spokenrow doctor.")
        welcome, makes = self.query_one("#welcome", Text), self.query_one("#makes", Choices)
        welcome.display, makes.display = not names, bool(names)
        said = word(Action.ADVANCE, self.app.wanted.language).phrases[0]
        hears = f"\n{_heard(self.app.wanted.language)}" if self._numbered else ""
        welcome.update(f"{_WELCOME.format(said=said)}\n{_PRACTICE}{hears}")
        self.query_one("#keys", KeyLine).offers = self._offers(empty=not names)
        if troubles := self.app.troubles:
            self._trouble(troubles)
        lies = shelving.lying(store)
        self._arrange(names, lies)
        shown: dict[str, Content] = {}
        for name in names:
            await asyncio.sleep(0)  # a key pressed meanwhile goes first
            shown[name] = self._line(name, lies, now)
            makes.say(name, shown[name])
        self._arrange(names, lies)
        if self._numbered:
            for number, name in enumerate(self._order, 1):
                makes.say(name, Content.assemble((f"{number}  ", "bold"), shown[name]))
        self.query_one("#keys", KeyLine).offers = self._offers(empty=not names)

    def _arrange(self, names: list[str], lies: shelving.Lying) -> None:
        """The makes under their headings, what was said of them and what is lit kept."""
        makes = self.query_one("#makes", Choices)
        under: dict[str, list[str]] = {place: [] for place in lines.PLACES}
        for name in names:
            under[lines.place(name, lies, name in self._finished)].append(name)
        wanted = []
        for place, there in under.items():
            if there and place and names != there:
                wanted.append(f"{_HEADING}{place}")
            wanted += there
        self._order = [one for one in wanted if not one.startswith(_HEADING)]
        before = [option.id for option in makes.options]
        if before == wanted:
            return
        told = {option.id: option.prompt for option in makes.options}
        lit = makes.highlighted_option.id if makes.highlighted_option else None
        makes.clear_options()
        for one in wanted:
            if one.startswith(_HEADING):
                head = Content.styled(f"— {one.removeprefix(_HEADING)} —", "bold")
                makes.add_option(Choice(head, id=one, heading=True))
            else:
                said = told.get(one)
                shown = said if isinstance(said, Content) else Content.styled(one, "bold")
                makes.add_option(Choice(shown, id=one))
        first = next((i for i, one in enumerate(wanted) if not one.startswith(_HEADING)), None)
        # What was lit stays lit, unless nobody lit it: then it is the first.
        makes.highlighted = wanted.index(lit) if lit in wanted and self._chosen else first

    def _gone(self, names: list[str]) -> None:
        if names:
            self.app.notify(
                f"Off the shelf for good after {shelving.WAY_BACK_DAYS} days: {', '.join(names)}."
            )

    def _line(self, name: str, lies: shelving.Lying, now: float) -> Content:
        try:
            return self._told(name, lies, now)
        except Exception as error:  # one broken make must not hide the others
            why = error if isinstance(error, Refusal) else unreadable(name, str(error))
            return Content.assemble((name, "bold"), f"\n⚠ cannot be opened. {why}\n")

    def _told(self, name: str, lies: shelving.Lying, now: float) -> Content:
        begun, events = self.app.store.load(name)
        self._titles[name] = begun.plan.title
        if name in lies.away or name in lies.out:
            return lines.brief(begun.plan.title, name, lies, now)
        try:
            state = progress.fold(begun, events)
        except Refusal as why:
            raise unreadable(name, str(why)) from why
        (self._finished.add if state.done else self._finished.discard)(name)
        return lines.full(name, state, events, self.app.settings.unit, now)

    def _trouble(self, sentence: str) -> None:
        self.query_one("#trouble", Text).update(sentence)

    def _offers(self, *, empty: bool) -> tuple[Offer, ...]:
        pages = (Page.NEW_MAKE, Page.MORE, Page.SHELF)
        new, more, leave = (key_name(page_key(page).keys[0]) for page in pages)
        turn = "screen.turn_to('{}')".format
        does, brief = ("look at it", "look") if self._done_with() else ("go on with it", "go on")
        first = Offer(key_name("enter"), does, brief, "screen.open", loud=True)
        if empty:
            key = key_name(word(Action.ADVANCE).keys[0])
            first = Offer(key, "the practice piece", "practice", "screen.open", loud=True)
        another = "another make" if empty else "a new make"
        said = []
        if self._numbered and not empty:
            choice, begin, _ = _words(self.app.wanted.language)
            said.append(Offer("say", f"“{choice}”, “{begin}”", f"“{choice}”"))
        return (
            first,
            *said,
            Offer(new, another, "new", turn(Page.NEW_MAKE.value)),
            *(() if empty else (Offer(more, "more", does=turn(Page.MORE.value)),)),
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

    def begin_by_word(self) -> None:
        """A new make, question by question."""
        settings = self.app.wanted
        beginning = Beginning(unit=settings.unit, hand=settings.hand)
        self.app.push_screen(Questions("A new make", beginning, self._begin), self._begun)

    def _begin(self, beginning: Beginning) -> str:
        plan, store = beginning.plan(), self.app.store
        name = store.free_name(plan.title)
        store.create(name, plan)
        return name

    def open_number(self, number: int) -> None:
        """The make of that place on the shelf. Raises Refusal where there is none."""
        count = len(self._order)
        if not 1 <= number <= count:
            raise Refusal(
                f"There is no make {number}: say choice 1 to {count}."
                if count
                else "The shelf is empty: say “go on with it” for the practice piece."
            )
        self.app.open_named(self._order[number - 1])

    def show_ears(self) -> None:
        """Whether they hear, and the words that they would hear now."""
        line = self.query_one("#ears", Text)
        line.display = self.app.has_ears
        line.update(self.app.ears_line(listening=self.app.awake))
        if self.app.hearing != self._numbered:
            self._numbered = self.app.hearing
            self.fill()

    def tell(self, sentence: str) -> None:
        """Say what came of a word."""
        self._signs = Signs()
        self._trouble(sentence)

    def say_sign(self, sign: Sign) -> None:
        """Show what came of a word, so that a second time is seen as one."""
        self._signs = self._signs.then(sign, 0.0)
        self._trouble(f"{self._signs.again.loud} {self._signs.again.quiet}")

    def action_turn_to(self, page: str) -> None:
        """A key that turns to a page."""
        match Page(page):
            case Page.SHELF:
                self.app.exit(0)
            case Page.NEW_MAKE:
                from counter.tui.screens.new_make import NewMake  # and with it the reader

                self.app.push_screen(NewMake(), self._begun)
            case Page.MORE:
                self._more()
            case Page.SUMS:
                from counter.tui.screens.sums import SumsScreen

                self.app.push_screen(SumsScreen())
            case Page.SETTINGS:
                self.app.open_settings()
            case _:
                pass

    def on_option_list_option_highlighted(self, _event: Choices.OptionHighlighted) -> None:
        """What she moved to stays lit when the makes come under their headings."""
        self._chosen = self._chosen or self.query_one("#makes", Choices).highlighted != 0
        self.query_one("#keys", KeyLine).offers = self._offers(empty=False)

    def _done_with(self) -> bool:
        """Whether the make that is lit is finished: there is nothing to go on with."""
        lit = self.query_one("#makes", Choices).highlighted_option
        return lit is not None and lit.id in self._finished

    def _more(self) -> None:
        """The menu of the make that is lit."""
        from counter.tui.screens.make_menu import MakeMenu  # and with it all that draws

        lit = self.query_one("#makes", Choices).highlighted_option
        if lit is not None and lit.id is not None:
            menu = MakeMenu(lit.id, self._titles.get(lit.id, lit.id))
            self.app.push_screen(menu, self._was_done)

    def _was_done(self, told: str | None) -> None:
        self._trouble(told or "")
        self.fill()

    def _practise(self) -> None:
        plan = make_plan(PRACTICE, read_gauge(DEFAULT_GAUGE), hand=self.app.settings.hand)
        name = self.app.store.free_name(plan.title)
        self.app.store.create(name, plan)
        self.app.open_named(name)

    def _begun(self, name: str | None) -> None:
        if name is not None:
            self.app.open_named(name)


def _words(language: str) -> tuple[str, str, str]:
    """The words that matter here: a make by its number, a new one, the one that is lit."""
    pages = {line.page: line.phrases[0] for line in page_words(language)}
    choose = word(Action.CHOOSE, language).phrases[0]
    two = next(" ".join(said) for said, value in numbers(language).items() if value == 2)
    return choose.replace("{n}", two), pages.get(Page.NEW_MAKE, ""), pages.get(Page.GO_ON, "")


def _heard(language: str) -> str:
    """What can be said to an empty shelf."""
    _, begin, go_on = _words(language)
    return f"Say “{go_on}” to begin it, “{begin}” for another make." if go_on else ""
