"""Theory of operation: how a make moves.

A make is a plan and a list of events. The plan decides a row script (`engine.plan.planning`); the
events say what the maker did. Where she stands is a fold:

    state = fold(plan, events)

Nothing else holds state, so that a journal on disk is the whole truth and a lost screen loses
nothing. This file owns every transition, in two halves that meet in the events:

`decide(state, command)` asks what a command means here. It answers with an `Outcome`: the events
to write, or the sentence that says why not, or the question that must be answered first. It
changes nothing.

`evolve(state, event)` says what an event does. It never refuses: what was written has happened.

Taking back is not an inverse. `Undone` removes the last event that still stands, whatever it
was, and the state is folded again without it; so an undo is exact by construction, and as many
may follow as there are events. Ripping back is different: it is work of its own, an event that
sets the work to the beginning of an earlier row, and can be taken back like any other.

The script itself changes only through events that carry the decided numbers (`Measured`,
`MoreRows`, `Replanned`), never through the judgement that led to them; the steps already worked
never change (`engine.advise.replan`). The clock is an argument everywhere.
"""

from collections.abc import Iterable
from functools import reduce
from typing import cast

from engine.advise import choices, pace, repair, yarn
from engine.advise.choices import decided
from engine.advise.fitting import loops_around, short_part
from engine.advise.replan import (
    BELIEVABLE,
    difference,
    landing,
    lead_of,
    level_group,
    measured,
    replanned,
    ripped,
    rows_of,
)
from engine.base.refusal import Refusal
from engine.make import answers
from engine.plan.planning import script_for
from engine.script import places, wording
from models.command import Action, Command
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
    Repaired,
    Replanned,
    Resumed,
    RippedBack,
    Undone,
)
from models.plan import Plan
from models.script import LOOP_KINDS, Kind
from models.state import Join, MakeState, Mark, Outcome, Tone

LONGEST_GAP = 15 * 60.0
"""Seconds between two events that still count as work; a longer silence was a break."""
NEAR_ENOUGH_ROWS = 1.0
"""A tape within one row of the target is as near as rows can come."""


# --- the fold -----------------------------------------------------------------------------


def begin(plan: Plan) -> MakeState:
    """The state before the first event. Raises Refusal where the plan has no sound script."""
    return MakeState(plan=plan, script=script_for(plan), ball_size=plan.ball_loops)


def standing(events: Iterable[Event]) -> list[Event]:
    """The events that have not been taken back."""
    kept: list[Event] = []
    for event in events:
        if not isinstance(event, Undone):
            kept.append(event)
        elif kept:
            kept.pop()
    return kept


def fold(plan: Plan, events: Iterable[Event]) -> MakeState:
    """Where a make stands after these events."""
    return reduce(evolve, standing(events), begin(plan))


def evolve(state: MakeState, event: Event) -> MakeState:
    """The state after one event. `Undone` is the fold's business and does not come here."""
    change = _clock(state, event)
    match event:
        case Advanced():
            change |= _past_step(state, event.at, change)
        case Dropped(loop=loop):
            change["marks"] = (*state.marks, _mark(state, event.step, loop))
        case Repaired(mark=number):
            change["marks"] = tuple(m for m in state.marks if m.number != number)
        case Accepted(mark=number):
            change["marks"] = tuple(
                m.model_copy(update={"open": False}) if m.number == number else m
                for m in state.marks
            )
        case RippedBack(to_step=number):
            change |= _began(ripped(state, number), event.at, change)
        case Measured(done=done):
            change |= _with(
                state,
                rows={**event.kept, event.lead: event.rows},
                counts=event.counts,
                gauge=_with_rows_per_10cm(state, event.rows_per_10cm),
            )
            change["measured"] = (event.step, event.cm)
            if event.too_long:
                change["verdicts"] = {**state.verdicts, event.step: "too long"}
            if done:
                change |= _past_step(state, event.at, change)
        case MoreRows(lead=lead, rows=rows):
            change |= _with(state, rows={lead: rows})
        case Replanned():
            change |= _replanned(state, event, change)
        case FitVerdict(verdict=verdict):
            change["verdicts"] = {**state.verdicts, event.step: verdict}
            if verdict == "fits":
                change |= _past_step(state, event.at, change)
        case NewBall():
            change |= _joined(state, event)
        case Paused():
            change["paused"] = True
        case Noted(text=text):
            here = state.step.number if state.step else len(state.script.steps)
            change["notes"] = (*state.notes, (here, text))
        case Finished():
            change["closed"] = True
        case _:
            pass
    return state.model_copy(update=change)


