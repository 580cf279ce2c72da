"""A make begun by word: one question after the other, each answered by a number, a yes or a no.

Sans-I/O: a `Beginning` is a value, and hearing a command makes the next one. The app shows the
question, `plain` reads it out. What is not understood, or does not fit, is said with why, and the
question stays.
"""

from __future__ import annotations

from counter.shared.settings import Unit
from engine.base.refusal import Refusal
from engine.designs import DESIGNS, design
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from engine.script.wording import counted
from models.command import Action, Command, Context
from models.frozen import Frozen
from models.plan import MeasureSpec, Plan
from models.script import Craft, Hand

_OWN = "your own measurements"
_UNITS = {Unit.CM: "centimetres", Unit.INCH: "inches"}
_MOST_LOOPS = 100.0
"""Loops or rows in 10 cm beyond which a number was misheard (common practice, no source)."""


class Question(Frozen):
    """What is asked, and what may be answered."""

    name: str
    asks: str
    """A sentence, as it is shown and spoken."""
    options: tuple[str, ...] = ()
    """To be chosen by their number, beginning with 1; empty for a number or a yes."""
    usual: float | None = None
    """The number that a yes stands for."""
    yes_no: bool = False
    may_be_unknown: bool = False
    """A no means that she does not know."""

    @property
    def context(self) -> Context:
        """What the ears should expect."""
        return Context.YES_NO if self.yes_no else Context.NUMBER

    @property
    def spoken(self) -> str:
        """The question with its options, as one says it."""
        listed = ", ".join(f"{place}, {name}" for place, name in enumerate(self.options, 1))
        return f"{self.asks} {listed}." if listed else self.asks


class Beginning(Frozen):
    """What has been answered so far."""

    unit: Unit = Unit.CM
    hand: Hand = Hand.RIGHT
    answers: tuple[tuple[str, float], ...] = ()
    """By question, in the order in which they were asked; an unknown number is 0."""
    left: bool = False
    """She does not want to begin it."""
    done: bool = False
    """All is answered, and `plan` can be made."""

    @property
    def question(self) -> Question:
        """The next question."""
        given = dict(self.answers)
        return next(one for one in self._questions() if one.name not in given)

    @property
    def told(self) -> tuple[str, ...]:
        """The answers given, a line each: `Design: Cowl`."""
        asked = {one.name: one for one in self._questions()}
        lines = []
        for name, value in self.answers:
            options = asked[name].options
            shown = options[int(value) - 1] if options else f"{value:g}" if value else "not known"
            lines.append(f"{name.capitalize()}: {shown}")
        return tuple(lines)

    def hear(self, command: Command) -> tuple[Beginning, str]:
        """The beginning after a command, and what to say if it does not go on: why not."""
        now = self.question
        match command.action:
            case Action.TAKE_BACK if self.answers:
                return self.model_copy(update={"answers": self.answers[:-1]}), ""
            case Action.TAKE_BACK:
                return self, "Nothing is answered yet."
            case Action.NO if now.yes_no:
                return self.model_copy(update={"left": True}), ""
            case Action.NO if now.may_be_unknown:
                return self._with(0.0)
            case Action.YES if now.yes_no:
                return self.model_copy(update={"done": True}), ""
            case Action.YES if now.usual is not None:
                return self._with(now.usual)
            case Action.CHOOSE | Action.MEASURED if command.value is not None:
                return self._number(now, command.value)
            case _:
                return self, f"That is no answer here. {now.asks}"

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
            craft=Craft(info.crafts[int(given.get("craft", 1)) - 1]),
            hand=self.hand,
            ball_loops=int(given["ball"]) or None,
        )

    def _with(self, value: float) -> tuple[Beginning, str]:
        answered = (*self.answers, (self.question.name, value))
        after = self.model_copy(update={"answers": answered})
        if after.question.yes_no:
            try:
                script_for(after.plan())
            except Refusal as refusal:
                return self, str(refusal)
        return after, ""

    def _number(self, now: Question, value: float) -> tuple[Beginning, str]:
        if now.yes_no:
            return self, f"That is no answer here. {now.asks}"
        if now.options and not (value == int(value) and 1 <= value <= len(now.options)):
            return self, f"There is no number {value:g}: say 1 to {len(now.options)}."
        if "10 cm" in now.name and not 0 < value <= _MOST_LOOPS:
            return self, f"{value:g} cannot be: it is between 1 and {_MOST_LOOPS:g}."
        if now.name == "ball" and (value != int(value) or value < 1):
            return self, "Say the loops of one ball as a whole number, or no."
        spec = next((s for s in self._measures if s.label == now.name), None)
        cm = value * self.unit.cm
        if spec is not None and not spec.low <= cm <= spec.high:
            low, high = (f"{bound / self.unit.cm:.0f}" for bound in (spec.low, spec.high))
            return self, f"{spec.label} is between {low} and {high} {self.unit}, not {value:g}."
        return self._with(value)

    @property
    def _design(self) -> str:
        return list(DESIGNS)[int(dict(self.answers)["design"]) - 1]

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

    def _questions(self) -> list[Question]:
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
                f"{spec.label}, in {_UNITS[self.unit]}? Usually {usual:g}: say yes, or the number."
            )
            found.append(Question(name=spec.label, asks=asks, usual=usual))
        gauge = read_gauge(usual_gauge(self._design))
        for what, side in (("loops", gauge.loops_per_10cm), ("rows", gauge.rows_per_10cm)):
            asks = f"How many {what} in 10 cm? Usually {side:g}: say yes, or the number."
            found.append(Question(name=f"{what} in 10 cm", asks=asks, usual=side))
        if len(info.crafts) > 1:
            crafts = tuple(
                f"{craft} yarn" if craft is Craft.LOOP else "needles" for craft in info.crafts
            )
            found.append(Question(name="craft", asks="In what craft?", options=crafts))
        asks = "How many loops are in one ball? Say no if you do not know."
        found.append(Question(name="ball", asks=asks, may_be_unknown=True))
        if all(one.name in given for one in found):
            found.append(Question(name="begin", asks=self._outlook(), yes_no=True))
        return found

    def _outlook(self) -> str:
        try:
            plan = self.plan()
            script = script_for(plan)
        except Refusal as refusal:
            return str(refusal)
        size = f", size {plan.size}" if plan.size else ""
        loops = counted(script.yarn_loops, plan.craft)
        return f"{plan.title}{size}: {loops} of yarn. Begin it?"
