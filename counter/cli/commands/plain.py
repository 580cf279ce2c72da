"""`spokenrow plain NAME`: a make line by line, for a screen reader or a pipe.

No layout, no escape codes: every instruction and every answer is one line, and a line typed is a
key or a word of the one table.
"""

import argparse
import re
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from counter.cli.arguments import add_ears_arguments, asked_by
from counter.cli.ears import ears_of
from counter.shared.keys import key_names
from counter.shared.outward import tell
from counter.shared.places import open_store
from counter.shared.settings import Settings, load, settings_path
from counter.shared.telling import in_unit, said
from counter.shared.typed import command_of
from counter.shared.work import Work, offered, open_work
from counter.sound.hearing import hear
from engine.base.refusal import Refusal
from engine.ears import wav
from engine.make import answers
from engine.script import wording
from engine.words.vocabulary import page_key, word, words
from models.command import Action, By, Page
from models.state import MakeState, Outcome

_SLOT = re.compile(r"\{[nm]\}")


def add(subparsers: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command."""
    parser = subparsers.add_parser("plain", help="a make as plain lines, for a screen reader")
    parser.add_argument("name", help="the make")
    parser.add_argument(
        "--hear", type=Path, metavar="FILE", help="hear a recording instead of reading lines"
    )
    parser.add_argument(
        "--take-over", action="store_true", help="go on here with a make that is open elsewhere"
    )
    add_ears_arguments(parser)
    parser.set_defaults(handler=run)


def run(arguments: argparse.Namespace) -> int:
    """Work on the make until the input ends or it is laid on the shelf."""
    settings, trouble = load(settings_path(arguments.data))
    store = open_store(arguments.data)
    try:
        timed = bool(arguments.hear) or sys.stdin.isatty()
        work = open_work(
            store, arguments.name, settings, take_over=arguments.take_over, timed=timed
        )
        if work.in_use:
            raise Refusal(f"{work.in_use.rstrip('.')} with --take-over.")
        session = _Session(work, asked_by(arguments).over(settings))
        if trouble and not arguments.hear:
            tell(trouble, flush=True)
        session.greet()
        if arguments.hear:
            session.hear(arguments)
        else:
            session.read()
    finally:
        store.close()
    return 0


class _Session:
    def __init__(self, work: Work, settings: Settings) -> None:
        self.work, self.settings = work, settings

    def tell(self, text: str) -> None:
        """One line, lengths in the maker's unit."""
        tell(in_unit(" ".join(text.split()), self.settings.unit), flush=True)

    def greet(self) -> None:
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
        leave = page_key(Page.SHELF).keys
        for line in _lines():
            if line.strip() in leave:
                break
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
                continue
            if command.action is Action.HELP:
                self.help()
                continue
            before = self.work.state
            self.answer(self.work.do(command, now, by=By.KEY), before)
        self.tell(f"{self.work.name} is on the shelf. {answers.where(self.work.state)}")

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

    def answer(self, outcome: Outcome, before: MakeState) -> None:
        """The answer, and the instruction where the work now stands elsewhere."""
        state = self.work.state
        if (before.at, before.done) == (state.at, state.done):
            self.tell(said(outcome, self.settings.language))
            return
        # Moving on is answered by the next instruction itself; anything else is said first.
        if state.at != before.at + 1 or state.done:
            self.tell(said(outcome, self.settings.language))
        if not state.done:
            self.tell(_instruction(state))

    def help(self) -> None:
        for line in words(self.settings.language):
            phrases = _SLOT.sub("NUMBER", ", ".join(line.phrases)) or "typed only"
            self.tell(f"{key_names(line.keys)}: {line.meaning}. Said: {phrases}.")
        leave = page_key(Page.SHELF)
        self.tell(f"{key_names(leave.keys)}: {leave.meaning}.")


def _instruction(state: MakeState) -> str:
    step = state.step
    if step is None or state.done:
        return answers.say(state)
    told = f"{step.part[:1].upper()}{step.part[1:]}. {wording.text(step, state.plan.craft)}"
    if marks := state.open_marks:
        told += f" {len(marks)} open {'mark' if len(marks) == 1 else 'marks'}."
    return told


def _lines() -> Iterator[str]:
    """Lines typed, without their ends. Only a person is shown where to type."""
    if not sys.stdin.isatty():
        if hasattr(sys.stdin, "reconfigure"):
            sys.stdin.reconfigure(errors="replace")
        for line in sys.stdin:
            yield line.rstrip("\r\n")
        return
    while True:
        try:
            yield input("> ")
        except EOFError:
            tell()
            return
