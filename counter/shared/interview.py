"""Questions one after the other, each answered by a number, a yes or a no.

Sans-I/O: an `Interview` is a value, and hearing a command makes the next one. The app shows the
question, `plain` reads it out. What is not understood, or does not fit, is said with why, and the
question stays.
"""

from __future__ import annotations

from typing import Self

from counter.shared.settings import Unit
from engine.base.numbers import length, number
from engine.base.refusal import Refusal
from engine.words.vocabulary import word
from models.command import Action, Command, Context
from models.frozen import Frozen
from models.plan import MeasureSpec

UNITS = {Unit.CM: "centimetres", Unit.INCH: "inches"}
MOST_LOOPS = 100.0
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
    details: tuple[str, ...] = ()
    """What is to be read before one answers, a line each; it is not spoken."""
    length: bool = False
    """A length, which may bring its unit; other numbers have none."""
    yes_no: bool = False
    may_be_unknown: bool = False
    """A no means that she does not know, or that there is none; it counts as 0."""
    nothing: str = "not known"
    """How a 0 is shown."""

    @property
    def context(self) -> Context:
        """What the ears should expect."""
        return Context.YES_NO if self.yes_no else Context.NUMBER

    @property
    def spoken(self) -> str:
        """The question with its options, as one says it.

        A longer pause after each option keeps its number with it, and a size that is a number
        itself is called a size: "1, 2, 2, 4" could be anything.
        """
        listed = "; ".join(
            f"{place}, {self.option(place)}" for place in range(1, len(self.options) + 1)
        )
        return f"{self.asks} {listed}." if listed else self.asks

    def option(self, place: int) -> str:
        """The option of a number, as one says it."""
        name = self.options[place - 1]
        return f"{self.name} {name}" if name.isdecimal() else name


class Interview(Frozen):
    """What has been answered so far. One of its own has `questions`, and says what does not fit."""

    unit: Unit = Unit.CM
    answers: tuple[tuple[str, float], ...] = ()
    """By question, in the order in which they were asked; an unknown number is 0."""
    left: bool = False
    """She does not want to do it."""
    done: bool = False
    """All is answered."""

    def questions(self) -> list[Question]:
        """All of them, as far as the answers tell; the last wants a yes."""
        raise NotImplementedError

    def misfit(self, now: Question, value: float) -> str:
        """Why a number is no answer to a question, a sentence; empty where it is one."""
        raise NotImplementedError

    def proven(self) -> None:
        """Raises Refusal where nothing sound comes of the answers, once all are given."""
        raise NotImplementedError

    @property
    def question(self) -> Question:
        """The next question."""
        given = dict(self.answers)
        return next(one for one in self.questions() if one.name not in given)

    @property
    def spoken(self) -> str:
        """The next question as one says it, after the answer that was understood.

        Who does not look at the screen hears so that a number was misheard, and takes it back.
        """
        asked = {one.name: one for one in self.questions()}
        name, value = self.answers[-1] if self.answers else ("", 0.0)
        last = asked.get(name)
        if last is None or value in (last.usual, 0.0):
            return self.question.spoken
        taken = last.option(int(value)) if last.options else f"{value:g}"
        asks = self.question.spoken
        # "What has changed?" "Width." The next question begins with it.
        return asks if asks.startswith(taken) else f"{taken[:1].upper()}{taken[1:]}. {asks}"

    @property
    def told(self) -> tuple[str, ...]:
        """The answers given, a line each: `Design: Cowl`."""
        asked = {one.name: one for one in self.questions()}
        lines = []
        for name, value in self.answers:
            options, nothing = asked[name].options, asked[name].nothing
            shown = options[int(value) - 1] if options else f"{value:g}" if value else nothing
            lines.append(f"{name.capitalize()}: {shown}")
        return tuple(lines)

    def hear(self, command: Command) -> tuple[Self, str]:
        """The interview after a command, and what to say if it does not go on: why not."""
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

    def _with(self, value: float) -> tuple[Self, str]:
        answered = (*self.answers, (self.question.name, value))
        after = self.model_copy(update={"answers": answered})
        if after.question.yes_no:
            try:
                after.proven()
            except Refusal as refusal:
                return self, str(refusal)
        return after, ""

    def _number(self, now: Question, value: float) -> tuple[Self, str]:
        if now.yes_no:
            return self, f"That is no answer here. {now.asks}"
        if now.options and not (value == int(value) and 1 <= value <= len(now.options)):
            return self, f"There is no number {value:g}: say 1 to {len(now.options)}."
        if "10 cm" in now.name and not 0 < value <= MOST_LOOPS:
            return self, f"{value:g} cannot be: it is between 1 and {MOST_LOOPS:g}."
        if why := self.misfit(now, value):
            return self, why
        return self._with(value)


def bounds_told(spec: MeasureSpec, value: float, unit: Unit) -> str:
    """That a measurement is out of its bounds, in the maker's unit; empty where it is not."""
    if spec.low <= value * unit.cm <= spec.high:
        return ""
    low, high = (f"{bound / unit.cm:.0f}" for bound in (spec.low, spec.high))
    return f"{spec.label} is between {low} and {high} {unit}, not {value:g}."


def answer_of(line: str, unit: Unit, now: Question) -> Command:
    """A line typed as an answer: a number, y or n, back. Raises Refusal.

    Nothing typed is a yes to what is usual, and to nothing else: a stray enter begins nothing.
    """
    text = line.strip().casefold()
    for action in (Action.YES, Action.NO, Action.TAKE_BACK):
        if text in {*word(action).keys, action.value}:
            return Command(action=action)
    if not text and now.usual is not None:
        return Command(action=Action.YES)
    if not text and now.yes_no:
        raise Refusal("Type y for yes or n for no.")
    value = length(text).cm(unit.cm) / unit.cm if now.length else number(text)
    return Command(action=Action.MEASURED, value=value)
