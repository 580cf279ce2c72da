"""The choices that stand open, numbered, each planned through and with its cost.

After a fit check that says no, or while a dropped loop is marked, the maker can choose by number
("choice two"). A choice is found by doing it on paper: the work is ripped back in thought, the
plan changed, the script built and proven. What comes of no sound script is not offered. Taking a
choice writes one event, so that taking it back takes back all of it.
"""

from engine.advise import pace, repair, scarce
from engine.advise.remedies import Remedy, remedies
from engine.advise.replan import after_ripping, difference, kept_tail, replanned
from engine.base.refusal import Refusal
from engine.script.wording import row_word
from models.advice import Choice, Cost
from models.event import Accepted, Event, FitVerdict, Replanned, RippedBack
from models.plan import Plan
from models.script import Kind, RowScript
from models.state import TOO_FEW, MakeState, Mark


def of(state: MakeState, now: float = 0.0) -> tuple[Choice, ...]:
    """The choices that stand open; none most of the time. `now` in POSIX seconds.

    A fit check's come first; a mark's only while no fit check waits.
    """
    step = state.step
    if step and state.open_verdict:
        return _fit(state, state.open_verdict, now)
    if state.open_marks:
        return _mend(state, state.open_marks[-1], now)
    return ()


def _numbered(found: list[Choice]) -> tuple[Choice, ...]:
    return tuple(c.model_copy(update={"number": i}) for i, c in enumerate(found, 1))


# --- a fit check --------------------------------------------------------------------------


def _fit(state: MakeState, verdict: str, now: float) -> tuple[Choice, ...]:
    by_result: dict[object, Choice] = {}
    found_ways = scarce.remedies(state) if verdict == TOO_FEW else remedies(state, verdict)
    for remedy in found_ways:
        choice, script = _planned(state, remedy, now) or (None, state.script)
        # Two ways to the same garment are one choice, the cheaper one's.
        result = (script.steps, *script.finished_cm.items())
        before = by_result.get(result)
        if choice and (before is None or choice.cost.loops < before.cost.loops):
            by_result[result] = choice
    found = list(by_result.values())
    assert state.step is not None
    event = FitVerdict(at=now, step=state.step.number, verdict="as it is")
    found.append(Choice(number=0, does="go on as it is", cost=Cost(), event=event))
    return _numbered(sorted(found, key=_loss))


def _loss(choice: Choice) -> tuple[int, float]:
    """What a choice loses: loops worked in vain, then time."""
    return choice.cost.loops, choice.cost.seconds if choice.cost.loops else 0.0


def _planned(state: MakeState, remedy: Remedy, now: float) -> tuple[Choice, RowScript] | None:
    """A remedy as a choice, and the script that comes of it; None where it does not help."""
    for number in dict.fromkeys(remedy.back):
        if number is not None and not 0 < number <= state.at:
            continue
        base = state if number is None else after_ripping(state, number)
        try:
            plan, script = replanned(
                base,
                rows=remedy.rows,
                measures=remedy.measures,
                counts=remedy.counts,
                size=remedy.size,
            )
        except Refusal:
            continue
        if clause := remedy.says(script):
            return _choice(state, base, (plan, script), clause, now), script
    return None


def _choice(
    state: MakeState, base: MakeState, made: tuple[Plan, RowScript], clause: str, now: float
) -> Choice:
    """What is done, what it costs, and the event that taking it writes."""
    plan, script = made
    number = None if base is state else base.at + 1
    ripped = state.script.steps[base.at : state.at]
    rows = sum(bool(pace.handled(step)) for step in ripped)
    if rows:
        clause = f"rip back to {_kept(state, base.at)} and {clause}"
    change = difference(state, script, base.at)
    undoing = pace.RIPPING * pace.seconds_for(ripped, pace.seconds_per_loop(state))
    here = state.step
    tried_on = here is not None and here.kind is Kind.FIT_CHECK and state.open_verdict != TOO_FEW
    settles = number is None and tried_on
    event = decided(state.plan, plan, now, clause).model_copy(
        update={
            "rip_to_step": number,
            "done": settles,
            "settles": number is None,
            "tail": kept_tail(base, plan, script),
        }
    )
    return Choice(
        number=0,
        does=clause,
        cost=Cost(
            rows=rows,
            loops=sum(pace.handled(step) for step in ripped),
            yarn=script.yarn_loops - state.script.yarn_loops,
            seconds=change.seconds + undoing,
        ),
        event=event,
        confirm=rows > 0,
    )


def _kept(state: MakeState, worked: int) -> str:
    """Where the work stands after ripping back to so many steps: the last row that is kept."""
    here = state.script.steps[worked]
    if here.kind is Kind.FOUNDATION:
        return "the foundation"
    if here.kind is Kind.PICK_UP:
        return f"the pick-up of the {here.part}"
    last = next(s for s in reversed(state.script.steps[:worked]) if pace.handled(s))
    if last.counts_row:
        return f"{row_word(last.kind)} {last.row} of the {last.part}"
    return f"the {last.part}'s {last.kind.value}"


def decided(old: Plan, new: Plan, now: float, why: str) -> Replanned:
    """The event that turns one plan into the other: it carries the numbers, not the reasons.

    The script's tail is still to be put into it (`replan.kept_tail`).
    """
    gauge = None
    if old.gauge != new.gauge:
        gauge = (new.gauge.loops_per_10cm, new.gauge.rows_per_10cm)
    return Replanned(
        at=now,
        why=why,
        gauge=gauge,
        size=new.size if new.size != old.size else None,
        measures={k: v for k, v in new.measures.items() if old.measures.get(k) != v},
        rows={k: v for k, v in new.rows.items() if old.rows.get(k) != v},
        counts={k: v for k, v in new.counts.items() if old.counts.get(k) != v},
    )


# --- a dropped loop -----------------------------------------------------------------------


def _mend(state: MakeState, mark: Mark, now: float) -> tuple[Choice, ...]:
    advice = repair.advise(state, mark)
    found = []
    for way in sorted(advice.ways, key=lambda way: way.name != advice.best):
        if not way.possible:
            continue
        event: Event | None = None
        then = "Say 'repaired' when it is done."
        does = "work the column up again with the fingers"
        if way.name == repair.RIP:
            if mark.step > state.at:
                does = "take this row out as far as the loop"
            else:
                event = RippedBack(at=now, to_step=mark.step)
                does, then = f"rip back to {advice.landing.place if advice.landing else ''}", ""
        elif way.name == repair.TIE:
            event, then = Accepted(at=now, mark=mark.number, how="tied down"), ""
            does = "tie it down on the wrong side with a bit of yarn"
        found.append(
            Choice(
                number=0,
                does=does,
                cost=way.cost,
                event=event,
                confirm=isinstance(event, RippedBack),
                then=then,
            )
        )
    return _numbered(found)
