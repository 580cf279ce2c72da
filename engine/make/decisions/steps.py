"""Going on and going back: a step done, rows ripped out, the last action taken back."""

from engine.advise import choices, pace
from engine.advise.replan import landing
from engine.base.plural import some
from engine.make import answers, progress
from engine.make.decisions.replies import asked, refused, whole
from engine.script import places, wording
from models.command import Command
from models.event import Advanced, Event, FitVerdict, RippedBack, Undone
from models.script import LOOP_KINDS, Kind, Step
from models.state import MakeState, Reply, Tone


def advance(state: MakeState, command: Command, now: float, confirmed: bool) -> Reply:
    """The step is done; but for the tape, a try-on, a choice and an open mark, which hold it."""
    if command.value is not None:
        return _rows_done(state, command, now, confirmed)
    step = state.step
    if step is None or state.closed:
        return refused("The make is done: there is no further step.")
    if held := _held(state, step, now):
        return refused(held)
    asks = step.kind in {Kind.MEASURE, Kind.FIT_CHECK}
    if asks and not confirmed:
        return Reply(taken=False, say=_skip(step), tone=Tone.ASK, asks=command)
    event = Advanced(at=now, step=step.number, part=step.part, row=step.row, skipped=asks)
    return _past(state, event)


_MANY_ROWS = 6
"""So many rows at once are asked about, however long ago the last one was."""


def _rows_done(state: MakeState, command: Command, now: float, confirmed: bool) -> Reply:
    """So many rows were worked before she spoke: all of them are counted, or none is."""
    rows, after = whole(command), state
    events: list[Event] = []
    while len(events) < rows:
        step = after.step
        if step is None or after.done or step.kind not in LOOP_KINDS or _held(after, step, now):
            return refused(_too_many(rows, len(events), after))
        event = Advanced(at=now, step=step.number, part=step.part, row=step.row)
        events.append(event)
        after = progress.evolve(after, event)
    worked = state.script.steps[state.at : state.at + rows]
    least = pace.FASTEST * sum(map(pace.handled, worked))
    quick = state.step_began is None or now - state.step_began < least
    if not confirmed and (rows > _MANY_ROWS or quick):
        return asked(f"{some(rows, 'row')} at once, to {places.part_place(worked[-1])}?", command)
    return Reply(
        taken=True,
        say=answers.say(after),
        tone=Tone.ADVANCE,
        events=tuple(events),
    )


def _too_many(rows: int, there: int, after: MakeState) -> str:
    what = answers.say(after) or "there is no further step"
    if not there:
        return f"No row can be done here: {what}"
    return f"Only {some(there, 'row')} can be done, not {rows}, and none was counted; then: {what}"


def fits(state: MakeState, step: Step, now: float) -> Reply:
    """The fit check is good."""
    return _past(state, FitVerdict(at=now, step=step.number, verdict="fits"))


def _past(state: MakeState, event: Event) -> Reply:
    after = answers.next_step(state)
    return Reply(
        taken=True,
        say=answers.told(after, state) or "That was the last step. The make is done.",
        tone=Tone.ADVANCE,
        events=(event,),
    )


def _held(state: MakeState, step: Step, now: float) -> str:
    """What must be settled before the step can be done, a sentence; empty for nothing."""
    if state.open_verdict:
        return f"Choose first. {answers.choices(choices.of(state, now), state)}"
    ends = answers.ends_part(state.script, state.at)
    looks = step.kind is Kind.BACK_CHECK
    marks = [m for m in state.open_marks if looks or (ends and m.part == step.part)]
    if not marks:
        return ""
    return (
        f"A loop is still open at {places.mark_place(marks[-1], state.plan.craft)}: mend it "
        "and say 'repaired', or say 'accept mark'."
    )


def _skip(step: Step) -> str:
    if step.kind is Kind.MEASURE:
        return f"{answers.wanted(step)} Go on without measuring?"
    return "Try it on first, and say how it fits. Go on without trying it on?"


def rip_back(state: MakeState, command: Command, now: float, confirmed: bool) -> Reply:
    """Rip out so many rows, after a yes."""
    rows = whole(command)
    worked = [step for step in state.script.steps[: state.at] if step.kind in LOOP_KINDS]
    if not worked:
        return refused("Nothing is worked yet, so there is nothing to rip back.")
    if rows > len(worked):
        return refused(f"Only {len(worked)} rows are worked: rip back at most that many.")
    target = worked[-rows]
    if not confirmed:
        there = landing(state, target.number, places.start_of(target))
        return asked(
            f"Rip back {some(rows, 'row')} "
            f"({wording.counted(there.freed, state.plan.craft)}), to {there.place}: "
            f"{answers.standing(there, state)}?",
            command,
        )
    return Reply(
        taken=True,
        say=f"Ripped back. {answers.come_back_to(target, state)}",
        tone=Tone.TAKE_BACK,
        events=(RippedBack(at=now, to_step=target.number),),
    )


def take_back(_state: MakeState, _command: Command, now: float, _confirmed: bool) -> Reply:
    """Undo the last action; what that was only the journal's keeper knows."""
    return Reply(taken=True, say="Taken back.", tone=Tone.TAKE_BACK, events=(Undone(at=now),))
