"""What a command means where the work stands: one table, the decisions by kind beside it.

A decision changes nothing. It answers with a `Reply`: the events to write (what they do is
`progress.evolve`'s alone), or why not, or the question that must be answered first.
"""

from collections.abc import Callable
from typing import Unpack

from engine.advise import midway, newer
from engine.advise.replan import Wishes
from engine.base.refusal import Refusal
from engine.make import answers
from engine.make.decisions import fit, marks, sitting, steps, tape
from engine.make.decisions.replies import asked, refused, written
from engine.make.progress import ends_break, evolve
from models.command import Action, Command
from models.event import Event, Undone
from models.state import MakeState, Reply, Tone

Decision = Callable[[MakeState, Command, float, bool], Reply]
"""Of the state, the command, the time in POSIX seconds, and whether a yes was given to it."""

_DECISIONS: dict[Action, Decision] = {
    Action.ADVANCE: steps.advance,
    Action.TAKE_BACK: steps.take_back,
    Action.RIP_BACK: steps.rip_back,
    Action.DROPPED: marks.dropped,
    Action.REPAIRED: marks.settle,
    Action.ACCEPT: marks.settle,
    Action.MEASURED: tape.measured,
    Action.ACROSS: tape.across,
    Action.MORE_ROWS: tape.more_rows,
    Action.FITS: fit.fit,
    Action.TOO_TIGHT: fit.fit,
    Action.TOO_LOOSE: fit.fit,
    Action.TOO_SHORT: fit.fit,
    Action.CHOOSE: fit.choose,
    Action.NEW_BALL: sitting.new_ball,
    Action.ONLY_BALLS: fit.only_balls,
    Action.PAUSE: sitting.pause,
    Action.RESUME: sitting.resume,
    Action.NOTE: sitting.note,
    Action.FINISH: sitting.finish,
    Action.WHERE: sitting.where,
}


def decide(state: MakeState, command: Command, now: float, *, confirmed: bool = False) -> Reply:
    """What a command comes to, given where the work stands. `now` in POSIX seconds.

    An action that moves nothing and has no decision of its own is answered by the instruction.
    """
    try:
        decision = _DECISIONS.get(command.action, sitting.say_again)
        outcome = decision(state, command, now, confirmed)
        if not confirmed and any(newer.brings_in(state, event) for event in outcome.events):
            return asked(f"{newer_told(state)} This would bring that in. Do it?", command)
        return _break_over(state, outcome)
    except Refusal as refusal:
        return refused(str(refusal))


def _ends_break(event: Event) -> bool:
    return ends_break(event) and not isinstance(event, Undone)  # which may undo anything


def _break_over(state: MakeState, outcome: Reply) -> Reply:
    """The same, saying that it ends her break, where it does."""
    if not state.paused or not any(map(_ends_break, outcome.events)):
        return outcome
    return outcome.model_copy(update={"say": f"The break is over. {outcome.say}"})


def renew(state: MakeState, now: float, *, confirmed: bool = False) -> Reply:
    """Have what is still to come worked out anew, as the design is now. `now` in POSIX seconds.

    The question says what would change.
    """
    try:
        event = newer.renewed(state, now)
    except Refusal as refusal:
        return refused(str(refusal))
    if not confirmed:
        say = f"{newer_told(state)} Change it from here?"
        return Reply(taken=True, say=say, tone=Tone.ASK)
    return written(answers.say(evolve(state, event)), event)


def change(
    state: MakeState, why: str, now: float, *, confirmed: bool = False, **wishes: Unpack[Wishes]
) -> Reply:
    """Plan what is still to come by another gauge, size or measurement. `now` in POSIX seconds.

    `why` is what changes, a clause for the journal. The question says what it means.
    """
    try:
        found = midway.of(state, why, now, **wishes)
    except Refusal as refusal:
        return refused(str(refusal))
    if not confirmed:
        brings = newer.brings_in(state, found.event)
        also = f" {newer_told(state)} This would bring that in." if brings else ""
        say = f"{answers.midway(found, state)}{also} Change it from here?"
        return Reply(taken=True, say=say, tone=Tone.ASK)
    after = evolve(state, found.event)
    return _break_over(
        state, written(f"{answers.capitalised(why)}. {answers.say(after)}", found.event)
    )


def newer_told(state: MakeState) -> str:
    """That a newer edition of the design would change what is to come; empty where none would."""
    found = newer.of(state)
    return answers.newer(found, state) if found else ""
