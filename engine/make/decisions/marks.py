"""Dropped loops: marked, mended, left."""

from engine.advise import repair
from engine.make import answers, progress
from engine.make.decisions.replies import asked, refused, whole, written
from engine.script import places, wording
from models.command import Action, Command
from models.event import Accepted, Dropped, Repaired
from models.script import LOOP_KINDS
from models.state import MakeState, Reply


def dropped(state: MakeState, command: Command, now: float, _confirmed: bool) -> Reply:
    """Mark a dropped loop in the row in work."""
    step = state.step
    if step is None or step.loops_before + step.loops_after == 0:
        return refused("There are no loops in work here to drop.")
    loop = None if command.value is None else whole(command)
    there = step.reached
    if loop is not None and loop > there:
        return refused(
            f"This row has {wording.counted(there, state.plan.craft)}: there is no number {loop}."
        )
    # A mark made during a look or a measurement belongs to the last row worked.
    number = step.number
    while number > 1 and state.script.steps[number - 1].kind not in LOOP_KINDS:
        number -= 1
    event = Dropped(at=now, step=number, loop=loop)
    mark = progress.marked(state, number, loop)
    return written(answers.marked(repair.advise(state, mark), state), event)


def settle(state: MakeState, command: Command, now: float, confirmed: bool) -> Reply:
    """The last open mark is mended, or left as it is after a yes."""
    if not state.open_marks:
        return refused("No mark is open.")
    mark = state.open_marks[-1]
    place = places.mark_place(mark, state.plan.craft)
    if command.action is Action.REPAIRED:
        return written(f"Repaired at {place}.", Repaired(at=now, mark=mark.number))
    if not confirmed:
        return asked(f"Leave the loop at {place} as it is?", command)
    return written(f"Left as it is at {place}.", Accepted(at=now, mark=mark.number))
