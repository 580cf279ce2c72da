"""A new make as plain lines: a design, a list of numbers or a pattern, asked for line by line."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import partial
from os.path import expanduser
from pathlib import Path
from typing import TypeVar

from counter.shared.loop_lines import LOOP_LINES, list_of
from counter.shared.pattern_files import found
from counter.shared.settings import Settings
from engine.advise import lots
from engine.base.numbers import cm, whole
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.craft.stripes import read_stripes
from engine.designs import DESIGNS, design
from engine.plan.listed.garment import GARMENTS, plan_of_list
from engine.plan.planning import (
    DEFAULT_GAUGE,
    gauge_told,
    in_lots,
    make_plan,
    read_gauge,
    read_lots,
    script_for,
    usual_gauge,
    within,
)
from engine.stitches import NAMES, stitch_pattern
from models.gauge import Gauge
from models.pattern import LineRead, Severity
from models.plan import MeasureSpec, Plan
from models.script import Craft
from models.text import legible_lines

_ONE_COLOUR, _PLAIN, _UNKNOWN, _ITS_OWN = "one colour", "plain", "not known", "the pattern's own"
_ONE_LOT = "one lot"
_MEASURE = "measure"
_GAUGE = "Your gauge, loops x rows per 10 cm?"
_TOLD = 20
"""Findings of a pattern that are told one by one: mostly the later ones follow from the first."""
_END = "."
"""A line that ends a pasted text."""


T = TypeVar("T")


class Left(Refusal):
    """She left what was asked, or what she pasted cannot be worked: it is not asked again."""


class PlainBeginning:
    """Asks for a plan, a line for every question."""

    def __init__(
        self, lines: Iterator[str], tell: Callable[[str], None], settings: Settings
    ) -> None:
        self.lines, self.tell, self.settings = lines, tell, settings
        self._said: dict[str, str] = {}

    def plan(self, build: Callable[[], Plan]) -> Plan:
        """What `build` asks for, proven. What comes of no plan is told, and may be gone through
        again: each answer stands there. Raises Refusal where nothing was asked yet, or she leaves.
        """
        self._said = {}
        while True:
            try:
                plan = self._lots(build())
                script_for(plan)
            except Left:
                raise
            except Refusal as refusal:
                if not self._said:
                    raise
                self.tell(str(refusal))
                asked = "Go through it again? What you said stands there."
                if self.ask(f"{asked} y or n", "y").casefold() not in {"y", "yes"}:
                    raise Left("Left: nothing was begun.") from None
            else:
                return plan

    def _lots(self, plan: Plan) -> Plan:
        """The plan, with what she has of two dye lots where one ball does not do."""
        if not lots.may_be_two(plan):
            return plan

        def read(said: str) -> Plan:
            return plan if said == _ONE_LOT else in_lots(plan, read_lots(said))

        asked = "Dye lots? Where the balls are of two, how many of each, as in 7 3."
        plan = self.answer(asked, _ONE_LOT, read)
        for line in lots.outlook(plan):
            self.tell(line)
        return plan

    def ask(self, asked: str, usual: str = "") -> str:
        """A line of hers; an empty one takes what is usual, or what she said the last time.

        Raises Left where she leaves it.
        """
        usual = self._said.get(asked, usual)
        self.tell(f"{asked}{f' Enter alone: {usual}.' if usual else ''} q leaves it.")
        said = next(self.lines, "q").strip()
        if said.lower() == "q":
            raise Left("Left: nothing was begun.")
        return said or usual

    def answer(self, asked: str, usual: str, read: Callable[[str], T]) -> T:
        """What `read` makes of a line of hers. What it refuses is told, and asked again: what she
        has answered before is not lost by a slip. Raises Refusal where she leaves it.
        """
        while True:
            said = self.ask(asked, usual)
            try:
                answer = read(said)
            except Refusal as refusal:
                self.tell(str(refusal))
            else:
                self._said[asked] = said
                return answer

    def design(self, named: str = "") -> Plan:
        """A built-in design, the one that is named or asked for. Raises Refusal."""
        if named:
            name = _one_of("design", DESIGNS)(named)
        else:
            asked = f"Which design: {', '.join(DESIGNS)}?"
            name = self.answer(asked, "", _one_of("design", DESIGNS))
        chosen = design(name)
        info = chosen.info
        size, given = "", {}
        if info.sizes:
            asked = f"Size: {', '.join(info.sizes)}? Or: {_MEASURE}."
            size = self.answer(asked, chosen.usual, _one_of("size", [*info.sizes, _MEASURE]))
        if not info.sizes or size == _MEASURE:
            size = ""
            usual = chosen.defaults(chosen.usual)
            for spec in info.measures:
                asked = f"{spec.label}. {spec.why}"
                given[spec.name] = self.answer(
                    asked, f"{usual[spec.name]:g} cm", partial(self._measure, spec)
                )
        gauge = self._gauge(usual_gauge(name))
        craft = info.crafts[0]
        if len(info.crafts) > 1:
            crafts = [one.value for one in info.crafts]
            asked = f"Craft: {' or '.join(crafts)}?"
            craft = Craft(self.answer(asked, crafts[0], _one_of("craft", crafts)))
        stitch, stripes = _PLAIN, _ONE_COLOUR
        if info.stitches:
            names = [one for one in NAMES if craft in stitch_pattern(one).crafts]
            read = _one_of("stitch pattern", [*names, _PLAIN])
            stitch = self.answer(f"Stitch pattern: {', '.join(names)}?", _PLAIN, read)
        if info.stripes:
            asks = "Stripes? As in 'cream 8, sand 4', or blocks: 'cream | sand 20'."
            stripes = self.answer(asks, _ONE_COLOUR, _stripes)
        ball = self._ball()
        title = self.ask("What is it called?", info.title)
        return make_plan(
            name,
            gauge,
            size=size,
            given=given,
            craft=craft if len(info.crafts) > 1 else None,
            hand=self.settings.hand,
            ball_loops=ball,
            title=title,
            stitch="" if stitch == _PLAIN else stitch,
            stripes="" if stripes == _ONE_COLOUR else stripes,
        )

    def numbers(self) -> Plan:
        """A garment by its numbers of loops. Raises Refusal."""
        asked = f"Which garment: {', '.join(GARMENTS)}?"
        garment = self.answer(asked, GARMENTS[0], _one_of("garment", GARMENTS))
        said = list_of(
            {
                name: self.ask(f"{label}? {why} As in: {example}. Enter alone: left out.")
                for name, label, why, example in LOOP_LINES
            }
        )
        if not said:
            raise Refusal("Write the numbers: foundation, front, armhole and back at least.")
        gauge, ball = self._gauge(DEFAULT_GAUGE), self._ball()
        title = self.ask("What is it called?", design(garment).info.title)
        return plan_of_list(
            said,
            garment,
            gauge=gauge,
            hand=self.settings.hand,
            ball_loops=ball,
            title=title,
        )

    def file(self, named: str) -> Plan:
        """A pattern in a file; without a name, one of those that are found. Raises Refusal."""
        from counter.shared.written import pattern_text  # reading is slow to load

        path = Path(expanduser(named)) if named else self._picked()
        return self._pattern(pattern_text(path), path.stem)

    def paste(self) -> Plan:
        """A pattern that is pasted or typed. Raises Refusal."""
        self.tell(f"Paste the pattern, or type it; a line with only a {_END} ends it.")
        text = []
        for line in self.lines:
            if line.strip() == _END:
                break
            text.append(line)
        if not any(line.strip() for line in text):
            raise Refusal("Left: nothing was pasted.")
        return self._pattern(legible_lines("\n".join(text)), "pasted pattern")

    def _picked(self) -> Path:
        files = found()
        if not files:
            raise Refusal("No file that may be a pattern is found: name one, or paste.")
        for number, path in enumerate(files, 1):
            self.tell(f"{number}: {path.name} in {path.parent}.")

        def read(said: str) -> Path:
            number = whole(said)
            if not 1 <= number <= len(files):
                raise Refusal(f"There is no file {number}: give 1 to {len(files)}.")
            return files[number - 1]

        return self.answer(f"Which file, 1 to {len(files)}?", "", read)

    def _pattern(self, text: str, called: str) -> Plan:
        from counter.shared import pasted  # slow to load

        checked = pasted.read_pasted(text)
        rows = sum(line.taken_as == "row" for line in checked.lines)
        self.tell(f"Read: {some(rows, 'row')}, {some(len(checked.faults), 'finding')}.")
        for fault in checked.faults[:_TOLD]:
            self.tell(f"Line {fault.sentence()}")
        if len(checked.faults) > _TOLD:
            self.tell(f"And {len(checked.faults) - _TOLD} more: 'spokenrow check FILE' tells all.")
        text = pasted.settle(
            text, [(line, self._reading(line)) for line in pasted.open_lines(checked)]
        )
        checked = pasted.read_pasted(text)
        wrong = [one for one in checked.faults if one.severity in {Severity.FAULT, Severity.UNREAD}]
        if wrong:
            raise Left(f"It does not come out yet: mend line {wrong[0].sentence()}")
        sizes = checked.sizes
        size = ""
        if len(sizes) > 1:
            asked = f"Size: {', '.join(sizes)}?"
            size = self.answer(asked, sizes[0], _one_of("size", sizes))
        gauge, ball = self.answer(_GAUGE, _ITS_OWN, self._told_or_its_own), self._ball()
        return pasted.plan_of_pasted(
            text,
            called,
            size=size,
            gauge=gauge,
            hand=self.settings.hand,
            ball_loops=ball,
        )

    def _reading(self, line: LineRead) -> str | None:
        """What a line that was not read means: a reading, nothing for talk, None as it is."""
        can = [f"{number}, {one}" for number, one in enumerate(line.nearest, 1)]

        def read(typed: str) -> str | None:
            said = typed.casefold()
            if said == "talk":
                return ""
            if said.isdecimal() and len(said) < 3 and 1 <= int(said) <= len(line.nearest):
                return line.nearest[int(said) - 1]
            if said == "left as it is":
                return None
            raise Refusal(f"{said!r} is no reading of line {line.line}: a number, or talk.")

        asked = f"Line {line.line} is not read: {line.text}. It could be: "
        return self.answer(f"{asked}{'; '.join([*can, 'talk'])}. Which?", "left as it is", read)

    def _measure(self, spec: MeasureSpec, said: str) -> float:
        return within(spec, cm(said, self.settings.unit.cm))

    def _gauge(self, usual: str) -> Gauge:
        return self.answer(_GAUGE, usual, self._told)

    def _told(self, said: str) -> Gauge:
        """A gauge, and how it was understood. Raises Refusal."""
        gauge = read_gauge(said)
        if told := gauge_told(said, gauge):
            self.tell(f"That is {told}.")
        return gauge

    def _told_or_its_own(self, said: str) -> Gauge | None:
        return None if said == _ITS_OWN else self._told(said)

    def _ball(self) -> int | None:
        return self.answer(
            "Loops in one ball?", _UNKNOWN, lambda said: None if said == _UNKNOWN else whole(said)
        )


def _stripes(said: str) -> str:
    if said != _ONE_COLOUR:
        read_stripes(said)
    return said


def _one_of(kind: str, names: Iterable[str]) -> Callable[[str], str]:
    """A reader of one of these names, in capitals or not."""
    known = {name.casefold(): name for name in names}

    def read(said: str) -> str:
        if (name := known.get(" ".join(said.casefold().split()))) is None:
            there = ", ".join(known.values())
            raise Refusal(f"There is no {kind} {said!r} here; there are: {there}.")
        return name

    return read
