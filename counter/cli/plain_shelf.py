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
from counter.paper.written import PAPERS, content
from counter.shared.filing import write_file
from counter.shared.outward import tell
from counter.shared.setting_lines import with_line
from counter.shared.settings import Settings, save
from counter.shared.telling import in_unit
from counter.shared.written import pattern_text
from engine.advise import fitting
from engine.advise.sums import SUMS
from engine.base.numbers import cm, whole
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.designs import DESIGNS, design
from engine.keep import exchange, shelving
from engine.keep.store import Store, unreadable
from engine.make import answers, progress
from engine.pattern.check import check_pattern
from engine.pattern.make import plan_from_text
from engine.plan.listed.garment import is_list, plan_of_list
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from engine.words.vocabulary import page_key
from models.command import Page
from models.plan import Plan
from models.script import Craft
from models.state import MakeState

_NUMBERED = re.compile(r"([a-z ]+?)\s+(\d+)(?:\s+(.*))?$", re.IGNORECASE)
HELP = (
    "A number goes on with that make. "
    "new: begin one, asked for line by line. pattern FILE: begin one from a written pattern. "
    "import FILE: take in an exported make. list: say the shelf again. "
    "away: say what is put away or thrown out. q: leave. "
    "settings: say them; set NAME VALUE: one of them. "
    + "; ".join(f"{one.name} {one.example}: {one.what}" for one in SUMS)
    + ". "
    "With the number of a make: rename 1 NEW NAME; another 1 NAME, not begun; put away 1; "
    f"throw out 1, for {shelving.WAY_BACK_DAYS} days; take back 1; "
    + "; ".join(f"{one.name} 1 FILE, {one.told}" for one in PAPERS)
    + "; export 1 FILE, all of it."
)


class PlainShelf:
    """Reads lines until the input ends or she leaves; opens makes by `opens`."""

    def __init__(
        self,
        store: Store,
        settings: Settings,
        lines: Iterator[str],
        opens: Callable[[str], None],
        config: Path,
    ) -> None:
        """`opens` works on the make of a name; `config` is the file of the settings."""
        self.store, self.settings, self.lines, self.opens = store, settings, lines, opens
        self.config = config
        self.names: list[str] = []

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
            self.opens(self._name(said))
            self.list()
        elif numbered := _NUMBERED.fullmatch(said):
            self._with(numbered[1].lower(), self._name(numbered[2]), (numbered[3] or "").strip())
        elif word == "pattern" and rest:
            self._begin(self._pattern(rest))
        elif word == "import" and rest:
            text = exchange.read_file(Path(expanduser(rest)))
            self.tell(f"{exchange.import_text(self.store, text)} is here.")
            self.list()
        elif word == "set" and rest:
            self._set(rest)
        elif said in {*page_key(Page.SETTINGS).keys, "settings"}:
            for line in plain_pages.lines(Page.SETTINGS, None, self.settings):
                self.tell(line)
        elif told := plain_pages.sum_of(said):
            for line in told:
                self.tell(line)
        elif not said or word in {"list", "away", "new", "?", "help"}:
            plain = {"away": self.away, "new": self._new, "list": self.list}
            plain.get(word, lambda: self.tell(HELP))()
        else:
            raise Refusal(f"{said!r} is no word of the shelf: ? tells them.")

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

    def _ask(self, asked: str, usual: str = "") -> str:
        """A line of hers; an empty one takes what is usual. Raises Refusal where she leaves it."""
        self.tell(f"{asked}{f' Enter alone: {usual}.' if usual else ''} q leaves it.")
        said = next(self.lines, "q").strip()
        if said.lower() == "q":
            raise Refusal("Left: nothing was begun.")
        return said or usual

    def _new(self) -> None:
        name = self._ask(f"Which design: {', '.join(DESIGNS)}?").lower()
        if name not in DESIGNS:
            raise Refusal(f"There is no design {name!r}; there are: {', '.join(DESIGNS)}.")
        chosen = design(name)
        info = chosen.info
        size, given = "", {}
        if info.sizes:
            size = self._ask(f"Size: {', '.join(info.sizes)}? Or: measure.", chosen.usual)
        if not info.sizes or size.lower() == "measure":
            size = "" if size.lower() == "measure" else size
            usual = chosen.defaults(chosen.usual)
            for spec in info.measures:
                said = self._ask(f"{spec.label}. {spec.why}", f"{usual[spec.name]:g} cm")
                given[spec.name] = cm(said, self.settings.unit.cm)
        gauge = self._ask("Your gauge, loops x rows per 10 cm?", usual_gauge(name))
        craft = None
        if len(info.crafts) > 1:
            crafts = [one.value for one in info.crafts]
            said = self._ask(f"Craft: {' or '.join(crafts)}?", crafts[0]).lower()
            if said not in crafts:
                raise Refusal(f"There is no craft {said!r} here: {' or '.join(crafts)}.")
            craft = Craft(said)
        stitch = stripes = ""
        if info.stitches:
            stitch = self._ask("Stitch pattern? Their names: 'spokenrow stitches'.", "plain")
            stripes = self._ask("Stripes? As in 'cream 8, sand 4'.", "one colour")
        ball = self._ask("Loops in one ball?", "not known")
        title = self._ask("What is it called?", info.title)
        self._begin(
            make_plan(
                name,
                read_gauge(gauge),
                size=size,
                given=given,
                craft=craft,
                hand=self.settings.hand,
                ball_loops=None if ball == "not known" else whole(ball),
                title=title,
                stitch="" if stitch == "plain" else stitch,
                stripes="" if stripes == "one colour" else stripes,
            )
        )

    def _pattern(self, file: str) -> Plan:
        path = Path(expanduser(file))
        text = pattern_text(path)
        if is_list(text):
            return plan_of_list(text, hand=self.settings.hand)
        checked = check_pattern(text)
        rows = sum(line.taken_as == "row" for line in checked.lines)
        self.tell(f"Read: {some(rows, 'row')}, {some(len(checked.faults), 'finding')}.")
        for fault in checked.faults:
            self.tell(f"Line {fault.sentence()}")
        size = ""
        if len(checked.sizes) > 1:
            size = self._ask(f"Size: {', '.join(checked.sizes)}?", checked.sizes[0])
        gauge = self._ask("Your gauge, loops x rows per 10 cm?", "the pattern's own")
        own = gauge == "the pattern's own"
        return plan_from_text(
            text,
            path.stem,
            size=size,
            gauge=None if own else read_gauge(gauge),
            hand=self.settings.hand,
        )

    def _begin(self, plan: Plan) -> None:
        script = script_for(plan)
        for line in fitting.lines(plan, script):
            if line.off:
                asked = f"You asked for {line.name} {line.wanted:.1f} cm"
                self.tell(f"{asked}, you get {line.garment:.1f} cm.")
        if self._ask("Begin it? y or n", "y").lower() not in {"y", "yes"}:
            raise Refusal("Left: nothing was begun.")
        name = self.store.free_name(plan.title)
        self.store.create(name, plan)
        self.opens(name)
        self.list()
