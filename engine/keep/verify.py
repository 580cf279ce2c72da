"""Replay proof: a make is worked again from its journal, and everything kept is compared.

The journal holds the script that was shown, and every event names the step, and an advance its row,
that the screen showed when it was given. The replay must stand on the same steps: a script that
came out differently, an event that was lost or one too many cannot pass.
"""

import math
from collections.abc import Iterable

from engine.advise.replan import newer_edition
from engine.base.refusal import Refusal
from engine.keep import notes
from engine.keep.journal import chain
from engine.keep.store import Store, Unreadable
from engine.make import progress
from engine.make.trail import Trail
from engine.plan.planning import LOOPS_AT_MOST, STEPS_AT_MOST
from engine.script.audit import audit
from engine.script.packing import counted
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
from models.plan import Begun
from models.script import Kind, RowScript
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


def replay(begun: Begun, events: Iterable[Event]) -> Replay:
    """Work a make again, and check at each event that it was given on the step it names."""
    try:
        trail = Trail(begun)
    except Refusal as refusal:
        return Replay(state=None, actions=0, faults=(str(refusal).rstrip("."),))
    faults = unsound(trail.state)
    number = 0
    for number, event in enumerate([] if faults else events, 1):
        before = trail.state
        wrong = _misfit(before, event, nothing_stands=not len(trail))
        if not wrong:
            try:
                if isinstance(event, Undone):
                    trail.back()
                elif trail.go(event).script is not before.script:
                    wrong = "; ".join(unsound(trail.state)[:1])
            except Refusal as refusal:
                wrong = str(refusal).rstrip(".")
            except (LookupError, ArithmeticError):
                wrong = "it does not fit the rows there"
        if wrong:
            faults.append(f"event {number} ({event.kind}): {wrong}")
        if len(faults) >= FAULTS_AT_MOST:
            break
    return Replay(state=trail.state, actions=number, faults=tuple(faults))


def unsound(state: MakeState) -> list[str]:
    """Why a state's script is none of its plan, or does not add up; empty where it is sound.

    Sentences without their full stops. The audit is not asked: it learns, and a make keeps the
    script that an earlier audit proved.
    """
    script, plan = state.script, state.plan
    if (script.craft, script.hand, script.design) != (plan.craft, plan.hand, plan.design):
        return ["its row script is of another design, craft or hand than its plan"]
    if len(script.steps) > STEPS_AT_MOST or _size(script) > LOOPS_AT_MOST:
        return [f"its row script has more than {STEPS_AT_MOST} steps or {LOOPS_AT_MOST} loops"]
    adding_up = zip(script.steps, counted(script.steps, script.craft), strict=True)
    for step, right in adding_up:
        if step != right or min(step.loops_before, step.loops_after, step.held) < 0:
            return [f"step {step.number} ({step.part}) of its row script does not add up"]
    last = script.steps[-1] if script.steps else None
    if last is None or last.kind is not Kind.FINISH or last.loops_after or last.held:
        return ["its row script does not come to an end"]
    return []


def _size(script: RowScript) -> int:
    """Loops that proving a script moves, nearly."""
    return sum(
        max(step.loops_after, *(abs(operation.times) for operation in step.operations), 0)
        for step in script.steps
    )


def _misfit(state: MakeState, event: Event, *, nothing_stands: bool) -> str:
    """Why an event cannot have been given in this state; empty where it can."""
    here = state.step.number if state.step else None
    shown = (state.step.part, state.step.row) if state.step else None
    steps = len(state.script.steps)
    if not math.isfinite(event.at):
        return "its time is not a number"
    match event:
        case Undone() if nothing_stands:
            return "there is nothing to take back"
        case Advanced(step=step) | FitVerdict(step=step) | Measured(step=step) if step != here:
            return f"it was given on step {step}, and the work stands on {here or 'the end'}"
        case Advanced(part=part, row=row) if part and (part, row) != shown:
            told = f"the {part}" + (f", row {row}" if row else "")
            return f"{told} was shown, and the script has another there"
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
        case Replanned() if not all(0 <= rows <= _MOST for rows in event.rows.values()):
            return "a number of rows in it is no garment's"
        case Replanned() if not all(
            # An ease may be below nothing.
            -_MOST <= value <= _MOST
            for table in (event.measures, event.counts)
            for value in table.values()
        ):
            return "a number in it is no garment's"
        case Replanned(gauge=gauge) if gauge is not None and not all(
            0 < value <= _MOST for value in gauge
        ):
            return "its gauge is none"
    return ""


def _there(store: Store, name: str, digest: str) -> bool:
    try:
        return bool(notes.sound(store, name, digest))
    except Refusal:
        return False


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
    try:
        begun, events = store.load(name)
    except Unreadable as why:
        check("events", False, "", str(why))
        return Report(name=name, checks=tuple(checks))
    if digests := notes.digests(events):
        lost = [digest for digest in digests if not _there(store, name, digest)]
        check(
            "spoken notes",
            not lost,
            f"{len(digests)}, each as it was spoken",
            f"{len(lost)} of {len(digests)} missing or damaged; the rows do not hang on them",
        )
    replayed = replay(begun, events)
    check("replay", not replayed.faults, f"{count} events fit", "; ".join(replayed.faults))
    if replayed.state is None:
        return Report(name=name, checks=tuple(checks))
    state = replayed.state
    faults = unsound(state)
    found = f"{len(state.script.steps)} steps, every loop accounted for"
    if not faults and (open_ends := audit(state.script)):
        if newer_edition(state):
            found += f"; today's design would not leave this: {open_ends[0].rstrip('.')}"
        else:
            faults = open_ends
    check("script", not faults, found, "; ".join(faults))
    if not replayed.faults:
        folded = progress.fold(begun, events)
        place = f"step {state.at + 1} of {len(state.script.steps)}"
        check(
            "place",
            folded == state,
            f"{'the end' if state.done else place}, as shown",
            f"folded at once it stands on step {folded.at + 1}, event by event on {state.at + 1}",
        )
    return Report(name=name, checks=tuple(checks))
