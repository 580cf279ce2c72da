"""The row in work: one thing biggest, what the hands do; then where they are; the rest quiet."""

from __future__ import annotations

from math import ceil

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.screen import Screen

from counter.shared.keys import action_of, key_name, key_names
from counter.shared.signs import Sign, Signs, sign_of
from counter.shared.telling import duration, in_unit
from counter.shared.work import Work
from counter.tui.host import Host
from counter.tui.keys import page_bindings, table_bindings
from counter.tui.screens.ask import Ask
from counter.tui.screens.help import HelpScreen, help_offer
from counter.tui.screens.how import HowScreen
from counter.tui.screens.journal import JournalScreen
from counter.tui.screens.piece import PieceScreen
from counter.tui.widgets.figure import Figure
from counter.tui.widgets.keyline import KeyLine, Offer
from counter.tui.widgets.lettering import Lettering
from counter.tui.widgets.piece import Piece
from counter.tui.widgets.way import Way
from counter.tui.widgets.words import Text
from engine.advise import choices, pace, yarn
from engine.make import answers
from engine.make.progress import LONGEST_GAP
from engine.script import places, wording
from engine.script.headline import Big, Headline, big
from engine.words.vocabulary import lacks_number, page_key, word
from models.command import Action, By, Command, Heard, Page, Slot
from models.script import Craft, Kind, Step
from models.state import MakeState, Outcome, Tone

_AHEAD = 5
"""Steps to come that a wide screen lists."""
_WORDY = 200
"""Letters of an instruction from which a small window has room for nothing else."""
_LOW = 24
"""Rows of a window below which the sentence does not repeat the big lines."""
_SIDES = 2
"""Columns to the left and the right that stay empty."""
_SOON = 2
"""A ball that ends within this many steps is worth a line."""