def _clock(state: MakeState, event: Event) -> dict[str, object]:
    """What the event's time alone changes."""
    silence = max(0.0, event.at - state.last_at) if state.last_at else 0.0
    elapsed = state.elapsed if state.paused else state.elapsed + min(silence, LONGEST_GAP)
    change: dict[str, object] = {"elapsed": elapsed, "last_at": event.at}
    if silence >= (pace.LONG_REST if state.paused else LONGEST_GAP):
        change["rested_at"] = elapsed
    if not isinstance(event, Paused | Noted):
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
        "yarn_used": state.yarn_used + pulled,
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
        ends=2 * yarn.END,
    )
    return {
        "balls": state.balls + 1,
        "joins": (*state.joins, join),
        "ball_size": event.loops if event.loops is not None else state.plan.ball_loops,
        "ball_used": yarn.END - event.pulled,
        "yarn_used": state.yarn_used + 2 * yarn.END,
    }


def _replanned(state: MakeState, event: Replanned, clock: dict[str, object]) -> dict[str, object]:
    change: dict[str, object] = {}
    if event.rip_to_step is not None:
        change = _began(ripped(state, event.rip_to_step), event.at, clock)
        state = state.model_copy(update=change)
    change |= _with(
        state,
        rows=event.rows,
        measures=event.measures,
        counts=event.counts,
        gauge=event.gauge,
        size=event.size,
    )
    if event.done:
        change |= _past_step(state, event.at, clock)
    return change


def _mark(state: MakeState, number: int, loop: int | None) -> Mark:
    step = state.script.steps[number - 1]
    count = max((m.number for m in state.marks), default=0) + 1
    return Mark(number=count, step=number, part=step.part, row=step.row, loop=loop)


def _with(
    state: MakeState,
    *,
    rows: dict[str, int],
    measures: dict[str, float] | None = None,
    counts: dict[str, int] | None = None,
    gauge: tuple[float, float] | None = None,
    size: str | None = None,
) -> dict[str, object]:
    plan, script = replanned(
        state, rows=rows, measures=measures, counts=counts, gauge=gauge, size=size
    )
    return {"plan": plan, "script": script}


def _with_rows_per_10cm(state: MakeState, rows: float | None) -> tuple[float, float] | None:
    return None if rows is None else (state.plan.gauge.loops_per_10cm, rows)


# --- the decisions ------------------------------------------------------------------------


def decide(state: MakeState, command: Command, now: float, *, confirmed: bool = False) -> Outcome:
    """What a command comes to, given where the work stands. `now` in POSIX seconds."""
    try:
        return _decide(state, command, now, confirmed)
    except Refusal as refusal:
        return refused(str(refusal))


def refused(why: str) -> Outcome:
    """An outcome that changes nothing and says why."""
    return Outcome(taken=False, say=why, tone=Tone.REFUSED)


def answer(say: str) -> Outcome:
    """An outcome that only says something."""
    return Outcome(taken=True, say=say, tone=Tone.ANSWER)


def _decide(state: MakeState, command: Command, now: float, confirmed: bool) -> Outcome:
    match command.action:
        case Action.ADVANCE:
            return _advance(state, now)
        case Action.TAKE_BACK:
            return Outcome(
                taken=True, say="Taken back.", tone=Tone.TAKE_BACK, events=(Undone(at=now),)
            )
        case Action.DROPPED:
            return _dropped(state, command, now)
        case Action.REPAIRED | Action.ACCEPT:
            return _settle_mark(state, command, now, confirmed)
        case Action.RIP_BACK:
            return _rip_back(state, command, now, confirmed)
        case Action.MEASURED:
            return _measured(state, command, now)
        case Action.MORE_ROWS:
            return _more_rows(state, command, now)
        case Action.FITS | Action.TOO_TIGHT | Action.TOO_LOOSE | Action.TOO_SHORT:
            return _fit(state, command, now)
        case Action.CHOOSE:
            return _choose(state, command, now, confirmed)
        case Action.NEW_BALL:
            return _new_ball(state, command, now)
        case Action.PAUSE:
            if state.paused:
                return refused("The work already rests.")
            return _mark_made("The work rests. Stretch your hands.", Paused(at=now))
        case Action.RESUME:
            if not state.paused:
                return refused("The work is already in hand.")
            return _mark_made(answers.say(state), Resumed(at=now))
        case Action.NOTE:
            if not (command.text or "").strip():
                return refused("A note needs some words: type it at the keyboard.")
            return _mark_made("Noted.", Noted(at=now, text=(command.text or "").strip()))
        case Action.FINISH:
            if state.done:
                return refused("The make is already done.")
            if not confirmed:
                return _ask("Close this make before its end?", command)
            return _mark_made("The make is closed.", Finished(at=now))
        case Action.WHERE:
            return answer(answers.where(state))
        case _:
            return answer(answers.say(state))


