"""A make begun by word: what is asked of it."""

from __future__ import annotations

from counter.shared.interview import UNITS, Interview, Question, bounds_told
from counter.shared.telling import in_unit
from engine.advise import fitting, lots
from engine.base.refusal import Refusal
from engine.designs import DESIGNS, design
from engine.make.answers import listed
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from engine.script.wording import counted
from engine.stitches import NAMES, stitch_pattern
from models.plan import MeasureSpec, Plan
from models.script import Craft, Hand

_OWN = "your own measurements"
_PLAIN = "plain"
_COLOURS = ("first", "second", "third", "fourth", "fifth", "sixth")
"""What the colours of stripes are called: the ears know no names of colours."""
_LOT, _OTHER_LOT = "balls of the first dye lot", "balls of a second dye lot"
_MOST_ROWS = 99
"""Rows of one stripe beyond which a number was misheard."""


class Beginning(Interview):
    """What has been answered so far of a make that is begun by word."""

    hand: Hand = Hand.RIGHT

    def plan(self) -> Plan:
        """The plan that the answers ask for. Raises Refusal where none can be made of them."""
        given = dict(self.answers)
        name = self._design
        info = design(name).info
        size = self._size(given)
        measures = {
            spec.name: given[spec.label] * self.unit.cm
            for spec in info.measures
            if spec.label in given
        }
        return make_plan(
            name,
            read_gauge(f"{given['loops in 10 cm']:g} x {given['rows in 10 cm']:g}"),
            size=size,
            given=measures,
            craft=self._craft,
            hand=self.hand,
            ball_loops=int(given["ball"]) or None,
            stitch=self._stitch,
            stripes=self._stripes,
            lots=self._lots,
        )

    def proven(self) -> None:
        """Raises Refusal where no sound script comes of the answers."""
        script_for(self.plan())

    def misfit(self, now: Question, value: float) -> str:
        """Why a number is no answer, a sentence; empty where it is one."""
        if now.name == "ball" and (value != int(value) or value < 1):
            return "Say the loops of one ball as a whole number, or no."
        if now.name == "colours" and value not in range(1, len(_COLOURS) + 1):
            return f"Say how many colours, 1 to {len(_COLOURS)}; yes for one."
        if now.name.startswith("rows of the") and value not in range(1, _MOST_ROWS + 1):
            return f"Say the rows of one stripe as a whole number, 1 to {_MOST_ROWS}."
        if now.name in {_LOT, _OTHER_LOT} and (value != int(value) or value < 0):
            return "Say the balls as a whole number."
        spec = next((s for s in self._measures if s.label == now.name), None)
        return bounds_told(spec, value, self.unit) if spec is not None else ""

    @property
    def _design(self) -> str:
        return list(DESIGNS)[int(dict(self.answers)["design"]) - 1]

    @property
    def _craft(self) -> Craft:
        info = design(self._design).info
        return Craft(info.crafts[int(dict(self.answers).get("craft", 1)) - 1])

    @property
    def _patterns(self) -> tuple[str, ...]:
        """The stitch patterns of the craft."""
        return tuple(name for name in NAMES if self._craft in stitch_pattern(name).crafts)

    @property
    def _stitch(self) -> str:
        chosen = int(dict(self.answers).get("stitch", 1))
        return self._patterns[chosen - 2] if chosen > 1 else ""

    @property
    def _stripes(self) -> str:
        given = dict(self.answers)
        colours = _COLOURS[: int(given.get("colours", 1))]
        if len(colours) < 2:
            return ""
        return ", ".join(f"{one} colour {given[_rows_of(one)]:g}" for one in colours)

    @property
    def _lots(self) -> tuple[int, int] | None:
        given = dict(self.answers)
        both = int(given.get(_LOT, 0)), int(given.get(_OTHER_LOT, 0))
        return both if _LOT in given else None

    @property
    def _measures(self) -> tuple[MeasureSpec, ...]:
        """The measurements that are asked for."""
        given = dict(self.answers)
        if "design" not in given:
            return ()
        info = design(self._design).info
        if info.sizes and given.get("size", 0) != len(info.sizes) + 1:
            return ()
        return info.measures

    def _size(self, given: dict[str, float]) -> str:
        info = design(self._design).info
        if not info.sizes:
            return ""
        chosen = int(given["size"])
        return info.sizes[chosen - 1] if chosen <= len(info.sizes) else design(self._design).usual

    def questions(self) -> list[Question]:
        """All of them, as far as the answers tell; the last wants a yes."""
        titles = tuple(design(name).info.title for name in DESIGNS)
        found = [Question(name="design", asks="What will it be?", options=titles)]
        given = dict(self.answers)
        if "design" not in given:
            return found
        chosen = design(self._design)
        info = chosen.info
        if info.sizes:
            found.append(Question(name="size", asks="Which size?", options=(*info.sizes, _OWN)))
        defaults = chosen.defaults(chosen.usual)
        for spec in self._measures:
            usual = round(defaults[spec.name] / self.unit.cm * 2) / 2
            asks = (
                f"{spec.label}, in {UNITS[self.unit]}? Usually {usual:g}: say yes, or the number."
            )
            found.append(Question(name=spec.label, asks=asks, usual=usual, length=True))
        gauge = read_gauge(usual_gauge(self._design))
        for what, side in (("loops", gauge.loops_per_10cm), ("rows", gauge.rows_per_10cm)):
            asks = f"How many {what} in 10 cm? Usually {side:g}: say yes, or the number."
            found.append(Question(name=f"{what} in 10 cm", asks=asks, usual=side))
        if len(info.crafts) > 1:
            found.append(
                Question(name="craft", asks="In what craft?", options=tuple(map(str, info.crafts)))
            )
        if info.stitches and (len(info.crafts) == 1 or "craft" in given):
            found += self._looks(given)
        asks = "How many loops are in one ball? Say no if you do not know."
        found.append(Question(name="ball", asks=asks, may_be_unknown=True))
        if given.get("ball") and all(one.name in given for one in found):
            found += self._dyes(given)
        if all(one.name in given for one in found):
            asks, details = self._outlook()
            found.append(Question(name="begin", asks=asks, yes_no=True, details=details))
        return found

    def _looks(self, given: dict[str, float]) -> list[Question]:
        """The stitch pattern and the stripes, where the design takes them."""
        options = (_PLAIN, *self._patterns)
        found = [Question(name="stitch", asks="Which stitch pattern?", options=options)]
        if not design(self._design).info.stripes:
            return found
        asks = "Stripes of how many colours? Usually 1: say yes, or the number."
        found.append(Question(name="colours", asks=asks, usual=1))
        colours = int(given.get("colours", 1))
        for one in _COLOURS[:colours] if colours > 1 else ():
            asks = f"How many rows of the {one} colour, in each stripe?"
            found.append(Question(name=_rows_of(one), asks=asks))
        return found

    def _dyes(self, given: dict[str, float]) -> list[Question]:
        """The dye lots, where one ball does not do."""
        try:
            if not lots.may_be_two(self.plan().model_copy(update={"lots": None})):
                return []
        except Refusal:
            return []
        asks = "How many balls do you have of a second dye lot? Say no if all are of one."
        found = [Question(name=_OTHER_LOT, asks=asks, may_be_unknown=True, nothing="none")]
        if given.get(_OTHER_LOT):
            found.append(Question(name=_LOT, asks="And how many of the first dye lot?"))
        return found

    def _outlook(self) -> tuple[str, tuple[str, ...]]:
        """What comes of the answers, and each measurement asked for beside what she gets."""
        try:
            plan = self.plan()
            script = script_for(plan)
        except Refusal as refusal:
            return str(refusal), ()
        size = f", {told}" if (told := fitting.told_size(plan)) else ""
        looks = f", {plan.stitch}" if plan.stitch else ""
        looks += ", striped" if plan.stripes else ""
        loops, found = counted(script.yarn_loops, plan.craft), fitting.lines(plan, script)
        off = [line.name for line in found if line.off]
        told = f" {' '.join(both)}" if (both := lots.outlook(plan)) else ""
        told += f" Not as you asked: {listed(off)}." if off else ""
        asks = f"{plan.title}{size}{looks}: {loops} of yarn.{told} Begin it?"
        return asks, tuple(in_unit(line, self.unit) for line in fitting.asked_and_got(found))


def _rows_of(colour: str) -> str:
    return f"rows of the {colour} colour"