class RowScreen(Screen[None]):
    """The make on the table, one step at a time."""

    AUTO_FOCUS = None
    BINDINGS = [
        *table_bindings(),
        *page_bindings(Page.SHELF, Page.JOURNAL, Page.PIECE, Page.HOW, Page.SETTINGS),
    ]
    app: Host

    def __init__(self, work: Work) -> None:
        super().__init__()
        self.work = work
        self._signs = Signs()
        self._held = ""
        self._voiceless = ""
        self._laid_out = 0.0
        self._reminded_at: float | None = None

    def compose(self) -> ComposeResult:
        """From the loudest to the quietest."""
        with Horizontal(id="top"):
            yield Text(id="title")
            yield Text(id="ears")
        yield Text(id="marks")
        with Horizontal(id="table"):
            with Vertical(id="main"):
                yield Lettering(id="doing")
                yield Way(id="way")
                with Horizontal(id="numbers"):
                    yield Figure(id="row")
                    yield Figure(id="loops")
                yield Text(id="place")
                yield Text(id="sentence")
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
        self.query_one("#marks", Text).update(self._marks(state))
        if state.step is not None and not state.done:
            self._show_sentence(state.step, state.plan.craft)

    def settle(self) -> None:
        """The settings have changed."""
        self.set_class(self.app.settings.large, "large")
        self.show()

    # --- what the maker does ---------------------------------------------------------------

    def action_press(self, key: str) -> None:
        """A key of the table."""
        listening = self.work.making.talk.listening and not self.app.ears_failed
        self.perform(action_of(key, self.work.state, listening=listening))

    def perform(self, action: Action) -> None:
        """An action without its number yet: asks for it where one is wanted."""
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
            )
            self.app.push_screen(asking, self._asked)

    def _wants_nothing(self, action: Action) -> bool:
        """Whether it is refused whatever the number."""
        state = self.work.state
        if action is Action.CHOOSE:
            return not choices.of(state, self.app.clock())
        return action is Action.DROPPED and (state.step is None or not _live(state.step))

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
        if heard.taken and heard.command is not None and lacks_number(heard.command):
            self.perform(heard.command.action)
            return
        before = self.work.state
        outcome = self.work.heard(heard, self.app.clock())
        self._after(outcome, before, heard.command, heard)

    def action_turn_to(self, page: str) -> None:
        """A key that turns to a page."""
        match Page(page):
            case Page.SHELF:
                self.app.to_shelf()
            case Page.JOURNAL:
                self.app.push_screen(JournalScreen(self.work))
            case Page.PIECE:
                self.app.push_screen(PieceScreen(self.work.state))
            case Page.HOW:
                self.app.push_screen(HowScreen(self.work.state))
            case Page.SETTINGS:
                self.app.open_settings()
            case _:
                pass

    # --- what she sees ---------------------------------------------------------------------

    def _after(
        self,
        outcome: Outcome,
        before: MakeState,
        command: Command | None,
        heard: Heard | None = None,
    ) -> None:
        went_on = outcome.tone is Tone.ADVANCE
        sign = sign_of(outcome, before, command, heard, self.app.settings.unit)
        self._say(sign, went_on=went_on)
        self.show()
        self.app.answer(outcome, command, heard)

    def _unit(self, text: str) -> str:
        return in_unit(text, self.app.settings.unit)

    def show(self) -> None:
        """Everything, from the state."""
        state, now = self.work.state, self.app.clock()
        step = None if state.done else state.step
        craft = state.plan.craft
        doing = Big(row=(Headline(words="done", short="done"),))
        if step is not None:
            doing = big(step, craft)
            row = [one.model_copy(update={"words": self._unit(one.words)}) for one in doing.row]
            doing = doing.model_copy(update={"row": tuple(row)})
        self.query_one("#doing", Lettering).big = doing
        self._show_step(state, step)
        self.query_one("#title", Text).update(
            f"{step.part if step else 'done'} · {state.plan.title}"
        )
        self.query_one("#marks", Text).update(self._marks(state))
        self.set_class(bool(state.open_marks), "marked")
        piece = self.query_one(Piece)
        piece.script, piece.at, piece.marks = state.script, state.at, state.open_marks
        self._show_facts(state, now)
        self._show_question(now)
        self.show_ears()

    def _show_step(self, state: MakeState, step: Step | None) -> None:
        way = self.query_one(Way)
        way.direction = step.direction if step else None
        way.side = (step.side or "") if step else ""
        row, loops = self.query_one("#row", Figure), self.query_one("#loops", Figure)
        place = self.query_one("#place", Text)
        sentence = self.query_one("#sentence", Text)
        if step is None:
            self.add_class("no-row")
            place.update("")
            sentence.update("Every step is done. You made it.")
            self.query_one("#next", Text).update("")
            self.query_one("#ahead", Text).update("")
            return
        loop_word = wording.loop_word(state.plan.craft, step.loops_after)
        end = ""
        if step.counts_row:
            row.show(str(step.row), f"{wording.place(step).lower()}, {step.part}")
            loops.show(str(step.loops_after), f"{loop_word} at its end{_change(step)}")
            end = f" · {step.loops_after} {loop_word} at its end {_change(step)[-1:]}"
        # A step that is no row has no numbers to show, and often more to say.
        self.set_class(not step.counts_row, "no-row")
        self._show_sentence(step, state.plan.craft)
        place.update(Content.assemble((f"{wording.place(step)}{end}", "bold")))
        after = answers.next_step(state)
        self.query_one("#next", Text).update(
            f"next: {self._unit(wording.text(after, state.plan.craft))}"
            if after
            else "next: nothing, this is the last step"
        )
        self.query_one("#ahead", Text).update(self._ahead(state))

    def _show_sentence(self, step: Step, craft: Craft) -> None:
        text = wording.text(step, craft)
        wordy = len(text) > _WORDY
        self.set_class(wordy, "wordy")
        if wordy and self.size.height < _LOW and (beside := wording.beside(step, craft)):
            text = beside  # what the hands do stands above it in large letters
        self.query_one("#sentence", Text).update(self._unit(text))

    def _ahead(self, state: MakeState) -> Content:
        rows: list[Content] = [Content.styled("coming", "bold")]
        part = state.step.part if state.step else ""
        for step in state.script.steps[state.at + 1 : state.at + 1 + _AHEAD]:
            if step.part != part:
                part = step.part
                rows.append(Content.styled(f"— {part} —", "bold"))
            told = self._unit(wording.text(step, state.plan.craft))
            rows.append(Content(f"{wording.arrow(step.direction) or '·'} {told}"))
        return Content("\n").join(rows)

    def _marks(self, state: MakeState) -> Content:
        if not state.open_marks:
            return Content("")
        named = "; ".join(places.mark_place(mark, state.plan.craft) for mark in state.open_marks)
        count = len(state.open_marks)
        key = key_names(word(Action.REPAIRED).keys)
        mended = (f"  {key} repaired", "bold")
        marks = (f" ◆ {count} open {'mark' if count == 1 else 'marks'} ", "bold reverse")
        brief = (f" ◆ {count} ", "bold reverse")
        ways = ((marks, f" {named}", mended), (brief, f" {named}", mended))
        for way in ways:
            told = Content.assemble(*way)
            if len(told.plain) <= self.size.width - _SIDES:
                return told
        return Content.assemble(brief, f" {named}")

    def _show_facts(self, state: MakeState, now: float) -> None:
        facts = ["‖ resting"] if state.paused else []
        facts.append(self._yarn(state))
        gap = 0.0
        if state.last_at is not None and not state.paused:
            # The night between two evenings is not work.
            since = max(state.last_at, self._laid_out)
            gap = min(max(0.0, now - since), LONGEST_GAP)
        facts.append(f"worked {duration(state.elapsed + gap)}")
        left = pace.left(state)
        if left.learned and not state.done:
            facts.append(f"about {duration(left.make)} to go")
        _set(self.query_one("#facts", Text), " · ".join(facts))

    def _yarn(self, state: MakeState) -> str:
        loops = wording.loop_word(state.plan.craft)
        if state.ball_left is None:
            return f"{state.yarn_used} of {state.script.yarn_loops} {loops} worked"
        if state.ball_left < 0:
            key = key_names(word(Action.NEW_BALL).keys)
            return f"ball {state.balls} should be empty: press {key} for a new ball"
        said = f"ball {state.balls}: {state.ball_left} of {state.ball_size} {loops} left"
        run_outs = yarn.forecast(state).run_outs
        if run_outs and run_outs[0].step - state.at <= _SOON:
            first = run_outs[0]
            where = "here" if first.step == state.at + 1 else f"in row {first.row or 'to come'}"
            how = (
                "join a new one before you begin it"
                if first.join_at_start
                else f"after {first.loop} {loops}"
            )
            return f"◆ {said}, it ends {where}: {how}"
        return said

    def _show_question(self, now: float) -> None:
        box = self.query_one("#question", Text)
        pending = self.work.making.talk.open_at(now)
        self.set_class(pending is not None, "asked")
        if pending is not None:
            talk = self.work.making.talk
            within = "" if talk.stays else f"  {ceil(talk.left(now))} s"
            box.update(Content.styled(f"? {self._unit(talk.question)}{within}", "bold"))
        self.query_one("#keys", KeyLine).offers = self._offers(asked=pending is not None)

    def _offers(self, *, asked: bool) -> tuple[Offer, ...]:
        offered: list[tuple[Action | Page, str]] = [self._obvious()]
        if asked:
            offered = [(Action.YES, "yes"), (Action.NO, "no")]
        offers = []
        for action, label in offered:
            keys = word(action).keys if isinstance(action, Action) else page_key(action).keys
            does = (
                f"screen.press('{keys[0]}')"
                if isinstance(action, Action)
                else f"screen.turn_to('{action.value}')"
            )
            offers.append(Offer(key_name(keys[0]), label, does=does, loud=True))
        return (*offers, help_offer())

    def _obvious(self) -> tuple[Action | Page, str]:
        """The one next key."""
        state = self.work.state
        if state.done or state.step is None:
            return Page.SHELF, "back to the shelf"
        if state.paused:
            return Action.RESUME, "take it up again"
        if state.open_verdict:
            return Action.CHOOSE, "take a choice"
        match state.step.kind:
            case Kind.MEASURE:
                return Action.MEASURED, "type what the tape says"
            case Kind.FIT_CHECK:
                return Action.FITS, "it fits"
            case Kind.BACK_CHECK:
                return Action.ADVANCE, "the back is clean"
            case Kind.ROW | Kind.ROUND:
                return Action.ADVANCE, f"{wording.row_word(state.step.kind)} done"
            case _:
                return Action.ADVANCE, "done"

    def held(self, key: str) -> None:
        """A key is held down: say once that it counts once, below what it did."""
        self._held = f"{key_name(key)} is held: it counts once. Let go, then press it again."
        self.add_class("news")
        self._show_signs()

    def tell(self, sentence: str) -> None:
        """Say something that is not the answer to a command."""
        self._say(Sign(loud="•", quiet=sentence))

    def _say(self, sign: Sign, *, went_on: bool = False) -> None:
        # The next instruction says by itself that the last one is done; anything else is news.
        self.set_class(not went_on, "news")
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

    def _tick(self) -> None:
        """Once a second: the clock, a question that ran out, a rest that is due."""
        now = self.app.clock()
        talk = self.work.making.talk
        self._show_facts(self.work.state, now)
        if self.has_class("asked"):
            self._show_question(now)
            if talk.open_at(now) is None:
                self.tell("No answer came: left as it was.")
        self._remind(now)
        trouble = self.app.voice.trouble
        if trouble and trouble != self._voiceless:
            self.tell(trouble)
        self._voiceless = trouble

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


def _live(step: Step) -> int:
    return step.loops_before + step.loops_after


def _change(step: Step) -> str:
    """` (1 fewer ▼)` where the row changes the count."""
    change = step.loops_after - step.loops_before
    if not step.counts_row or not change:
        return ""
    return f", {abs(change)} {'more ▲' if change > 0 else 'fewer ▼'}"
