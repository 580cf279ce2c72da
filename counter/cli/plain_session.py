"""One make as plain lines: what is typed and heard, and what is answered."""

import argparse
import re
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from counter.cli import plain_notes, plain_pages
from counter.cli.ears import ears_of
from counter.cli.live import Live, Told
from counter.shared.changing import Changing
from counter.shared.interview import answer_of
from counter.shared.keys import key_name, key_names
from counter.shared.outward import tell
from counter.shared.places import data_folder
from counter.shared.setting_lines import with_line
from counter.shared.settings import Readback, Settings, save, settings_path
from counter.shared.signs import legible
from counter.shared.telling import as_spoken, in_unit, said
from counter.shared.typed import command_of
from counter.shared.work import Work, offered
from counter.sound import profiles
from counter.sound.descriptors import keep_pipe_clean
from counter.sound.hearing import hear
from counter.sound.listening import EarsNote
from counter.sound.opening import ears_from
from counter.sound.voice import SAID_AHEAD, Voice, words_of
from engine.advise.sums import SUMS
from engine.base.refusal import Refusal
from engine.ears import wav
from engine.make import answers
from engine.make.decisions.replies import refused
from engine.make.history import entries
from engine.script import wording
from engine.words.vocabulary import lacks_number, page_key, page_words, word, words
from models.command import Action, By, Command, Context, Heard, Page, Situation
from models.script import Step
from models.state import MakeState, Reply, Tone

_ASKS = {
    Action.RIP_BACK: "Rip back how many rows?",
    Action.MEASURED: "What does the tape say?",
    Action.ACROSS: "How wide are the last rows?",
    Action.MORE_ROWS: "How many rows more than planned?",
    Action.ONLY_BALLS: "How many balls are there in all, those begun too?",
    Action.CHOOSE: "Which choice?",
}
_READ = {
    Page.READ_ALOUD: Readback.FULL,
    Page.READ_BRIEFLY: Readback.SHORT,
    Page.READ_EVERYTHING: Readback.FULL,
    Page.BE_QUIET: Readback.OFF,
}
_PAGES = (Page.JOURNAL, Page.PIECE, Page.HOW, Page.CHANGE, Page.SUMS, Page.PLAY, Page.SETTINGS)
"""The pages of the screens that are told in lines."""
_LAST = 3
"""Entries of the journal that are read out."""
_ELSEWHERE = {
    Page.NEW_MAKE: "That is for the shelf: lay the make there with q, then new.",
    Page.GO_ON: "You are at it.",
}
_SLOT = re.compile(r"\{[nm]\}")


