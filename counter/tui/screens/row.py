"""The row in work: one thing biggest, what the hands do; then where they are; the rest quiet."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.screen import Screen

from counter.shared import memory
from counter.shared.changing import Changing
from counter.shared.keys import action_of, key_name
from counter.shared.signs import Sign, Signs, sign_of
from counter.shared.work import Work
from counter.sound.listening import EarsNote
from counter.tui.dressing import Dressing
from counter.tui.host import Host
from counter.tui.keys import page_bindings, table_bindings
from counter.tui.screens import row_words
from counter.tui.screens.ask import Ask
from counter.tui.screens.help import HelpScreen
from counter.tui.screens.played_notes import PlayedNotes
from counter.tui.screens.questions import Questions
from counter.tui.screens.row_ahead import Ahead
from counter.tui.screens.row_offers import offers
from counter.tui.screens.row_pages import page_over
from counter.tui.screens.spoken_note import SpokenNote
from counter.tui.widgets.figures import Figures
from counter.tui.widgets.keyline import KeyLine
from counter.tui.widgets.lettering import Lettering
from counter.tui.widgets.piece import Piece
from counter.tui.widgets.way import Way
from counter.tui.widgets.words import Text
from engine.advise import choices, pace
from engine.base.refusal import Refusal
from engine.make.decisions.replies import refused
from engine.make.progress import LONGEST_GAP
from engine.words.vocabulary import lacks_number, word
from models.command import Action, By, Command, Heard, Page, Slot
from models.script import Step
from models.state import MakeState, Reply, Tone

_SIDES = 2
"""Columns to the left and the right that stay empty."""
_DIGITS = "123456789"
_CHOICES = " Choice 1:"
_PAUSE_S = 2.0
"""Seconds after a row in which the next is not yet awaited."""
_ANSWER = 3
"""Rows of a low window that an answer takes."""


class _Across(Horizontal):
    BLANK = True


class _Down(Vertical):
    BLANK = True


class RowScreen(Screen[None]):
    """The make on the table, one step at a time."""

    BLANK = True
    AUTO_FOCUS = None
    BINDINGS = [
        *table_bindings(),
        *(Binding(digit, f"choose({digit})", show=False) for digit in _DIGITS),
        Binding("down", "read_on(1)", show=False),
        Binding("up", "read_on(-1)", show=False),
        *page_bindings(
            Page.SHELF,
            Page.JOURNAL,
            Page.PIECE,
            Page.HOW,
            Page.CHANGE,
            Page.SUMS,
            Page.SETTINGS,
            Page.PLAY,
        ),
    ]
    app: Host

    def __init__(self, work: Work) -> None:
        super().__init__()
        self.work = work
        self._signs = Signs()
        self._held = ""
        self._dressing, self._ahead = Dressing(self), Ahead(self)
        self._hearing = False
        self._voiceless = ""
        self._laid_out = 0.0
        self._reminded_at: float | None = None
        self._notes = PlayedNotes(work)
        self._read, self._pages = (0, 0), 1

    def compose(self) -> ComposeResult:
        """From the loudest to the quietest."""
        with _Across(id="top"):
            yield Text(id="title")
            yield Text(id="ears")
        yield Text(id="marks")
        with _Across(id="table"):
            with _Down(id="main"):
                yield Lettering(id="doing")
                yield Way(id="way")
                yield Figures(id="numbers")
                yield Text(id="place")
                yield Text(id="sentence")
                with VerticalScroll(id="chosen"):
                    yield _tapped(Text(id="choices"))
                yield Text(id="next")
            with Vertical(id="side"):
                yield Text(id="ahead")
                yield Piece(id="piece")
        yield Text(id="facts")
        yield Text(id="question")
        yield Text(id="answer")
        yield KeyLine(id="keys")

    def on_mount(self) -> None:
        """Show it, and keep the clock going."""
        self._laid_out = self.app.clock()
        self.settle()
        if self.app.troubles:
            self.tell(self.app.troubles)
        self.set_interval(1.0, self._tick)

    def on_resize(self) -> None:
        """Some lines are worded by the room there is."""
        state = self.work.state
        self._show_marks(state)
        self._show_facts(state, self.app.clock())
        self.call_after_refresh(self._painted)
        self.call_after_refresh(self._show_choices, state, self.app.clock())
        if state.step is not None and not state.done:
            self._show_sentence(state, state.step)
        self._dressing.show()

    def settle(self) -> None:
        """The settings have changed."""
        self.set_class(self.app.settings.large, "large")
        self._dressing, self._ahead = Dressing(self), Ahead(self)
        self.show()

    # --- what the maker does ---------------------------------------------------------------

    def action_press(self, key: str) -> None:
        """A key of the table."""
        listening = self.work.making.talk.listening and not self.app.ears_failed
        self.perform(action_of(key, self.work.state, listening=listening))

    def perform(self, action: Action, *, aloud: bool = False) -> None:
        """An action without its number yet: asks for it where one is wanted, `aloud` as well."""
        if action is Action.HELP:
            self.app.push_screen(HelpScreen())
        elif word(action).slot is Slot.NONE and action is not Action.NOTE:
            self.do(Command(action=action))
        elif self._wants_nothing(action):
            # The refusal is known without a number: say it instead of asking.
            self.do(Command(action=action, value=1))
        else:
            asking = Ask(
                action,
                self.work.state,
                self.app.settings,
                hearing=self.app.hearing,
                refuses=lambda command: self.work.making.refuses(command, self.app.clock()),
                aloud=aloud,
            )
            self.app.push_screen(asking, self._asked)

    def _wants_nothing(self, action: Action) -> bool:
        """Whether it is refused whatever the number."""
        state = self.work.state
        if action is Action.CHOOSE:
            return not choices.of(state, self.app.clock())
        return action is Action.DROPPED and (state.step is None or not _live(state.step))

    def action_choose(self, number: int) -> None:
        """A figure takes a choice of the list while that is shown."""
        if self.work.state.open_verdict:
            self.do(Command(action=Action.CHOOSE, value=number))

    def action_read_on(self, pages: int) -> None:
        """The next page of an instruction that is longer than a small window has room for."""
        step = self.work.state.step
        if step is not None and self._pages > 1:
            self._read = step.number, (self._read[1] + pages) % self._pages
            self._show_sentence(self.work.state, step)

    def _asked(self, command: Command | None) -> None:
        if command is not None:
            self.do(command)

    def do(self, command: Command) -> None:
        """Take a command from the keyboard and show what came of it."""
        if command.action is Action.START_LISTENING and self.app.ears_failed:
            self.app.open_ears()
        before = self.work.state
        outcome = self.work.do(command, self.app.clock(), by=By.KEY)
        self._after(outcome, before, command)

    def hear(self, heard: Heard) -> None:
        """Take an utterance and show what came of it."""
        if heard.taken and heard.command is not None and heard.command.action is Action.HELP:
            self.app.push_screen(HelpScreen())
            return
        if heard.taken and heard.command is not None and heard.command.action is Action.NOTE:
            self.speak_note()
            return
        if heard.taken and heard.command is not None and _asks_more(heard.command):
            self.perform(heard.command.action, aloud=True)
            return
        before = self.work.state
        outcome = self.work.heard(heard, self.app.clock())
        self._after(outcome, before, heard.command, heard)

    def speak_note(self) -> None:
        """Keep what she says now, beside this row."""
        if self.app.ears is not None:
            self.app.answer(Reply(taken=True, say="", tone=Tone.LISTENS), None)
            self.app.push_screen(SpokenNote(self.app.ears), self._noted)

    def _noted(self, note: EarsNote | None) -> None:
        if note is None:
            self.tell("The note was thrown away.")
            return
        before, command = self.work.state, Command(action=Action.NOTE)
        if not note.sound:
            outcome = refused("Nothing was said: no note is kept.")
        else:
            outcome = self.work.keep_note(note.sound, self.app.clock())
        self._after(outcome, before, command)
        if note.sound and note.broken and outcome.events:
            self.tell("The microphone went in the middle: what was said until then is kept.")

    def play_note(self) -> str:
        """Play her last spoken note, or the one before; a sentence about it. Raises Refusal."""
        return self._notes.play(self.app.voice, self.app.clock())

    def action_turn_to(self, page: str) -> None:
        """A key that turns to a page."""
        wanted = Page(page)
        if (over := page_over(wanted, self.work)) is not None:
            self.app.push_screen(over)
        elif wanted is Page.SHELF:
            self.app.to_shelf()
        elif wanted is Page.CHANGE:
            self._change()
        elif wanted is Page.SETTINGS:
            self.app.open_settings()
        elif wanted is Page.PLAY:
            try:
                self.tell(self.play_note())
            except Refusal as refusal:
                self.tell(str(refusal))

    def _change(self) -> None:
        """Another gauge, size or measurement: asked one by one, told, and only then done."""
        if self.work.state.done:
            self.tell("The make is done: nothing is left to change.")
            return
        changing = Changing(unit=self.app.settings.unit, state=self.work.state)
        self.app.push_screen(Questions("Change from here", changing, self._take_change))

    def _take_change(self, changing: Changing) -> str:
        before = self.work.state
        reply = self.work.change(changing.why, self.app.clock(), **changing.wishes())
        if not reply.taken:
            raise Refusal(reply.say)
        self._after(reply, before, None)
        return ""

    # --- what she sees ---------------------------------------------------------------------

    def _after(
        self,
        outcome: Reply,
        before: MakeState,
        command: Command | None,
        heard: Heard | None = None,
    ) -> None:
        went_on = outcome.tone is Tone.ADVANCE
        sign = sign_of(outcome, before, command, heard, self.app.settings.unit)
        if self.work.state.open_verdict:
            # The choices stand in a list, each with what it costs.
            sign = sign.model_copy(update={"quiet": sign.quiet.partition(_CHOICES)[0]})
        self._say(sign, went_on=went_on)
        self.show()
        self.app.answer(outcome, command, heard)

    def show(self) -> None:
        """Everything, from the state."""
        state, now = self.work.state, self.app.clock()
        step = None if state.done else state.step
        title = f"{step.part if step else 'done'} · {state.plan.title}"
        _set(self.query_one("#title", Text), title)
        if step is None:
            self._show_done()
        else:
            self._show_step(state, step)
        self._show_choices(state, now)
        self._show_marks(state)
        self._show_facts(state, now)
        self._show_question(now)
        self.show_ears()
        self._dressing.show()
        # What the hands do is painted first, the drawing right after it.
        self.call_after_refresh(self._painted)

    def _painted(self) -> None:
        if self.query_one("#side").display:
            self._fill_side()
        self._ahead.look(self.work.state, self.app.settings.unit)

    def _fill_side(self) -> None:
        """What is coming, and the piece: only a wide window shows them."""
        state = self.work.state
        done = state.done or state.step is None
        told = "" if done else row_words.ahead(state, self.app.settings.unit)
        self.query_one("#ahead", Text).update(told)
        piece = self.query_one(Piece)
        piece.script, piece.at, piece.marks = state.script, state.at, state.open_marks

    def _news(self, on: bool) -> None:
        """In a low window what came of a key takes the room of what can wait."""
        for line in ("#answer", "#next", "#facts"):
            self.query_one(line, Text).set_class(on, "news", update=self.has_class("-short"))

    def _show_done(self) -> None:
        self._pages = 1
        way = self.query_one(Way)
        way.direction, way.side = None, ""
        self.query_one("#doing", Lettering).big = row_words.DONE
        self._wear(frozenset({"no-row"}))
        for line in ("#place", "#next"):
            self.query_one(line, Text).update("")
        self.query_one("#sentence", Text).update("Every step is done. You made it.")

    def _show_step(self, state: MakeState, step: Step) -> None:
        way = self.query_one(Way)
        way.direction, way.side = step.direction, step.side or ""
        told = self._told(state, step)
        self.query_one("#doing", Lettering).big = told.lines
        if told.figures:
            self.query_one(Figures).shown = told.figures
        self._show_sentence(state, step)
        self.query_one("#place", Text).update(Content.styled(told.place, "bold"))
        coming = row_words.coming_next(state, self.app.settings.unit)
        self.query_one("#next", Text).update(coming)

    def _told(self, state: MakeState, step: Step) -> row_words.Told:
        return self._ahead.told(step, state.plan.craft, self.app.settings.unit)

    def _wear(self, dress: frozenset[str]) -> None:
        for name in row_words.DRESSES:
            self._dressing.wear(name, name in dress)

    def _show_sentence(self, state: MakeState, step: Step) -> None:
        told = self._told(state, step)
        self._wear(told.dress)
        taken = bool(state.open_marks) + _ANSWER * self.query_one("#answer").has_class("news")
        pages = row_words.pages(step, state.plan.craft, told.sentence, self.size, taken)
        if step.number != self._read[0]:
            self._read = step.number, 0
        self._pages = len(pages)
        self.query_one("#sentence", Text).update(pages[self._read[1] % len(pages)])

    def _show_marks(self, state: MakeState) -> None:
        told = row_words.marks(state, self.size.width - _SIDES)
        self.query_one("#marks", Text).update(told)
        self._dressing.wear("marked", bool(state.open_marks))

    def _show_choices(self, state: MakeState, now: float) -> None:
        open_ = bool(state.open_verdict) and not state.closed
        self._dressing.wear("choosing", open_)
        if open_:
            room = self.query_one("#main").content_size
            there = choices.of(state, now)
            told = row_words.choices(
                state, there, self.app.settings.unit, (room.width, room.height)
            )
            self.query_one("#choices", Text).update(told)

    def _show_facts(self, state: MakeState, now: float) -> None:
        gap = 0.0
        if state.last_at is not None and not state.paused:
            # The night between two evenings is not work.
            since = max(state.last_at, self._laid_out)
            gap = min(max(0.0, now - since), LONGEST_GAP)
        _set(self.query_one("#facts", Text), row_words.facts(state, gap, self.size.width - _SIDES))

    def _show_question(self, now: float) -> None:
        talk = self.work.making.talk
        asked = talk.open_at(now) is not None
        self._dressing.wear("asked", asked)
        if asked:
            told = row_words.question(talk, now, self.app.settings.unit)
            self.query_one("#question", Text).update(Content.styled(told, "bold"))
        self.query_one("#keys", KeyLine).offers = offers(
            self.work.state,
            asked=asked,
            spoken=self.app.wanted.language if self.app.hearing else "",
            more=self._pages > 1,
        )

    def held(self, key: str) -> None:
        """A key is held down: say once that it counts once, below what it did."""
        self._held = f"{key_name(key)} is held: it counts once. Let go, then press it again."
        self._news(True)
        self._show_signs()

    def tell(self, sentence: str) -> None:
        """Say something that is not the answer to a command."""
        self._say(Sign(loud="•", quiet=sentence))

    def say_sign(self, sign: Sign) -> None:
        """Show what came of a word that was not for the make."""
        self._say(sign)

    def _say(self, sign: Sign, *, went_on: bool = False) -> None:
        # The next instruction says by itself that the last one is done; anything else is news.
        self._news(not went_on)
        self._signs, self._held = self._signs.then(sign, self.app.clock()), ""
        self._show_signs()

    def _show_signs(self) -> None:
        lines = [
            Content.assemble((f"{sign.loud.rstrip()} ", "bold"), sign.quiet)
            for sign in self._signs.shown(self.app.clock())
        ]
        lines += [Content(self._held)] if self._held else []
        self.query_one("#answer", Text).update(Content("\n").join(lines))

    def show_ears(self) -> None:
        """The microphone's line."""
        listening = self.work.making.talk.listening
        _set(self.query_one("#ears", Text), self.app.ears_line(listening=listening))
        if self._hearing != self.app.hearing:
            self._hearing = self.app.hearing
            self._show_question(self.app.clock())
            self._dressing.show()

    def _tick(self) -> None:
        """Once a second: the clock, a question that ran out, a rest that is due."""
        now = self.app.clock()
        talk = self.work.making.talk
        self._show_facts(self.work.state, now)
        if self.has_class("asked"):
            self._show_question(now)
            self._dressing.show()
            if talk.open_at(now) is None:
                self.tell("No answer came: left as it was.")
        self._remind(now)
        trouble = self.app.voice.trouble
        if trouble and trouble != self._voiceless:
            self.tell(trouble)
        self._voiceless = trouble
        if self.work.state.last_at is None or now - self.work.state.last_at > _PAUSE_S:
            memory.tidy()

    def _remind(self, now: float) -> None:
        state = self.work.state
        if state.last_at is None or now - state.last_at > LONGEST_GAP:
            return  # she is not here
        minutes = self.app.settings.reminder_minutes or None
        if sentence := pace.rest_reminder(state, now, minutes, self._reminded_at):
            self._reminded_at = now
            self._say(Sign(loud="‖", quiet=sentence))


def _set(line: Text, text: str) -> None:
    """Update a line only where it changes: nothing flickers that stays the same."""
    if str(line.content) != text:
        line.update(text)


def _tapped(text: Text) -> Text:
    """Text in which stretches can be tapped."""
    text.auto_links = True
    return text


def _asks_more(command: Command) -> bool:
    """Whether a word alone opens a dialog, for its number."""
    return lacks_number(command)


def _live(step: Step) -> int:
    return step.loops_before + step.loops_after
