"""Time in the hands: seconds per loop, what is left, and when to rest.

A make's state keeps how long each of the last steps took, per loop that passed through the hands.
Their median is the pace: a telephone call in one row, or two rows told at once, do not move it.
"""

from collections.abc import Sequence
from statistics import median

from models.command import FAR_TOO_QUICK
from models.event import Event
from models.frozen import Frozen
from models.script import LOOP_KINDS, RowScript, Step
from models.state import MakeState

ASSUMED = 4.0
"""Seconds per loop before anything is learned (common practice, no source)."""
KEPT = 40
"""Steps that the pace remembers: enough for a median, few enough to follow practice."""
ENOUGH = 3
"""Steps after which the pace counts as learned."""
RIPPING = 0.25
"""Ripping a loop out takes this share of working it (common practice, no source)."""
REST_EVERY_MIN = 30.0
"""Minutes in the hands between two reminders, unless the maker sets it (common practice, no
source; repetitive work: pain or numbness is a matter for a doctor, not for a counter)."""
FASTEST = 0.2
"""Seconds per loop below which no hand works. The quickest knitters take 0.5 to 0.7 (118 stitches
in a minute, 262 in three; from memory)."""
LONG_REST = 180.0
"""Seconds of pause that count as a rest."""


class Left(Frozen):
    """Seconds left, at the maker's own pace."""

    step: float
    part: float
    make: float
    learned: bool
    """False while the pace is only assumed."""


def handled(step: Step) -> int:
    """Loops that pass through the hands in a step: every stitch once, whatever it takes."""
    return sum(o.times for o in step.operations if o.takes or o.leaves)


def seconds_per_loop(state: MakeState) -> float:
    """The maker's pace; the assumed one while too few steps are timed."""
    if len(state.step_paces) < ENOUGH:
        return ASSUMED
    return median(state.step_paces)


def quickest(state: MakeState) -> float:
    """The least seconds per loop to be believed, 0 while too few steps are timed.

    Half the quick tenth of her own steps, so that a plain quick row never counts as too quick.
    """
    paces = sorted(pace for pace in state.step_paces if pace >= FASTEST)
    return paces[len(paces) // 10] / 2 if len(paces) >= ENOUGH else 0.0


def least_step(state: MakeState, _events: Sequence[Event] = ()) -> float:
    """The least seconds in which this maker works the step in work; 0 where that is not known."""
    return quickest(state) * handled(state.step) if state.step and not state.closed else 0.0


def too_quick(state: MakeState, now: float, least_s: float) -> bool:
    """Whether the step in work cannot be done yet, `now` in POSIX seconds.

    `least_s` is what `least_step` says of it, or 0. Steps without loops take no time.
    """
    if state.step is None or state.step_began is None or state.closed:
        return False
    age = max(0.0, now - state.step_began)
    return age < max(FAR_TOO_QUICK * least_s, FASTEST * handled(state.step))


def with_step(state: MakeState, elapsed: float) -> tuple[float, ...]:
    """The paces once the step in work is done, `elapsed` seconds in the hands of the make."""
    loops = handled(state.step) if state.step else 0
    if loops == 0 or state.step_began is None:
        return state.step_paces
    return (*state.step_paces, (elapsed - state.step_began_at) / loops)[-KEPT:]


def seconds_for(steps: Sequence[Step], pace: float) -> float:
    """Seconds that steps take at a pace in seconds per loop; looks and measures count nothing."""
    return pace * sum(_worked(steps))


def _worked(steps: Sequence[Step]) -> list[int]:
    return [handled(step) if step.kind in LOOP_KINDS else 0 for step in steps]


def left(state: MakeState) -> Left:
    """Seconds left in the step, the part and the make.

    A part is what follows without another in between: the body now in work, say, not its later
    edging.
    """
    pace, steps = seconds_per_loop(state), state.script.steps[state.at :]
    if state.done:
        steps = ()
    part = next((i for i, step in enumerate(steps) if step.part != steps[0].part), len(steps))
    loops = _worked(steps)
    return Left(
        step=pace * sum(loops[:1]),
        part=pace * sum(loops[:part]),
        make=pace * sum(loops),
        learned=len(state.step_paces) >= ENOUGH,
    )


def whole(script: RowScript, pace: float = ASSUMED) -> float:
    """Seconds that a whole script takes at a pace."""
    return seconds_for(script.steps, pace)


def since_rest(state: MakeState, now: float) -> float:
    """Seconds in the hands since the last rest, up to `now` in POSIX seconds."""
    if state.paused or state.last_at is None:
        return state.elapsed - state.rested_at
    return state.elapsed - state.rested_at + max(0.0, now - state.last_at)


def rest_reminder(
    state: MakeState,
    now: float,
    every_min: float | None = REST_EVERY_MIN,
    dismissed_at: float | None = None,
) -> str | None:
    """A gentle sentence when it is time to rest the hands, or None.

    `every_min` is the interval that the maker set, in minutes, None for never. `dismissed_at` is
    when she waved the last reminder away, POSIX seconds: it keeps quiet for as long again.
    """
    if not every_min or state.done or state.paused:
        return None
    worked = since_rest(state, now)
    if worked < every_min * 60:
        return None
    if dismissed_at is not None and now - dismissed_at < every_min * 60:
        return None
    return (
        f"{worked / 60:.0f} minutes in the hands: rest and stretch them. If they hurt or go numb, "
        "stop and ask a doctor."
    )