class Session:
    """A make worked on line by line, until the lines end or she leaves."""

    def __init__(self, work: Work, settings: Settings, lines: Iterator[str], config: Path) -> None:
        self.work, self.settings, self.lines, self.config = work, settings, lines, config
        self.live: Live | None = None
        self.wants: Action | None = None
        """What was said without its number, which is waited for."""
        self.changing: Changing | None = None
        """The questions of a change midway, while they are asked."""

    def tell(self, text: str) -> None:
        """One line, lengths in the maker's unit."""
        tell(in_unit(" ".join(text.split()), self.settings.unit), flush=True)

    def greet(self) -> None:
        """How this goes, and the step in work."""
        leave = key_names(page_key(Page.SHELF).keys)
        said = word(Action.ADVANCE, self.settings.language).phrases[0]
        self.tell(
            f"{self.work.state.script.title}. Type a key or a word of the table, then enter; a "
            f"space and enter is {said}, enter alone says the step again, ? tells all of them, "
            f"{leave} leaves."
        )
        if told := offered(self.work.state, self.work.name):
            self.tell(told)
        self.tell(_instruction(self.work.state))

    def read(self) -> None:
        """Lines from standard input, each a command."""
        for line in self.lines:
            if not self.take_line(line):
                break
        self.leave()

    def listen(self, arguments: argparse.Namespace) -> None:
        """Words from the microphone and lines from standard input, until she leaves by either."""
        keep_pipe_clean()
        self.live = live = Live(
            ears_from(
                data_folder(arguments.data),
                arguments.model,
                self.settings.microphone or None,
                None,
                voice := Voice(quiet=arguments.quiet),
            ),
            voice,
            self.situation,
        )
        live.tick = self.tick
        if self.settings.readback is Readback.OFF:
            self.settings = self.settings.model_copy(update={"readback": Readback.FULL})
        voice.use(self.settings)
        live.ears.language = self.settings.language
        found, trouble = profiles.load(profiles.profiles_path(settings_path(arguments.data)))
        live.ears.sensitivity = profiles.bounds_for(
            found,
            self.settings.person,
            live.ears.microphone,
            self.settings.sensitivity,
            self.settings.language,
            mine=self.settings.mine,
        )
        live.ears.ask_attention(self.settings.attention)
        if trouble:
            self.tell(trouble)
        try:
            for item in live.items(self.lines, until_they_end=sys.stdin.isatty()):
                if isinstance(item, Told):
                    self.tell(item)
                    self._say_soon()
                elif isinstance(item, EarsNote):
                    self.say(plain_notes.kept(self.work, item), aloud=True)
                elif not (self.take_line(item) if isinstance(item, str) else self.take(item)):
                    break
        except KeyboardInterrupt:
            tell()
        self.leave()

    def tick(self) -> None:
        """A question that is still being read out cannot be answered yet."""
        if self.live is not None and self.live.voice.speaking:
            self.work.making.still_asking(time.time())

    def leave(self) -> None:
        """That it is on the shelf, and where it stands."""
        self.tell(f"{self.work.name} is on the shelf. {answers.where(self.work.state)}")

    def situation(self) -> Situation:
        """What the ears should expect now."""
        found = self.work.making.situation(time.time())
        if found.context is Context.ASLEEP:
            return found
        if self.changing is not None:
            context = self.changing.question.context
            return found.model_copy(update={"context": context, "question_open": True})
        if self.wants is None:
            return found
        return found.model_copy(update={"context": Context.NUMBER, "question_open": True})

    def take_line(self, line: str) -> bool:
        """A line typed; False where it leaves."""
        if self.changing is not None:
            self.answer_change(line)
            return True
        if line.strip() in page_key(Page.SHELF).keys:
            return False
        if page := _by_key().get(line.strip()):
            self.open(page)
            return True
        word_, _, rest = line.strip().partition(" ")
        if word_.casefold() == "set" and rest:
            self.set(rest)
            return True
        if told := plain_pages.sum_of(line):
            for said_ in told:
                self.tell(said_)
            return True
        now = time.time()
        making = self.work.making
        try:
            command = command_of(
                line,
                self.work.state,
                making.context(now),
                listening=making.talk.listening,
                language=self.settings.language,
                unit_cm=self.settings.unit.cm,
            )
        except Refusal as refusal:
            self.tell(str(refusal))
            return True
        return self.act(command, None)

    def take(self, heard: Heard) -> bool:
        """An utterance; False where it leaves."""
        self.tell(f"Heard: {legible(heard.heard)}.")
        command = heard.command if heard.taken else None
        if command is not None and self.changing is not None and command.page is None:
            self.answer_change(command)
            return True
        if command is None:
            before = self.work.state
            self.answer(self.work.heard(heard, time.time()), before, heard=heard)
            return True
        return self.act(command, heard)

    def act(self, command: Command, heard: Heard | None) -> bool:
        """Do it; False where it leaves."""
        now, before = time.time(), self.work.state
        if command.page is not None:
            return self.turn(command.page)
        if command.action is Action.HELP:
            self.help()
            return True
        if command.action is Action.NOTE and heard is not None and self.live is not None:
            self.live.ears.take_note()
            self.say(plain_notes.BEGUN)
            return True
        if self.wants is not None:
            wanted, self.wants = self.wants, None
            if command.action is Action.NO:
                self.say(Reply(taken=True, say="Left as it was.", tone=Tone.MARK))
                return True
            if command.action is Action.MEASURED and command.value is not None:
                command = command.model_copy(update={"action": wanted})
                if why := self.work.making.refuses(command, now):
                    self.wants = wanted
                    self.say(refused(f"{why} Say another number, or no."))
                    return True
        if lacks_number(command):
            self.wants = command.action
            self.say(Reply(taken=True, say=_ASKS[command.action], tone=Tone.ASK))
            return True
        if heard is not None:
            outcome = self.work.heard(heard.model_copy(update={"command": command}), now)
        else:
            outcome = self.work.do(command, now, by=By.KEY)
        self.answer(outcome, before, command=command, heard=heard)
        return True

    def turn(self, page: Page) -> bool:
        """What a word for a page is without pages; False where it leaves."""
        if page in (Page.SHELF, Page.LEAVE):
            return False
        if page in _READ:
            self.settings = self.settings.model_copy(update={"readback": _READ[page]})
            told = "Nothing is read out any more." if page is Page.BE_QUIET else "It is read out."
            self.say(Reply(taken=True, say=told, tone=Tone.MARK), aloud=True)
        elif page is Page.PLAY:
            outcome = plain_notes.played(self.work, self.live.voice if self.live else None)
            self.tell(outcome.say)
        elif page is Page.JOURNAL:
            last = entries(self.work.making.begun, self.work.making.events)[-_LAST:]
            said = ". ".join(entry.text for entry in last) or "Nothing has happened yet"
            self.say(Reply(taken=True, say=f"{said}.", tone=Tone.MARK), aloud=True)
        elif page in (Page.PIECE, Page.HOW, Page.SETTINGS, Page.CHANGE):
            self.open(page)
        else:
            self.say(refused(_ELSEWHERE.get(page, "A page is only lines here: nothing to turn.")))
        return True

    def open(self, page: Page) -> None:
        """A page of the screens, in lines."""
        match page:
            case Page.JOURNAL:
                self.journal()
            case Page.CHANGE if self.work.state.done:
                self.tell("The make is done: nothing is left to change.")
            case Page.CHANGE:
                self.changing = Changing(unit=self.settings.unit, state=self.work.state)
                self.ask_change()
            case Page.PLAY:
                self.turn(page)
            case _:
                for line in plain_pages.lines(page, self.work.state, self.settings):
                    self.tell(line)

    def set(self, said: str) -> None:
        """One setting, kept."""
        try:
            self.settings = with_line(self.settings, said)
        except Refusal as refusal:
            self.tell(str(refusal))
            return
        self.work.use_unit(self.settings.unit)
        if self.live is not None:
            self.live.voice.use(self.settings)
        self.tell(save(self.config, self.settings) or f"It is set: {said}.")

    def ask_change(self) -> None:
        """The question of a change that is open, after what one should know."""
        assert self.changing is not None
        now = self.changing.question
        for line in now.details:
            self.tell(line)
        self.say(Reply(taken=True, say=self.changing.spoken, tone=Tone.ASK), aloud=True)

    def answer_change(self, answer: str | Command) -> None:
        """An answer to the question of a change: q leaves it, as no does at its end."""
        assert self.changing is not None
        if isinstance(answer, str) and answer.strip().casefold() in {"q", "escape", "esc"}:
            self.changing = None
            self.say(Reply(taken=True, say="Left as it was.", tone=Tone.MARK))
            return
        try:
            asked = self.changing.question
            command = (
                answer_of(answer, self.settings.unit, asked) if isinstance(answer, str) else answer
            )
            now, why = self.changing.hear(command)
        except Refusal as refusal:
            self.say(refused(str(refusal)))
            return
        self.changing = now
        if why:
            self.say(refused(why))
        elif now.left:
            self.changing = None
            self.say(Reply(taken=True, say="Left as it was.", tone=Tone.MARK))
        elif now.done:
            self.changing = None
            self.say(self.work.change(now.why, time.time(), **now.wishes()))
        else:
            self.ask_change()

    def say(self, outcome: Reply, *, aloud: bool = False) -> None:
        """An answer that moved nothing: a line, and aloud."""
        text = said(outcome, self.settings.language)
        self.tell(text)
        if self.live is not None:
            quiet = self.settings.readback is Readback.OFF and not aloud
            spoken = "" if quiet else as_spoken(text, self.settings.unit)
            self.live.voice.answer(outcome, spoken)

    def hear(self, arguments: argparse.Namespace) -> None:
        """Utterances from a recording, each a command; time is the recording's own."""
        blocks = wav.blocks(arguments.hear)
        began = time.time()
        with ears_of(
            arguments, lambda now_s: self.work.making.situation(began + now_s)
        ) as listener:
            for heard in hear(blocks, listener):
                before = self.work.state
                outcome = self.work.heard(heard, began + listener.now_s)
                self.tell(f"Heard: {heard.heard}.")
                self.answer(outcome, before)

    def answer(
        self,
        outcome: Reply,
        before: MakeState,
        *,
        command: Command | None = None,
        heard: Heard | None = None,
    ) -> None:
        """The answer, and the instruction where the work now stands elsewhere; and aloud."""
        state = self.work.state
        if self.live is not None:
            nothing = heard is not None and heard.command is None and not heard.called
            text = words_of(
                outcome,
                _instruction(state),
                self.settings.readback,
                asked=command is not None and command.action in {Action.WHERE, Action.SAY_AGAIN},
                heard_nothing=nothing,
                language=self.settings.language,
            )
            spoken = as_spoken(text, self.settings.unit)
            self.live.voice.answer(outcome, spoken, heard_nothing=nothing)
            self._say_soon()
        if (before.at, before.done) == (state.at, state.done):
            self.tell(said(outcome, self.settings.language))
            return
        # Moving on is answered by the next instruction itself; anything else is said first.
        if state.at != before.at + 1 or state.done:
            self.tell(said(outcome, self.settings.language))
        if not state.done:
            self.tell(_instruction(state))

    def _say_soon(self) -> None:
        """What is likely to be read out next, for a voice that needs time."""
        if self.live is None:
            return
        state = self.work.state
        steps, at = state.script.steps, state.at
        if self.settings.readback is Readback.SHORT:
            texts = [wording.spoken(one, state.plan.craft) for one in steps[at : at + SAID_AHEAD]]
        else:
            texts = [_told(one, state) for one in steps[at : at + SAID_AHEAD]]
        texts.append(answers.where(state))
        self.live.voice.prepare(as_spoken(text, self.settings.unit) for text in texts)

    def journal(self) -> None:
        """What happened in the make, a line each."""
        making = self.work.making
        for entry in entries(making.begun, making.events):
            when = time.strftime("%Y-%m-%d %H:%M", time.localtime(entry.at))
            self.tell(f"{when}: {entry.text}{', taken back' if entry.taken_back else ''}.")

    def help(self) -> None:
        """The whole table, a line each."""
        for line in words(self.settings.language):
            phrases = _SLOT.sub("NUMBER", ", ".join(line.phrases)) or "typed only"
            self.tell(f"{key_names(line.keys)}: {line.meaning}. Said: {phrases}.")
        for page in (*_PAGES, Page.SHELF):
            line_ = page_key(page)
            self.tell(f"{key_names(line_.keys)}: {line_.meaning}.")
        for turned in page_words(self.settings.language):
            if turned.page in {*_READ, Page.LEAVE}:
                self.tell(f"{', '.join(turned.phrases)}: {turned.meaning}.")
        self.tell("set NAME VALUE: one of the settings, as in 'set unit in'.")
        self.tell("A sum: " + "; ".join(f"{one.name} {one.example}" for one in SUMS) + ".")


def _by_key() -> dict[str, Page]:
    """Each page by the names of its key: `full_stop` and `.`."""
    return {
        name: page
        for page in _PAGES
        for key in page_key(page).keys
        for name in (key, key_name(key))
    }


def _instruction(state: MakeState) -> str:
    step = state.step
    if step is None or state.done:
        return answers.say(state)
    told = _told(step, state)
    if marks := state.open_marks:
        told += f" {len(marks)} open {'mark' if len(marks) == 1 else 'marks'}."
    return told


def _told(step: Step, state: MakeState) -> str:
    return f"{step.part[:1].upper()}{step.part[1:]}. {wording.text(step, state.plan.craft)}"