def _mark_made(say: str, event: Event) -> Outcome:
    return Outcome(taken=True, say=say, tone=Tone.MARK, events=(event,))


def _ask(question: str, command: Command) -> Outcome:
    return Outcome(taken=True, say=question, tone=Tone.ASK, asks=command)


def _whole(command: Command) -> int:
    if command.value is None or command.value < 1 or command.value != int(command.value):
        raise Refusal(f"{command.action.value.capitalize()} wants a whole number of 1 or more.")
    return int(command.value)


def _advance(state: MakeState, now: float) -> Outcome:
    step = state.step
    if step is None or state.closed:
        return refused("The make is done: there is no further step.")
    marks = [m for m in state.open_marks if m.part == step.part]
    if marks and answers.ends_part(state.script, state.at):
        return refused(
            f"A loop is still open at {places.mark_place(marks[-1], state.plan.craft)}: mend it "
            "and say 'repaired', or say 'accept mark'."
        )
    event: Event = Advanced(at=now, step=step.number)
    if step.kind is Kind.FIT_CHECK:
        event = FitVerdict(at=now, step=step.number, verdict="fits")
    after = answers.next_step(state)
    return Outcome(
        taken=True,
        say=after.spoken if after else "That was the last step. The make is done.",
        tone=Tone.ADVANCE,
        events=(event,),
    )


def _dropped(state: MakeState, command: Command, now: float) -> Outcome:
    step = state.step
    if step is None or step.loops_before + step.loops_after == 0:
        return refused("There are no live loops here to drop.")
    loop = None if command.value is None else _whole(command)
    there = max(step.loops_before, step.loops_after)
    if loop is not None and loop > there:
        return refused(
            f"This row has {wording.counted(there, state.plan.craft)}: there is no number {loop}."
        )
    # A mark made during a look or a measurement belongs to the last row worked.
    number = step.number
    while number > 1 and state.script.steps[number - 1].kind not in LOOP_KINDS:
        number -= 1
    event = Dropped(at=now, step=number, loop=loop)
    mark = _mark(state, number, loop)
    return _mark_made(answers.marked(repair.advise(state, mark), state), event)


def _settle_mark(state: MakeState, command: Command, now: float, confirmed: bool) -> Outcome:
    if not state.open_marks:
        return refused("No mark is open.")
    mark = state.open_marks[-1]
    place = places.mark_place(mark, state.plan.craft)
    if command.action is Action.REPAIRED:
        return _mark_made(f"Repaired at {place}.", Repaired(at=now, mark=mark.number))
    if not confirmed:
        return _ask(f"Leave the loop at {place} as it is?", command)
    return _mark_made(f"Left as it is at {place}.", Accepted(at=now, mark=mark.number))


def _rip_back(state: MakeState, command: Command, now: float, confirmed: bool) -> Outcome:
    rows = _whole(command)
    worked = [step for step in state.script.steps[: state.at] if step.kind in LOOP_KINDS]
    if not worked:
        return refused("Nothing is worked yet, so there is nothing to rip back.")
    if rows > len(worked):
        return refused(f"Only {len(worked)} rows are worked: rip back at most that many.")
    target = worked[-rows]
    if not confirmed:
        there = landing(state, target.number, places.start_of(target))
        return _ask(
            f"Rip back {rows} {'row' if rows == 1 else 'rows'} "
            f"({wording.counted(there.freed, state.plan.craft)}), to {there.place}: "
            f"{answers.standing(there, state)}?",
            command,
        )
    return Outcome(
        taken=True,
        say=f"Ripped back. {target.spoken}",
        tone=Tone.TAKE_BACK,
        events=(RippedBack(at=now, to_step=target.number),),
    )


