"""The shelf as plain lines: what lies there, a new make asked for line by line, papers, places.

Every answer is one line, without a drawing and without colour: a screen reader reads it as it is.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from os.path import expanduser
from pathlib import Path

from counter.cli import plain_pages
from counter.cli.plain_begin import PlainBeginning
from counter.paper.written import PAPERS, content
from counter.shared.filing import write_file
from counter.shared.keys import key_names
from counter.shared.outward import tell
from counter.shared.setting_lines import with_line
from counter.shared.settings import Settings, save
from counter.shared.telling import in_unit
from engine.advise import fitting
from engine.advise.sums import SUMS
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.keep import exchange, shelving
from engine.keep.store import Store, unreadable
from engine.make import answers, progress
from engine.plan.planning import script_for
from engine.words.vocabulary import page_key
from models.command import Page
from models.plan import Plan
from models.state import MakeState

_NUMBERED = re.compile(r"([a-z ]+?)\s+(\d+)(?:\s+(.*))?$", re.IGNORECASE)
HELP = (
    "A number goes on with that make.",
    "new: begin one, asked for line by line; new throw: that design.",
    "pattern FILE: begin one from a written pattern; without a name, from one of the files found.",
    "paste: begin one from a text that you paste here.",
    "numbers: begin a cardigan or vest by its numbers of loops.",
    "import FILE: take in an exported make.",
    "list: say the shelf again. away: say what is put away or thrown out. q: leave.",
    "settings: say them. set NAME VALUE: one of them.",
    "sums: say the sums of shaping.",
    *(f"{one.name} {one.example}: {one.what}." for one in SUMS),
    "With the number of a make: rename 1 NEW NAME; another 1 NAME, not begun; put away 1; "
    f"throw out 1, for {shelving.WAY_BACK_DAYS} days; take back 1; take over 1, which is open "
    "elsewhere.",
    *(f"{one.name} 1 FILE: write {one.told}." for one in PAPERS),
    "export 1 FILE: write all of it, for another machine.",
)
"""What can be typed at the shelf, a line for each thing."""


class PlainShelf:
    """Reads lines until the input ends or she leaves; opens makes by `opens`."""

    def __init__(
        self,
        store: Store,
        settings: Settings,
        lines: Iterator[str],
        opens: Callable[[str, bool], None],
        config: Path,
    ) -> None:
        """`opens` works on the make of a name, taken over from another window where that is said.

        `config` is the file of the settings.
        """
        self.store, self.settings, self.lines, self.opens = store, settings, lines, opens
        self.config = config
        self.names: list[str] = []

    @property
    def asking(self) -> PlainBeginning:
        """Who asks for a new make."""
        return PlainBeginning(self.lines, self.tell, self.settings)

    def tell(self, text: str) -> None:
        """One line, lengths in the maker's unit."""
        tell(in_unit(" ".join(text.split()), self.settings.unit), flush=True)

    def read(self) -> None:
        """Until the input ends or she leaves."""
        self.list()
        for line in self.lines:
            said = line.strip()
            if said.lower() in {"q", "leave"}:
                return
            try:
                self.do(said)
            except Refusal as refusal:
                self.tell(str(refusal))

    def list(self) -> None:
        """What lies on the shelf, a line each."""
        for name in shelving.clear(self.store, time.time()):
            self.tell(f"{name} is off the shelf for good.")
        lies = shelving.lying(self.store)
        everything = self.store.names()
        off = [name for name in everything if name in lies.away or name in lies.out]
        self.names = [name for name in everything if name not in off] + off
        here = len(self.names) - len(off)
        self.tell(f"The shelf: {some(here, 'make')}. A number goes on with one, ? tells the rest.")
        for number, name in enumerate(self.names[:here], 1):
            self.tell(f"{number}: {self._standing(name)}")
        if off:
            self.tell(f"{some(len(off), 'make')} put away or thrown out: away says them.")

    def away(self) -> None:
        """What is put away or thrown out."""
        lies, now = shelving.lying(self.store), time.time()
        told = False
        for number, name in enumerate(self.names, 1):
            if name in lies.out:
                days = shelving.days_left(lies.out[name], now)
                self.tell(
                    f"{number}: {name}, thrown out, {some(days, 'day')} left to take it back."
                )
            elif name in lies.away:
                self.tell(f"{number}: {name}, put away.")
            else:
                continue
            told = True
        if not told:
            self.tell("Nothing is put away or thrown out.")

    def _standing(self, name: str) -> str:
        try:
            state = self._state(name)
        except Refusal as why:
            return f"{name} cannot be opened. {why}"
        if state.done:
            took = f"{some(round(state.elapsed / 60), 'minute')}, {state.yarn_used} loops"
            return f"{state.plan.title}, finished: {took}, {some(state.balls, 'ball')}."
        return f"{state.plan.title}. {answers.where(state)}"

    def _state(self, name: str) -> MakeState:
        begun, events = self.store.load(name)
        try:
            return progress.fold(begun, events)
        except Refusal as why:
            raise unreadable(name, str(why)) from why

    def do(self, said: str) -> None:
        """One line of hers. Raises Refusal for what cannot be done."""
        word, _, rest = said.partition(" ")
        word, rest = word.lower(), rest.strip()
        if said.isdigit():
            self.opens(self._name(said), False)
            self.list()
        elif numbered := _NUMBERED.fullmatch(said):
            self._with(numbered[1].lower(), self._name(numbered[2]), (numbered[3] or "").strip())
        elif does := self._with_more(word, rest):
            does()
        elif told := self._page(said):
            for line in told:
                self.tell(line)
        elif does := self._words().get(said.lower()):
            does()
        elif not said:
            raise Refusal("Nothing was typed: a number goes on with a make, ? tells the rest.")
        else:
            raise Refusal(f"{said!r} is no word of the shelf: ? tells them.")

    def _with_more(self, word: str, rest: str) -> Callable[[], None] | None:
        """What a word means that takes something after it; None where it does not."""
        if word == "pattern":
            return lambda: self._begin(lambda asking: asking.file(rest))
        if not rest:
            return None
        takes: dict[str, Callable[[], None]] = {
            "new": lambda: self._begin(lambda asking: asking.design(rest)),
            "import": lambda: self._import(rest),
            "set": lambda: self._set(rest),
        }
        return takes.get(word)

    def _page(self, said: str) -> tuple[str, ...]:
        """The lines of a page that is called by its key or its name; empty where none is."""
        if said in {"?", "help"}:
            return HELP
        if said in {*page_key(Page.SETTINGS).keys, "settings"}:
            return tuple(plain_pages.lines(Page.SETTINGS, None, self.settings))
        if said in {*page_key(Page.SUMS).keys, key_names(page_key(Page.SUMS).keys), "sums"}:
            return tuple(plain_pages.lines(Page.SUMS, None, self.settings))
        return plain_pages.sum_of(said)

    def _import(self, path: str) -> None:
        text = exchange.read_file(Path(expanduser(path)))
        self.tell(f"{exchange.import_text(self.store, text)} is here.")
        self.list()

    def _words(self) -> dict[str, Callable[[], None]]:
        """The words that stand alone; a new make by the key of the screens as well."""
        new = page_key(Page.NEW_MAKE).keys
        return {
            "away": self.away,
            "list": self.list,
            "paste": lambda: self._begin(PlainBeginning.paste),
            "numbers": lambda: self._begin(PlainBeginning.numbers),
            **dict.fromkeys(("new", *new), lambda: self._begin(PlainBeginning.design)),
        }

    def _set(self, said: str) -> None:
        """One setting, kept."""
        self.settings = with_line(self.settings, said)
        self.tell(save(self.config, self.settings) or f"It is set: {said}.")

    def _name(self, number: str) -> str:
        place = int(number) if len(number) < 6 else 0
        if not 1 <= place <= len(self.names):
            raise Refusal(f"There is no make {number} on the shelf: list says them.")
        return self.names[place - 1]

    def _with(self, word: str, name: str, rest: str) -> None:
        match word:
            case "rename":
                self.tell(f"It is {shelving.rename(self.store, name, rest)} now.")
            case "another":
                title = rest or self._state(name).plan.title
                self.tell(
                    f"{shelving.another(self.store, name, title)} is on the shelf, not begun."
                )
            case "put away":
                shelving.put_away(self.store, name)
                self.tell(f"{name} is put away.")
            case "throw out":
                shelving.throw_out(self.store, name)
                days = shelving.WAY_BACK_DAYS
                self.tell(f"{name} is thrown out: for {days} days 'take back' brings it back.")
            case "take over":
                self.opens(name, True)
            case "take back":
                shelving.take_back(self.store, name)
                self.tell(f"{name} is back on the shelf.")
            case _:
                self._write(word, name, rest)
                return
        self.list()

    def _write(self, what: str, name: str, rest: str) -> None:
        if what != "export" and what not in {one.name for one in PAPERS}:
            raise Refusal(f"{what!r} is no word of the shelf: ? tells them.")
        if not rest:
            raise Refusal(f"Into which file? Write '{what} NUMBER FILE'.")
        path = Path(expanduser(rest))
        whole_: str | bytes
        if what == "export":
            whole_ = exchange.export_text(self.store, name)
        else:
            whole_ = content(what, self._state(name), path)
        write_file(path, whole_, lambda _: False)
        self.tell(f"It is in {path}.")

    # --- a new make ------------------------------------------------------------------------

    def _begin(self, build: Callable[[PlainBeginning], Plan]) -> None:
        asking = self.asking
        plan = asking.plan(lambda: build(asking))
        script = script_for(plan)
        for line in fitting.asked_and_got(fitting.lines(plan, script)):
            self.tell(f"{line}.")
        if self.asking.ask("Begin it? y or n", "y").lower() not in {"y", "yes"}:
            raise Refusal("Left: nothing was begun.")
        name = self.store.free_name(plan.title)
        self.store.create(name, plan)
        self.opens(name, False)
        self.list()
