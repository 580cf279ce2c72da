"""Theory of operation: how a make moves.

A make is how it began and a list of events. It begins with a plan and the row script that was
worked out of it then (`engine.plan.planning.begun`); the events say what the maker did. Where she
stands is a fold:

    state = fold(begun, events)

Nothing else holds state, so that a journal on disk is the whole truth and a lost screen loses
nothing. Two halves meet in the events:

`evolve(state, event)` says what an event does. It never refuses: what was written has happened
(what no make can have written raises). This file owns every transition, and they are all in it.

`decisions.decide(state, command)` asks what a command means here. It answers with a `Reply`:
the events to write, or the sentence that says why not, or the question that must be answered
first. It changes nothing.

Taking back is not an inverse. `Undone` removes the last event that still stands, whatever it
was, and the state is folded again without it; so an undo is exact by construction, and as many
may follow as there are events. Ripping back is different: it is work of its own, an event that
sets the work to the beginning of an earlier row, and can be taken back like any other.

The script itself changes only through events that carry the decided numbers and the steps that
follow from them (`Measured`, `MoreRows`, `Replanned`), never through the judgement that led to
them. So the fold calls no design: one that has changed since cannot change a make, and a re-plan
by it is asked about first (`engine.advise.newer`). The steps already worked never change
(`engine.advise.replan`). The clock is an argument everywhere.
"""

from collections.abc import Iterable
from functools import reduce
from typing import cast

from engine.advise import pace, yarn
from engine.advise.replan import Wishes, planned, ripped
from engine.base.refusal import Refusal
from engine.plan import written
from models.event import (
    Accepted,
    Advanced,
    Dropped,
    Event,
    Finished,
    FitVerdict,
    Measured,
    MoreRows,
    NewBall,
    Noted,
    Paused,
    Planning,
    Repaired,
    Replanned,
    RippedBack,
    Undone,
)
from models.plan import Begun
from models.script import Kind
from models.state import TOO_FEW, Join, MakeState, Mark, Note

LONGEST_GAP = 15 * 60.0
"""Seconds between two events that still count as work; a longer silence was a break."""


def begin(begun: Begun) -> MakeState:
    """The state before the first event. Raises Refusal where its script cannot be read."""
    kept = written.read(begun.script)
    return MakeState(
        plan=begun.plan,
        script=kept.script,
        edition=kept.edition,
        ball_size=begun.plan.ball_loops,
    )


def standing(events: Iterable[Event]) -> list[Event]:
    """The events that have not been taken back."""
    kept: list[Event] = []
    for event in events:
        if not isinstance(event, Undone):
            kept.append(event)
        elif kept:
            kept.pop()
    return kept


def fold(begun: Begun, events: Iterable[Event]) -> MakeState:
    """Where a make stands after these events.

    Raises Refusal where a script cannot be read, or events were never of this make.
    """
    try:
        return reduce(evolve, standing(events), begin(begun))
    except (LookupError, ArithmeticError) as error:
        raise Refusal("Its events do not fit its rows.") from error


def evolve(state: MakeState, event: Event) -> MakeState:
    """The state after one event. `Undone` is the fold's business and does not come here."""
    change = _clock(state, event)
    match event:
        case Advanced():
            change |= _past_step(state, event.at, change)
        case Dropped(loop=loop):
            change["marks"] = (*state.marks, marked(state, event.step, loop))
        case Repaired(mark=number):
            change["marks"] = tuple(m for m in state.marks if m.number != number)
        case Accepted(mark=number):
            change["marks"] = tuple(
                m.model_copy(update={"open": False}) if m.number == number else m
                for m in state.marks
            )
        case RippedBack(to_step=number):
            _worked(state, number)
            change |= _began(ripped(state, number), event.at, change)
        case Measured(done=done):
            change |= _planned(state, event)
            change["measured"] = (event.step, event.cm)
            if event.too_long:
                change["verdicts"] = {**state.verdicts, event.step: "too long"}
            if done:
                change |= _past_step(state, event.at, change)
        case MoreRows():
            change |= _planned(state, event)
        case Replanned():
            change |= _replanned(state, event, change)
        case FitVerdict(verdict=verdict):
            change["verdicts"] = {**state.verdicts, event.step: verdict}
            if event.balls is not None:
                change["balls_had"] = event.balls
            if verdict == "fits" or (verdict == "as it is" and _was_asked(state)):
                change |= _past_step(state, event.at, change)
        case NewBall():
            change |= _joined(state, event)
        case Paused():
            change["paused"] = True
        case Noted(at=at, text=text, seconds=seconds):
            here = state.step.number if state.step else len(state.script.steps)
            note = Note(step=here, at=at, text=text, seconds=seconds)
            change["notes"] = (*state.notes, note)
        case Finished():
            change["closed"] = True
        case _:
            pass
    return state.model_copy(update=change)