def _measured(state: MakeState, command: Command, now: float) -> Outcome:
    step, cm = state.step, command.value
    if cm is None or not 0 < cm < 1000:
        return refused("Say what the tape shows, as in 'measured thirty one'.")
    if step is None or state.done:
        return refused("The make is done.")
    if step.kind is Kind.FIT_CHECK and (loops := loops_around(state)):
        return _measured_across(state, cm, loops, now)
    tape = measured(state, cm)
    numbers = decided(state.plan, tape.plan, now, "")
    event = Measured(
        at=now,
        step=step.number,
        cm=cm,
        lead=tape.lead,
        rows=tape.rows,
        rows_per_10cm=tape.rows_per_cm * 10 if tape.adopted else None,
        kept={part: count for part, count in numbers.rows.items() if part != tape.lead},
        counts=numbers.counts,
    )
    changed = answers.changed(difference(state, tape.script), state)
    if step.kind is not Kind.MEASURE:
        return _mark_made(
            f"{cm:g} cm: {tape.rows} rows in all at your {tape.rows_per_cm * 10:.1f} rows per "
            f"10 cm. {changed}",
            event,
        )
    more = tape.rows - rows_of(state.script, tape.lead)
    over = (cm - tape.target_cm) * tape.rows_per_cm
    if more > 0:
        say = f"{cm:g} cm: work {more} more {'row' if more == 1 else 'rows'}. {changed}"
    elif over > NEAR_ENOUGH_ROWS:
        event = event.model_copy(update={"too_long": True})
        there = choices.of(evolve(state, event), now)
        say = f"{cm:g} cm is {over:.1f} rows too long. {answers.choices(there, state)}"
    else:
        event = event.model_copy(update={"done": True})
        after = answers.next_step(state)
        say = f"{cm:g} cm is right. {after.spoken if after else ''}".strip()
    return _mark_made(say, event)


def _measured_across(state: MakeState, cm: float, loops: int, now: float) -> Outcome:
    """A tape across all loops at a fit check: the true loop gauge, for all that is to come."""
    planned = loops / state.plan.gauge.loops_per_cm
    if not planned / BELIEVABLE <= cm <= planned * BELIEVABLE:
        return refused(
            f"{cm:g} cm across {wording.counted(loops, state.plan.craft)} cannot be: by the plan "
            f"it is about {planned:.0f} cm, so measure again."
        )
    gauge = (loops * 10 / cm, state.plan.gauge.rows_per_10cm)
    plan, script = replanned(state, gauge=gauge)
    return _mark_made(
        f"{cm:g} cm across {wording.counted(loops, plan.craft)}: {gauge[0]:.1f} per 10 cm. "
        f"{answers.measures(plan, script)} {answers.changed(difference(state, script), state)}",
        decided(state.plan, plan, now, f"{cm:g} cm across"),
    )


def _more_rows(state: MakeState, command: Command, now: float) -> Outcome:
    more, step = _whole(command), state.step
    if step is None or rows_of(state.script, step.part) == 0:
        return refused("This part has no rows to add to.")
    lead = lead_of(state.script, step.part)
    _, script = replanned(state, rows={lead: rows_of(state.script, lead) + more})
    rows = rows_of(script, lead)
    group = answers.listed(level_group(state.script, step.part))
    return _mark_made(
        f"{rows} rows in all in the {group}. {answers.changed(difference(state, script), state)}",
        MoreRows(at=now, lead=lead, rows=rows),
    )


def _fit(state: MakeState, command: Command, now: float) -> Outcome:
    step, verdict = state.step, command.action.value
    if step is None or state.done:
        return refused("The make is done.")
    if command.action is Action.TOO_SHORT:
        if short_part(state) is None:
            return refused("Nothing is worked yet that could reach anywhere.")
    elif step.kind is not Kind.FIT_CHECK:
        return refused("There is nothing to try on at this step.")
    if command.action is Action.FITS:
        return _advance(state, now)
    event = FitVerdict.model_validate({"at": now, "step": step.number, "verdict": verdict})
    there = choices.of(evolve(state, event), now)
    head = f"{verdict.capitalize()}."
    if not there:
        return _mark_made(f"{head} Nothing can be changed any more but by ripping back.", event)
    return _mark_made(f"{head} {answers.choices(there, state)}", event)


def _choose(state: MakeState, command: Command, now: float, confirmed: bool) -> Outcome:
    number, there = _whole(command), choices.of(state, now)
    if not there:
        return refused("There is nothing to choose between here.")
    if number > len(there):
        return refused(f"There are {len(there)} choices: {answers.choices(there, state)}")
    choice = there[number - 1]
    if choice.event is None:
        return answer(f"{answers.capitalised(choice.does)}. {choice.then}")
    if choice.confirm and not confirmed:
        return _ask(f"{answers.choice(choice, state)} Do it?", command)
    after = evolve(state, choice.event)
    return _mark_made(f"{answers.capitalised(choice.does)}. {answers.say(after)}", choice.event)


def _new_ball(state: MakeState, command: Command, now: float) -> Outcome:
    said = None if command.value is None else _whole(command)
    joined = yarn.joined(state, said)
    event = NewBall(at=now, loops=joined.loops, pulled=joined.pulled)
    return _mark_made(answers.new_ball(state, joined, yarn.forecast(evolve(state, event))), event)
