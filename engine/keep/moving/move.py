"""A make of the first release moved over: script and tails put where they belong."""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pydantic import ValidationError

from engine.advise.replan import after_ripping, kept_tail, replanned
from engine.base.refusal import Refusal
from engine.keep.moving import first
from engine.make import progress
from engine.make.trail import Trail
from engine.plan import planning, written
from models.event import EVENT, Advanced, Event, Planning, Replanned, Undone
from models.plan import Begun, Plan
from models.script import RowScript
from models.state import MakeState


class Bare(NamedTuple):
    """A make as the first release kept it, wholly or from some event on; all JSON text."""

    plan: str
    script: str | None
    """In its kept form, where there is one."""
    bodies: Sequence[str]


class Moved(NamedTuple):
    """A make with everything that its journal should hold."""

    script: str
    bodies: tuple[str, ...]
    doubt: str = ""
    """What does not fit, a clause; empty where all is as it was."""


class _Made(NamedTuple):
    script: RowScript
    edition: str


def lacking(bodies: Iterable[str]) -> bool:
    """Whether an event among these planned anew and does not say what came of it."""
    return any(_lacks(body) for body in bodies)


def _lacks(body: str) -> bool:
    if not any(f'"{kind}"' in body for kind in ("measured", "more rows", "replanned")):
        return False
    event = EVENT.validate_json(body)
    return isinstance(event, Planning) and event.tail is None


def move(
    makes: Sequence[Bare], most_loops: float = math.inf, wait_s: float = first.WAIT_S
) -> list[Moved | Refusal]:
    """Each make moved over, or the reason why it cannot be read.

    `most_loops` bounds the work for each, in loops of all scripts that had to be worked out by
    the designs of this release; `wait_s` the seconds for those that the first release works out.
    """
    old = [make for make in makes if make.script is None]
    answers = iter(first.ask(((make.plan, make.bodies) for make in old), wait_s))
    found: list[Moved | Refusal] = []
    for make in makes:
        answer = next(answers) if make.script is None else None
        move = _Move(make, answer, most_loops)
        try:
            found.append(move.done())
        except Refusal as refusal:
            found.append(refusal)
        except ValidationError as error:
            one = error.errors(include_url=False, include_input=False)[0]
            where = ".".join(map(str, one["loc"])) or "its form"
            found.append(
                Refusal(f"It holds something this version does not know ({where}: {one['msg']}).")
            )
        except (LookupError, ArithmeticError, ValueError, TypeError) as error:
            why = move.doubt or type(error).__name__
            found.append(Refusal(f"Its events do not fit its plan ({why})."))
    return found


class _Move:
    """One make, event by event."""

    def __init__(self, make: Bare, answer: first.Answer | None, most_loops: float) -> None:
        self.make, self.answer, self.left = make, answer, most_loops
        self.doubt = ""

    def done(self) -> Moved:
        if self.make.script is None and self.answer is None and self.make.bodies:
            self._doubt("the release that began it does not run here any more")
        plan = Plan.model_validate_json(self.make.plan)
        begun = Begun(plan=plan, script=self._beginning(plan))
        trail = Trail(begun)
        bodies = list(self.make.bodies)
        for number, body in enumerate(bodies):
            event = EVENT.validate_json(body)
            if isinstance(event, Undone):
                trail.back()
                continue
            self._compare(number, event, trail.state)
            if isinstance(event, Planning) and event.tail is None:
                event = event.model_copy(update={"tail": self._tail(number, event, trail.state)})
                bodies[number] = event.model_dump_json()
            trail.go(event)
        answer, state = self.answer, trail.state
        if answer and (answer.at, answer.yarn) != (state.at, state.yarn_taken):
            self._doubt(
                f"the first release stood on step {answer.at + 1}, it is {state.at + 1} now"
            )
        return Moved(begun.script, tuple(bodies), self.doubt)

    def _beginning(self, plan: Plan) -> str:
        if self.make.script is not None:
            return self.make.script
        if self.answer is None:
            return planning.begun(plan).script
        script = written.script_from(self.answer.script)
        return written.write(script, written.edition_of(script))

    def _tail(self, number: int, event: Planning, state: MakeState) -> str:
        rip_to = event.rip_to_step if isinstance(event, Replanned) else None
        base = state if rip_to is None else after_ripping(state, rip_to)
        if self.answer and number in self.answer.tails:
            worked, data = self.answer.tails[number].worked, self.answer.tails[number].script
            rest = written.script_from(data, worked + 1)
            whole = written.joined(base.script, worked, rest)
            return written.write(whole, written.edition_of(whole), worked)
        if self.left < 0:
            raise Refusal("It is planned anew too often to be worked out.")
        try:
            plan, script = replanned(base, **progress.asked(base, event))
            self.left -= sum(step.loops_after for step in script.steps)
            return kept_tail(base, plan, script)
        except Refusal:
            self._doubt(
                f"event {number + 1} planned anew what this release cannot, and the rows from "
                "there on stand as before"
            )
            return written.write(base.script, base.edition, base.at)

    def _compare(self, number: int, event: Event, state: MakeState) -> None:
        here = state.step.number if state.step else None
        if isinstance(event, Advanced) and event.step != here:
            self._doubt(
                f"event {number + 1} was given on step {event.step}, and the work stands on "
                f"{here or 'the end'} there"
            )

    def _doubt(self, what: str) -> None:
        self.doubt = self.doubt or what
