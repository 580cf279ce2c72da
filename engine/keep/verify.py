"""Replay proof: a make is worked again from its journal, and everything kept is compared.

Every event names the step that the screen showed when it was given. So the journal holds what was
shown, and the replay must stand on the same steps: a script that came out differently, an event
that was lost or one too many cannot pass.
"""

import math
from collections.abc import Iterable

from engine.base.refusal import Refusal
from engine.keep.journal import chain
from engine.keep.store import Store
from engine.make import progress
from engine.script.audit import audit
from models.event import (
    Accepted,
    Advanced,
    Dropped,
    Event,
    FitVerdict,
    Measured,
    MoreRows,
    NewBall,
    Repaired,
    Replanned,
    RippedBack,
    Undone,
)
from models.frozen import Frozen
from models.plan import Plan
from models.state import MakeState

FAULTS_AT_MOST = 20
_MOST = 100_000
"""Rows, loops or lengths beyond this are no garment's, and would take for ever to work out."""


class Replay(Frozen):
    """A make worked again, event by event."""

    state: MakeState | None
    """Where it stands; None where its plan has no sound script."""
    actions: int
    faults: tuple[str, ...]
    """Every event that does not fit, in a sentence without its full stop."""


class Check(Frozen):
    """One comparison."""

    what: str
    sound: bool
    found: str


class Report(Frozen):
    """What verifying a make came to."""

    name: str
    checks: tuple[Check, ...]

    @property
    def sound(self) -> bool:
        """Whether everything agrees."""
        return all(check.sound for check in self.checks)


def replay(plan: Plan, events: Iterable[Event], most_loops: float = math.inf) -> Replay:
    """Work a make again, and check at each event that it was given on the step it names.

    `most_loops` bounds the work: the loops of all scripts that its events ask for together.
    """
    try:
        states = [progress.begin(plan)]
    except Refusal as refusal:
        return Replay(state=None, actions=0, faults=(str(refusal).rstrip("."),))
    faults: list[str] = []
    number, loops = 0, 0
    for number, event in enumerate(events, 1):
        wrong = _misfit(states[-1], event, nothing_stands=len(states) == 1)
        if not wrong:
            try:
                if isinstance(event, Undone):
                    states.pop()
                else:
                    states.append(progress.evolve(states[-1], event))
                    if states[-1].script is not states[-2].script:
                        loops += sum(step.loops_after for step in states[-1].script.steps)
            except Refusal as refusal:
                wrong = str(refusal).rstrip(".")
        if wrong:
            faults.append(f"event {number} ({event.kind}): {wrong}")
        if loops > most_loops:
            faults.append("it is planned anew too often to be worked out")
        if len(faults) >= FAULTS_AT_MOST or loops > most_loops:
            break
    return Replay(state=states[-1], actions=number, faults=tuple(faults))


def _misfit(state: MakeState, event: Event, *, nothing_stands: bool) -> str:
    """Why an event cannot have been given in this state; empty where it can."""
    here = state.step.number if state.step else None
    steps = len(state.script.steps)
    if not math.isfinite(event.at):
        return "its time is not a number"
    match event:
        case Undone() if nothing_stands:
            return "there is nothing to take back"
        case Advanced(step=step) | FitVerdict(step=step) | Measured(step=step) if step != here:
            return f"it was given on step {step}, and the work stands on {here or 'the end'}"
        case Dropped(step=step) if not 1 <= step <= steps:
            return f"there is no step {step}"
        case Repaired(mark=mark) | Accepted(mark=mark) if mark not in {
            m.number for m in state.open_marks
        }:
            return f"no mark {mark} is open"
        case RippedBack(to_step=step) if not 1 <= step <= state.at + 1:
            return f"step {step} is not worked yet"
        case NewBall(loops=loops) if loops is not None and not 1 <= loops <= _MOST:
            return f"a ball of {loops} loops"
        case Measured(rows=rows) | MoreRows(rows=rows) if not 0 <= rows <= _MOST:
            return f"{rows} rows"
        case Measured(cm=cm) if not 0 < cm < _MOST:
            return f"{cm:g} cm"
        case Replanned() if any(
            not 0 <= value <= _MOST
            for table in (event.measures, event.rows, event.counts)
            for value in table.values()
        ):
            return "a number in it is no garment's"
        case Replanned(gauge=gauge) if gauge is not None and not all(
            0 < value <= _MOST for value in gauge
        ):
            return "its gauge is none"
    return ""


def verify(store: Store, name: str) -> Report:
    """Compare all that is kept of a make with itself. Raises Refusal for an unknown name."""
    checks: list[Check] = []

    def check(what: str, sound: bool, well: str, ill: str) -> None:
        checks.append(Check(what=what, sound=sound, found=well if sound else ill))

    made = store.chain(name)
    count = len(made.bodies)
    sealed = store.digests(name) == chain.seals([made.head, *made.bodies])
    check(
        "main file",
        sealed,
        f"{count} events, each proven by its digest",
        "a line is not as it was written: open the app, which mends it",
    )
    theirs, whole = store.copy_of(name)
    check(
        "journal copy",
        whole and theirs == made,
        "the same, line for line",
        "it differs or is missing: open the app, which mends it",
    )
    plan, events = store.load(name)
    replayed = replay(plan, events)
    check("replay", not replayed.faults, f"{count} events fit", "; ".join(replayed.faults))
    if replayed.state is None:
        return Report(name=name, checks=tuple(checks))
    state = replayed.state
    faults = audit(state.script)
    check(
        "script",
        not faults,
        f"{len(state.script.steps)} steps, every loop accounted for",
        " ".join(faults),
    )
    if not replayed.faults:
        folded = progress.fold(plan, events)
        place = f"step {state.at + 1} of {len(state.script.steps)}"
        check(
            "place",
            folded == state,
            f"{'the end' if state.done else place}, as shown",
            f"folded at once it stands on step {folded.at + 1}, event by event on {state.at + 1}",
        )
    return Report(name=name, checks=tuple(checks))
