"""What the shelf says of a make: one function a line, from the state alone."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from counter.shared.settings import Unit
from counter.shared.telling import ago, duration, in_unit
from counter.shared.work import offered
from engine.advise import fitting, pace
from engine.base.plural import some
from engine.keep.shelving import Lying, days_left
from engine.make import answers
from engine.script import places, wording
from models.event import Event
from models.script import LOOP_KINDS
from models.state import MakeState

IN_WORK, FINISHED, AWAY, OUT = "", "finished", "put away", "thrown out"
PLACES = (IN_WORK, FINISHED, AWAY, OUT)
"""In the order in which they stand."""


def place(name: str, lies: Lying, done: bool) -> str:
    """Under which heading a make stands."""
    if name in lies.out:
        return OUT
    if name in lies.away:
        return AWAY
    return FINISHED if done else IN_WORK


def brief(title: str, name: str, lies: Lying, now: float) -> Content:
    """A make that does not lie on the shelf, in one line."""
    if name in lies.out:
        days = some(days_left(lies.out[name], now), "day")
        return Content.assemble((title, "bold"), f"  {days} left to put it back")
    return Content.assemble((title, "bold"), f"  put away {ago(lies.away[name], now)}")


def full(name: str, state: MakeState, events: Sequence[Event], unit: Unit, now: float) -> Content:
    """A make on the shelf: what is next, where it stands; of a finished one what it took."""
    head = f"  {name}" if name != state.plan.title.lower() else ""
    if state.done:
        said = f"✓ done, {took(state)}"
        standing = f"finished {ago(state.last_at, now)}" if state.last_at is not None else ""
    else:
        said = in_unit(next_(state), unit)
        standing = _standing(events, state, now)
    newer = offered(state, name)
    return Content.assemble(
        (state.plan.title, "bold"),
        head,
        f"\n{said}",
        f"\n{standing}\n",
        f"{in_unit(newer, unit)}\n" if newer else "",
    )


def took(state: MakeState) -> str:
    """What a finished make took: hours, rows, loops and balls."""
    rows = sum(step.kind in LOOP_KINDS for step in state.script.steps[: state.at])
    said = [f"took {duration(state.elapsed)}", some(rows, "row")]
    said.append(wording.counted(state.yarn_used, state.plan.craft))
    if state.ball_size is not None or state.balls > 1:
        said.append(some(state.balls, "ball"))
    return ", ".join(said)


def next_(state: MakeState) -> str:
    """What comes next in a make."""
    step = state.step
    assert step is not None
    if state.open_verdict:
        return f"{answers.capitalised(state.open_verdict)}: a choice is open"
    return f"next: {step.part}. {wording.text(step, state.plan.craft)}"


def _standing(events: Sequence[Event], state: MakeState, now: float) -> str:
    steps = [step for step in state.script.steps if step.kind in LOOP_KINDS]
    done = sum(step.number <= state.at for step in steps)
    said = [f"{done} of {len(steps)} rows and bind-offs"]
    if named := fitting.told_size(state.plan):
        said.insert(0, named)
    if not events:
        return " · ".join([*said[:-1], f"not begun · {len(steps)} rows and bind-offs"])
    if marks := state.open_marks:
        said.append(f"◆ open mark at {places.mark_place(marks[-1], state.plan.craft)}")
    said.append(f"worked {duration(state.elapsed)}")
    if state.last_at is not None:
        said.append(f"touched {ago(state.last_at, now)}")
    left = pace.left(state)
    if left.learned:
        said.append(f"about {duration(left.make)} to go")
    return " · ".join(said)