def ends_break(event: Event) -> bool:
    """Whether the hands are at work again by this."""
    return not isinstance(event, Paused | Noted)


def _clock(state: MakeState, event: Event) -> dict[str, object]:
    """What the event's time alone changes."""
    silence = max(0.0, event.at - state.last_at) if state.last_at else 0.0
    elapsed = state.elapsed if state.paused else state.elapsed + min(silence, LONGEST_GAP)
    change: dict[str, object] = {"elapsed": elapsed, "last_at": event.at}
    if silence >= (pace.LONG_REST if state.paused else LONGEST_GAP):
        change["rested_at"] = elapsed
    if ends_break(event):
        change["paused"] = False
    if state.step_began is None:
        change |= {"step_began": event.at, "step_began_at": elapsed}
    return change


def _began(change: dict[str, object], now: float, clock: dict[str, object]) -> dict[str, object]:
    """That change, with another step in work from now on."""
    return {**change, "step_began": now, "step_began_at": clock["elapsed"]}


def _past_step(state: MakeState, now: float, clock: dict[str, object]) -> dict[str, object]:
    pulled = state.step.yarn_loops if state.step else 0
    change: dict[str, object] = {
        "at": min(state.at + 1, len(state.script.steps)),
        "ball_used": state.ball_used + pulled,
        "step_paces": pace.with_step(state, cast(float, clock["elapsed"])),
    }
    return _began(change, now, clock)


def _joined(state: MakeState, event: NewBall) -> dict[str, object]:
    # Two loops end the old ball and two begin the new one; what the old ball already gave of the
    # step in work does not come from the new one.
    join = Join(
        step=state.step.number if state.step else len(state.script.steps),
        ball_used=state.ball_used,
        ball_size=state.ball_size,
        pulled=event.pulled,
        ends=2 * yarn.END,
    )
    return {
        "balls": state.balls + 1,
        "joins": (*state.joins, join),
        "ball_size": event.loops if event.loops is not None else state.plan.ball_loops,
        "ball_used": yarn.END - event.pulled,
    }


def _was_asked(state: MakeState) -> bool:
    """Whether the verdict in work is the step's own: a try-on's, or a tape's that is too long."""
    if state.open_verdict == TOO_FEW:
        return False
    tried_on = state.step is not None and state.step.kind is Kind.FIT_CHECK
    return tried_on or state.open_verdict == "too long"


def _replanned(state: MakeState, event: Replanned, clock: dict[str, object]) -> dict[str, object]:
    change: dict[str, object] = {}
    if event.rip_to_step is not None:
        _worked(state, event.rip_to_step)
        change = _began(ripped(state, event.rip_to_step), event.at, clock)
        state = state.model_copy(update=change)
    change |= _planned(state, event)
    if event.settles and state.step:
        here = state.step.number
        change["verdicts"] = {n: v for n, v in state.verdicts.items() if n != here}
    if event.done:
        change |= _past_step(state, event.at, clock)
    return change


def _worked(state: MakeState, number: int) -> None:
    """Raises LookupError for a step that the work has not come to: no make has such an event."""
    if number > state.at + 1:
        raise LookupError(number)


def marked(state: MakeState, number: int, loop: int | None) -> Mark:
    """The mark that a loop dropped in step `number` gets."""
    step = state.script.steps[number - 1]
    count = max((m.number for m in state.marks), default=0) + 1
    return Mark(number=count, step=number, part=step.part, row=step.row, loop=loop)


def _planned(state: MakeState, event: Planning) -> dict[str, object]:
    if event.tail is None:
        raise Refusal(
            "This was planned anew by the first release, which did not keep the rows that came of "
            "it: open the make from its journal, where they are found again."
        )
    kept = written.read(event.tail)
    return {
        "plan": planned(state, **asked(state, event)),
        "script": written.joined(state.script, state.at, kept.script),
        "edition": kept.edition,
    }


def asked(state: MakeState, event: Planning) -> Wishes:
    """What an event that plans anew asks of the plan, with the work standing as in `state`."""
    match event:
        case Measured():
            rows = {**event.kept, event.lead: event.rows}
            true = event.rows_per_10cm
            gauge = None if true is None else (state.plan.gauge.loops_per_10cm, true)
            return {"rows": rows, "counts": event.counts, "gauge": gauge}
        case MoreRows():
            return {"rows": {event.lead: event.rows}}
        case Replanned():
            return {
                "rows": event.rows,
                "measures": event.measures,
                "counts": event.counts,
                "gauge": event.gauge,
                "size": event.size,
            }
