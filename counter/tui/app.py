"""The Textual app: the shelf, and the make on the table."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable
from functools import partial
from operator import attrgetter
from pathlib import Path

from textual import events
from textual.app import SystemCommand
from textual.binding import Binding
from textual.screen import Screen

from counter.shared import settings as settings_file
from counter.shared.keys import key_name
from counter.shared.settings import Asked, Readback, Settings
from counter.shared.signs import sign_of
from counter.shared.telling import as_spoken
from counter.shared.work import Work, open_work
from counter.sound.listening import Ears, EarsHeard, EarsLack, EarsNote, EarsState, News
from counter.sound.voice import SAID_AHEAD, Voice, words_of
from counter.tui.host import FromEars, Host
from counter.tui.palette import TableCommands
from counter.tui.pressing import DECIDING, MOVING, Presses
from counter.tui.screens.ask import Ask, wants_number
from counter.tui.screens.help import HelpScreen
from counter.tui.screens.questions import Questions
from counter.tui.screens.row import RowScreen
from counter.tui.screens.settings import SettingsScreen
from counter.tui.screens.shelf import Shelf
from counter.tui.screens.spoken_note import SpokenNote
from counter.tui.screens.take_over import TakeOver
from counter.tui.signals import mind_signals
from counter.tui.theme import THEMES
from counter.tui.turning import turn
from counter.tui.widgets.words import Area, Field
from engine.base.refusal import Refusal
from engine.keep.store import Store
from engine.make import answers
from engine.make.decisions.replies import refused
from engine.script import wording
from engine.words.vocabulary import word, words
from models.command import Action, Command, Context, Heard, Page, Situation
from models.state import MakeState, Reply, Tone

_ON_THE_SHELF = frozenset(
    {Action.TURN, Action.CHOOSE, Action.HELP, Action.STOP_LISTENING, Action.YES, Action.NO}
)
"""What a word can do where no make is on the table."""
_OF_THE_TABLE = frozenset(key for line in words() for key in line.keys)
"""Keys that all mean something while a make is on the table."""


class SpokenrowApp(Host):
    """Shows a make, and moves it by key and by word."""

    TITLE = "spokenrow"
    CSS_PATH = "spokenrow.tcss"
    AUTO_FOCUS = None
    COMMANDS = {TableCommands}
    BINDINGS = [Binding("ctrl+z", "suspend_process", "to the shell, and back with fg", show=False)]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (56, "-medium"), (100, "-wide"), (160, "-vast")]
    VERTICAL_BREAKPOINTS = [(0, "-short"), (20, "-fair"), (24, "-roomy"), (34, "-tall")]

    def __init__(
        self,
        store: Store,
        config: Path,
        *,
        work: Work | None = None,
        make: str | None = None,
        ears: Ears | None = None,
        no_ears: str = "",
        asked: Asked | None = None,
        voice: Voice | None = None,
        clock: Callable[[], float] = time.time,
        came_at: Callable[[events.Event], float] = attrgetter("time"),
    ) -> None:
        """`work` is a make already open, `make` the name of one to open.

        `ears` hears commands; without them `no_ears` says in one sentence how to get some.
        What is `asked` goes before the settings until those are changed. `clock` gives POSIX
        seconds, `came_at` when a key was pressed, in seconds of a steady clock.
        """
        super().__init__()
        self.clock = clock
        self._came_at = came_at
        self._presses = Presses(line.keys for line in words())
        self._swallows_up = False
        self.store = store
        self._config = config
        self.settings, self._settings_trouble = settings_file.load(config)
        self._first_work = work or (open_work(store, make, self.settings) if make else None)
        self.ears = ears
        self._no_ears = no_ears
        self._asked = asked or Asked()
        self._level = 0.0
        self._told = ""
        self._greeted = False
        self._awake = True
        self._read_before = Readback.SHORT
        self.voice = voice or Voice(quiet=True)
        self.animation_level = "none"
        for theme in THEMES.values():
            self.register_theme(theme)
        # Set before anything is styled, or the whole style sheet is read a second time.
        self.set_reactive(SpokenrowApp.theme, THEMES[self.settings.look].name)
        self.stylesheet.set_variables(self.get_css_variables())

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """A theme of Textual's own lacks ours; the style sheet wants it all the same."""
        return {"quiet": "$foreground"}

    def get_default_screen(self) -> Shelf:
        """What lies under everything else; an empty screen below it would be laid out, too."""
        return Shelf()

    def on_mount(self) -> None:
        """Signals, the make that was asked for, the ears."""
        mind_signals(self.exit)
        if self._first_work is not None:
            self.open_make(self._first_work)
        for told in self.store.health:
            self.notify(told, severity="warning", timeout=30)
        # The screen is painted first: sound takes a moment to open, or hangs, and its libraries
        # would take their share of the processor from the first paint.
        opening = threading.Thread(target=self._open_sound, name="sound", daemon=True)
        self.call_after_refresh(lambda: self.screen.call_after_refresh(opening.start))

    def on_unmount(self) -> None:
        """Close what makes and hears sound."""
        if self.ears is not None:
            self.ears.close()
        self.voice.close()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Only what the palette cannot find in the table."""
        yield SystemCommand("leave spokenrow", "everything is written down", self.action_quit)

    # --- keys -------------------------------------------------------------------------------

    async def on_event(self, event: events.Event) -> None:
        """Every event first: what a held key or a double tap adds goes no further."""
        if isinstance(event, events.InputEvent) and not event.is_forwarded and self._adds(event):
            return
        await super().on_event(event)

    def _adds(self, event: events.InputEvent) -> bool:
        """Whether an event only continues the press, or the tap, before it."""
        at = self._came_at(event)
        if isinstance(event, events.Key):
            if not self._presses.again(event.key, at) or self._may_be_held(event.key):
                self._stray(event)
                return False
            if (row := self.row_screen) is not None and row is self.screen:
                row.held(event.key)
            return True
        if isinstance(event, events.MouseDown):
            does = self.screen.get_style_at(event.x, event.y).meta.get("@click")
            self._swallows_up = bool(does) and self._presses.again(f"tap {does}", at)
            return self._swallows_up
        return isinstance(event, events.MouseUp) and self._swallows_up

    def _stray(self, event: events.Key) -> None:
        """Say so where a letter is no key here: capitals, another layout, a slip."""
        screen, sign = self.screen, event.character
        if not event.is_printable or not isinstance(screen, RowScreen | Shelf):
            return
        if isinstance(screen, RowScreen) and event.key in _OF_THE_TABLE:
            return  # to ask for the active bindings takes a millisecond
        if event.key in screen.active_bindings:
            return
        small = (sign or "").lower()
        if sign != small and small in screen.active_bindings:
            screen.tell(f"{sign} is no key, {small} is: is caps lock on?")
        else:
            screen.tell(f"{sign} is no key here: ? shows them all.")

    def action_suspend_process(self) -> None:
        """To the shell; where there is none, who meant to undo is told how."""
        if self._driver is not None and self._driver.can_suspend:
            super().action_suspend_process()
        elif isinstance(screen := self.screen, RowScreen | Shelf):
            undo = key_name(word(Action.TAKE_BACK).keys[0])
            screen.tell(f"There is no shell to go to from here. {undo} takes back the last row.")

    def _may_be_held(self, key: str) -> bool:
        if isinstance(self.focused, Area):
            return True
        return key in MOVING or (isinstance(self.focused, Field) and key not in DECIDING)

    # --- makes ------------------------------------------------------------------------------

    @property
    def row_screen(self) -> RowScreen | None:
        """The make on the table, if one is."""
        return next((s for s in reversed(self.screen_stack) if isinstance(s, RowScreen)), None)

    def open_make(self, work: Work) -> None:
        """Lay a make on the table; where another window has it, ask which may go on."""
        self.push_screen(RowScreen(work))
        if work.in_use:
            self.push_screen(TakeOver(work.in_use), partial(self._take_over, work.name))

    def _take_over(self, name: str, wanted: bool | None) -> None:
        if wanted:
            self.to_shelf()
            self.open_named(name, take_over=True)

    def open_named(self, name: str, *, take_over: bool = False) -> None:
        """Lay the make of that name on the table."""
        try:
            self.open_make(open_work(self.store, name, self.settings, take_over=take_over))
        except Refusal as refusal:
            self.notify(str(refusal), severity="error", timeout=12)

    def to_shelf(self) -> None:
        """Back to the shelf; another window may have the make now."""
        if (row := self.row_screen) is not None:
            self.store.release(row.work.name)
        while len(self.screen_stack) > 1 and not isinstance(self.screen, Shelf):
            self.pop_screen()

    # --- settings ---------------------------------------------------------------------------

    def open_settings(self) -> None:
        """The page of settings."""
        names = self.ears.microphones() if self.ears is not None else []
        self.push_screen(SettingsScreen(self.wanted, names), self._settle)

    @property
    def wanted(self) -> Settings:
        """The settings, with what the command line asks in their place."""
        return self._asked.over(self.settings)

    def _settle(self, settings: Settings | None) -> None:
        if settings is None or settings == self.wanted:
            return
        self.settings, self._asked = settings, Asked()
        self.theme = THEMES[settings.look].name
        self.voice.use(settings)
        if trouble := settings_file.save(self._config, settings):
            self._warn(trouble)
        if self.ears is not None:
            if (settings.microphone or None) != self.ears.microphone:
                self.ears.use_microphone(settings.microphone or None)
            self.open_ears()
        if (row := self.row_screen) is not None:
            row.work.use_unit(settings.unit)
            row.settle()

    # --- sound ------------------------------------------------------------------------------

    def _open_sound(self) -> None:
        """In a thread of its own."""
        self.voice.use(self.settings)
        if self.ears is not None:
            self.voice.busy = lambda: self.ears is not None and self.ears.talking
        self.voice.open()
        self.open_ears()

    @property
    def ears_failed(self) -> bool:
        """There should be ears, and there are none: they can be opened again."""
        return self.ears is not None and not self.ears.listening and bool(self.ears.trouble)

    def open_ears(self) -> None:
        """Start to listen, or try again."""
        if self.ears is None:
            return
        self._tune_ears()
        self.ears.open(self._from_ears, self.situation, self.voice.without_ours)

    def _tune_ears(self) -> None:
        """The words, the guard, the rehearsed voice and the attention word, as they are set."""
        if self.ears is None:
            return
        from counter.sound import profiles

        found, trouble = profiles.load(profiles.profiles_path(self._config))
        wanted = self.wanted
        self.ears.language = wanted.language
        self.ears.sensitivity = profiles.bounds_for(
            found,
            wanted.person,
            self.ears.microphone,
            wanted.sensitivity,
            wanted.language,
            mine=wanted.mine,
        )
        for told in (trouble, self.ears.ask_attention(wanted.attention)):
            if told:
                self.call_later(self._warn, told)

    def _warn(self, told: str) -> None:
        self.notify(told, severity="warning", timeout=12)

    def situation(self) -> Situation:
        """What the ears should expect now. Called from their thread: it only reads.

        The make's state and talk are frozen values that the app's thread replaces whole.
        """
        row, screen = self.row_screen, self.screen
        if isinstance(screen, Questions) and self.awake:
            return Situation(context=screen.question.context, question_open=True)
        if isinstance(screen, TakeOver) and self.awake:
            return Situation(context=Context.YES_NO, question_open=True)
        if row is None:
            if not self.awake:
                return Situation(context=Context.ASLEEP)
            return Situation(possible=_ON_THE_SHELF)
        found = row.work.making.situation(self.clock())
        if isinstance(screen, Ask) and found.context is not Context.ASLEEP:
            context = Context.NUMBER if wants_number(screen) else found.context
            return found.model_copy(
                update={"context": context, "question_open": True, "step_age_s": None}
            )
        return found

    def _from_ears(self, news: News) -> None:
        """Called from the ears' thread."""
        self.post_message(FromEars(news))

    def on_from_ears(self, message: FromEars) -> None:
        """The ears have heard, changed, or lack something."""
        match message.news:
            case EarsHeard(heard):
                self._heard(heard)
            case EarsLack(told):
                self._warn(told)
            case EarsState(level):
                self._ears_changed(level)
            case EarsNote() as note if isinstance(self.screen, SpokenNote):
                self.screen.noted(note)
            case _:
                pass  # a note that nobody waits for any more is kept nowhere

    def _heard(self, heard: Heard) -> None:
        """An utterance, taken or not."""
        row = self.row_screen
        if not self.is_running:
            return
        if isinstance(self.screen, Ask | Questions | TakeOver) and self.screen.hear(heard):
            return
        command = heard.command if heard.taken else None
        if command is not None and command.page is not None:
            self._turn(command.page, heard)
        elif row is None:
            self._heard_on_the_shelf(heard)
        else:
            if self.screen is not row and command is not None:
                # A word is about the make, whatever page lies over it.
                while self.screen is not row:
                    self.pop_screen()
            row.hear(heard)

    def _turn(self, page: Page, heard: Heard) -> None:
        try:
            told = turn(self, self.row_screen, page)
        except Refusal as refusal:
            self._tell_beside(refused(str(refusal)), heard)
        else:
            self._tell_beside(Reply(taken=True, say=told, tone=Tone.MARK), heard)

    def _tell_beside(self, outcome: Reply, heard: Heard) -> None:
        """The answer to a word that moved no row, on the screen that is there now."""
        if not self.is_running:
            return
        row = self.row_screen
        if row is not None and (outcome.say or not outcome.taken):
            row.say_sign(sign_of(outcome, row.work.state, heard.command, heard))
        elif isinstance(self.screen, Shelf):
            if outcome.say:
                self.screen.say_sign(sign_of(outcome, None, heard.command, heard))
            else:
                self.screen.tell("")
        self.answer(outcome, heard.command, heard)

    def _heard_on_the_shelf(self, heard: Heard) -> None:
        command = heard.command
        if heard.called:
            self._tell_beside(Reply(taken=True, say="Listening.", tone=Tone.LISTENS), heard)
        elif not heard.taken or command is None:
            self._tell_beside(refused(heard.reason), heard)
        elif command.action in (Action.STOP_LISTENING, Action.START_LISTENING):
            self._awake = command.action is Action.START_LISTENING
            self._ears_changed(self._level)
        elif command.action is Action.HELP:
            self.push_screen(HelpScreen())
        elif command.action is Action.CHOOSE and isinstance(self.screen, Shelf):
            try:
                self.screen.open_number(int(command.value or 0))
            except Refusal as refusal:
                self._tell_beside(refused(str(refusal)), heard)
        else:
            self._tell_beside(refused("It makes no sense here."), heard)

    def read_out(self, readback: Readback) -> None:
        """Set how much is read out, and keep it."""
        if self.wanted.readback is not Readback.OFF:
            self._read_before = self.wanted.readback
        self._settle(self.wanted.model_copy(update={"readback": readback}))

    @property
    def read_before(self) -> Readback:
        """How much was read out before there was silence."""
        return self._read_before

    def _ears_changed(self, level: float) -> None:
        """The microphone changed, or its level did."""
        if not self.is_running:
            return  # what waits is still handed out while the screens are taken apart
        self._level = level
        if (asking := self.row_screen) is not None and self.voice.speaking:
            asking.work.making.still_asking(self.clock())
        row, trouble = self.row_screen, self.no_ears
        if isinstance(self.screen, Ask):
            self.screen.hearing = self.hearing
        if isinstance(self.screen, Shelf) and self.screen.is_mounted:
            self.screen.show_ears()
        if row is not None and row.is_mounted:
            row.show_ears()
            if trouble != self._told:
                row.tell(trouble or "It hears you again.")
        self._told = trouble
        if not self._greeted and self.ears is not None and self.ears.hearing:
            self._greeted = True
            self.voice.hello()

    @property
    def hearing(self) -> bool:
        """Whether a word said now would be heard and could move the make."""
        return self.awake and self.ears is not None and self.ears.hearing

    @property
    def awake(self) -> bool:
        """Whether she has not closed the ears."""
        row = self.row_screen
        return self._awake if row is None else row.work.making.talk.listening

    @property
    def has_ears(self) -> bool:
        """Whether anything is there that could hear."""
        return self.ears is not None

    def ears_line(self, *, listening: bool) -> str:
        """The microphone in a few words."""
        if self.ears is None:
            return "keys only"
        return self.ears.line(self._level, listening=listening)

    @property
    def no_ears(self) -> str:
        """Why nothing is heard, and how that changes; empty while something is."""
        return self._no_ears or (self.ears.trouble if self.ears is not None else "")

    @property
    def troubles(self) -> str:
        """What is to be told once, where the maker starts."""
        return " ".join(filter(None, (self._settings_trouble, self.no_ears)))

    def answer(self, outcome: Reply, command: Command | None, heard: Heard | None = None) -> None:
        """Tone and voice for an outcome."""
        row = self.row_screen
        state = row.work.state if row is not None else None
        text = wording.text(state.step, state.plan.craft) if state and state.step else ""
        asked = command is not None and command.action in {Action.WHERE, Action.SAY_AGAIN}
        heard_nothing = heard is not None and heard.command is None and not heard.called
        wanted = self.wanted
        said = words_of(
            outcome,
            text,
            wanted.readback,
            asked=asked,
            heard_nothing=heard_nothing,
            language=wanted.language,
        )
        self.voice.answer(outcome, as_spoken(said, self.settings.unit), heard_nothing=heard_nothing)
        if state is not None:
            # Nobody waits for what is said next: the row is painted first.
            self.screen.call_after_refresh(self._say_soon, state)

    def _say_soon(self, state: MakeState) -> None:
        """What the next rows will say, for a voice that needs time; then the row before, to which
        she may go back, and where she is."""
        craft, full = state.plan.craft, self.wanted.readback is Readback.FULL
        told = wording.text if full else wording.spoken
        steps, at = state.script.steps, state.at
        coming = [*steps[at : at + SAID_AHEAD], *steps[max(0, at - 1) : at]]
        texts = [*(told(step, craft) for step in coming), answers.where(state)]
        self.voice.prepare(as_spoken(text, self.settings.unit) for text in texts)
