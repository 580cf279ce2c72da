"""What spokenrow says of where the work stands. Sentences only; nothing is decided here."""

from collections.abc import Sequence

from engine.advise import fitting, pace
from engine.advise.midway import Midway
from engine.advise.newer import Newer
from engine.base.plural import noun, some
from engine.craft.pickup import rhythm_words
from engine.script import places, wording
from models.advice import Change, Choice, Cost, Landing, Repair, Resized
from models.pickup import Armhole, PickUp
from models.plan import Plan
from models.script import Craft, RowScript, Step
from models.state import MakeState
from models.yarn import Joining, RunOut, YarnForecast

_SAME_CM = 0.05
"""Lengths closer than this are told by the same figures."""
_MISSED = 3
"""Measurements that are not to be had, and are named in the one sentence; the lines have all."""


def next_step(state: MakeState) -> Step | None:
    """The step after the one in work."""
    after = state.at + 1
    return state.script.steps[after] if after < len(state.script.steps) else None


def where(state: MakeState) -> str:
    """The answer to "where am I"."""
    step = state.step
    if step is None or state.closed:
        return "The make is done."
    said = f"{places.part_place(step)[:1].upper()}{places.part_place(step)[1:]}."
    if step.operations:
        said += f" {wording.counted(step.loops_after, state.plan.craft)} at its end."
    said += in_hand(step)
    if marks := state.open_marks:
        said += f" {len(marks)} open {noun(len(marks), 'mark')}."
    return said


def told(step: Step | None, state: MakeState) -> str:
    """A step's instruction, to be spoken; empty for none."""
    if step is None:
        return ""
    before = state.script.steps[step.number - 2] if step.number > 1 else None
    return wording.spoken(step, state.plan.craft, before)


def in_hand(step: Step | None) -> str:
    """Which of several yarns is in hand, for who comes back to a step: ` In the first lot.`;
    empty where there is one, and where the step itself says it."""
    if step is None or not step.colour or any(o.stitch == "colour" for o in step.operations):
        return ""
    return f" In {step.colour}."


def come_back_to(step: Step | None, state: MakeState) -> str:
    """A step's instruction for who comes back to it: with the yarn that is in hand."""
    return f"{told(step, state)}{in_hand(step)}"


def say(state: MakeState) -> str:
    """The instruction in work, to be spoken."""
    if state.step is None or state.closed:
        return "The make is done."
    return told(state.step, state)


def wanted(step: Step) -> str:
    """What a measuring step waits for: `Measure first: 60 cm is wanted.`"""
    if step.target_cm is None:
        return "Measure first."
    return f"Measure first: {step.target_cm:g} cm is wanted."


def ends_part(script: RowScript, at: int) -> bool:
    """Whether the step at that index is the last of its run of the same part."""
    steps = script.steps
    return at + 1 >= len(steps) or steps[at + 1].part != steps[at].part


def capitalised(clause: str) -> str:
    """A clause as the beginning of a sentence."""
    return clause[:1].upper() + clause[1:]


def listed(names: Sequence[str]) -> str:
    """`right front, back and left front`."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def minutes(seconds: float) -> str:
    """A time as one says it: `under a minute`, `12 minutes`, `3½ hours`."""
    whole = round(seconds / 60)
    if whole < 1:
        return "under a minute"
    if whole < 100:
        return some(whole, "minute")
    halves = round(seconds / 1800)
    return f"{halves // 2 or ''}{'½' if halves % 2 else ''} hours"


def _more(count: int, one: str, many: str) -> str:
    return f"{abs(count)} {one if abs(count) == 1 else many} {'more' if count > 0 else 'fewer'}"


def changed(change: Change, state: MakeState) -> str:
    """What a re-plan changes in all that is to come: rows, loops of yarn, time."""
    if change.rows == change.yarn == 0:
        return "Nothing else changes."
    craft = state.plan.craft
    parts = []
    if change.rows:
        parts.append(_more(change.rows, "row", "rows"))
    if change.yarn:
        of = " of yarn" if craft is Craft.LOOP else ""
        one, many = wording.loop_word(craft, 1) + of, wording.loop_word(craft) + of
        parts.append(_more(change.yarn, one, many))
    if abs(change.seconds) >= 60:
        parts.append(f"{minutes(abs(change.seconds))} {'more' if change.seconds > 0 else 'less'}")
    return f"In all {', '.join(parts)}."


def midway(found: Midway, state: MakeState) -> str:
    """What a change midway means, to be spoken: rows, yarn, time, and what is not to be had."""
    missed = missed_of(found.resized)
    return f"What is worked stays. {missed}{changed(found.change, state)}"


def missed_of(resized: Sequence[Resized]) -> str:
    """The measurements that a change brings off what is asked, a sentence with its space."""
    off = [
        f"{line.name} {line.after:.1f} cm, not the {line.wanted:.1f} cm asked for"
        for line in resized
        if line.off
    ]
    return f"You get {listed(off[:_MISSED])}. " if off else ""


def midway_lines(found: Midway, state: MakeState) -> tuple[str, ...]:
    """The same in full, a line each: every part's rows and loops, every length, as they were."""
    parts: dict[str, list[str]] = {}
    for part in found.grown:
        (rows, more), (loops, new) = part.rows, part.loops
        told = [f"{some(more, 'row')}, was {rows}"] if rows != more else []
        if loops != new:
            told.append(f"{wording.counted(new, state.plan.craft)}, was {loops}")
        parts.setdefault("; ".join(told), []).append(part.part)
    lines = [f"{capitalised(listed(names))}: {told}" for told, names in parts.items()]
    for line in found.resized:
        was = f", was {line.before:.1f} cm" if abs(line.after - line.before) > _SAME_CM else ""
        asked = f", asked for {line.wanted:.1f} cm" if line.off else ""
        lines.append(f"{capitalised(line.name)}: {line.after:.1f} cm{was}{asked}")
    return tuple(lines)


def other_rows(wanted: int, added: int) -> str:
    """Why other rows were added than were wanted, a sentence with its space; empty where not."""
    if wanted == added:
        return ""
    why = "its rows come in pairs, to end on the side where it began"
    if (added - wanted, added % 2) != (1, 0):
        why = "its rows come in whole repeats"
    return f"{added} rows are added, not {wanted}: {why}. "


def newer(found: Newer, state: MakeState) -> str:
    """That the design would be worked out otherwise today, and what that means for this make."""
    what = "pattern is counted" if state.plan.pattern else f"{state.plan.design} is worked out"
    if found.change is None:
        return f"The {what} differently now, and what is worked here does not fit that."
    if found.change.rows == found.change.yarn == 0:
        return f"The {what} differently now, in as many rows and with as much yarn."
    return f"The {what} differently now. {changed(found.change, state)}"


def cost(cost: Cost, craft: Craft) -> str:
    """A cost in rows, loops and time; `no cost` for none."""
    parts = []
    if cost.rows:
        parts.append(f"{some(cost.rows, 'row')} ripped")
    if cost.loops:
        parts.append(f"{wording.counted(cost.loops, craft)} to work again")
    if cost.yarn:
        parts.append(f"{_more(cost.yarn, wording.loop_word(craft, 1), wording.loop_word(craft))}")
    if cost.seconds <= -60:
        parts.append(f"{minutes(-cost.seconds)} less")
    elif cost.seconds > 0:
        parts.append(minutes(cost.seconds))
    return ", ".join(parts) or "no cost"


def choice(choice: Choice, state: MakeState) -> str:
    """`Rip back to the foundation …: 34 rows ripped, 1020 loops to work again, 70 minutes.`"""
    return f"{capitalised(choice.does)}: {cost(choice.cost, state.plan.craft)}."


def choices(there: Sequence[Choice], state: MakeState) -> str:
    """All choices in short numbered sentences, to be answered with "choice" and a number."""
    return " ".join(
        f"Choice {c.number}: {c.does}; {cost(c.cost, state.plan.craft)}." for c in there
    )


def measures(plan: Plan, script: RowScript) -> str:
    """What the garment will measure around or across, and all else that is not as wanted.

    Not as wanted is a loop or a row off, whichever is larger.
    """
    said = []
    unit = max(1 / plan.gauge.loops_per_cm, 1 / plan.gauge.rows_per_cm)
    for line in fitting.lines(plan, script):
        off = line.rounding or 0.0
        if line.name not in {"around", "width"} and abs(off) <= unit:
            continue
        beside = "as wanted"
        if abs(off) >= 1:
            beside = f"{abs(off):.0f} cm {'more' if off > 0 else 'less'} than wanted"
        said.append(f"{line.name} {line.garment:.0f} cm, {beside}")
    return f"{capitalised('; '.join(said))}." if said else ""


def piece(state: MakeState) -> tuple[str, ...]:
    """The whole piece in words, a line for each part and one of its measurements."""
    steps, craft, lines = state.script.steps, state.plan.craft, []
    for part in dict.fromkeys(step.part for step in steps):
        own = [step for step in steps if step.part == part]
        rows = [step for step in own if step.counts_row]
        done = sum(step.number <= state.at for step in rows)
        told = wording.counted(max(step.loops_after for step in own), craft)
        if rows:
            told = f"{some(len(rows), 'row')}, {told} at its widest, {done} done"
        here = ", in work" if state.step and not state.done and state.step.part == part else ""
        lines.append(f"{capitalised(part)}: {told}{here}.")
    got = fitting.lines(state.plan, state.script)
    if measured := [f"{line.name} {line.garment:.1f} cm" for line in got]:
        lines.append(f"{capitalised(listed(measured))}.")
    return tuple(lines)


def marked(repair: Repair, state: MakeState) -> str:
    """The answer to a new mark: where it is, and the cheapest way to mend it."""
    best = repair.way(repair.best)
    said = f"Marked at {repair.place}."
    craft = state.plan.craft
    match repair.best:
        case "work up":
            said += f" Cheapest: work it up again, {some(max(1, best.cost.loops), 'row')} high"
        case "rip back":
            said += f" Cheapest: rip back, {wording.counted(best.cost.loops, craft)} to work again"
        case _:
            said += " Cheapest: tie it down on the wrong side"
    return f"{said}, {minutes(best.cost.seconds)}."


def standing(landing: Landing, state: MakeState) -> str:
    """What there will be after ripping back: live and resting loops, the ball, the markers."""
    said = f"{wording.counted(landing.loops, state.plan.craft)} in work"
    if landing.held:
        said += f", {landing.held} resting"
    if landing.ball_left is not None:
        said += f", ball {landing.ball} with {landing.ball_left} left"
    if landing.removed:
        count = len(landing.removed)
        said += f", {some(count, 'marker')} out"
    return said


def landed(landing: Landing, state: MakeState) -> str:
    """Where the work will stand after ripping back: place, loops, ball, markers by name."""
    said = f"You will stand at {landing.place} with {standing(landing, state)}; "
    said += f"{wording.counted(landing.freed, state.plan.craft)} of yarn come free"
    if landing.markers:
        said += f"; these markers stay: {', '.join(landing.markers)}"
    if landing.removed:
        said += f"; these markers come out: {', '.join(landing.removed)}"
    return said + "."


def run_out(out: RunOut, script: RowScript, craft: Craft) -> str:
    """Where a ball ends, and how to join the next."""
    where = places.part_place(script.steps[out.step - 1])
    if out.join_at_start:
        left = f", {wording.counted(out.loop, craft)} left over" if out.loop else ""
        return f"Ball {out.ball} does not reach through {where}: join the next at its start{left}."
    return (
        f"Ball {out.ball} ends in {where}, after {out.loop} of {wording.counted(out.of, craft)}: "
        "carry on and join there."
    )


def new_ball(state: MakeState, joining: Joining, ahead: YarnForecast) -> str:
    """The answer to a new ball."""
    craft = state.plan.craft
    of = f", of {state.step.colour}" if state.step and state.step.colour else ""
    said = f"Ball {state.balls + 1}{of}."
    if joining.held is not None and state.ball_size is not None:
        said += (
            f" The last one held about {joining.held}, not {state.ball_size}; I count with "
            f"{wording.counted(joining.loops or joining.held, craft)} from now on."
        )
    if ahead.left_over is not None:
        more = ahead.more_balls
        said += (
            f" {more} more {'is' if more == 1 else 'are'} needed."
            if more
            else f" It reaches to the end, with {ahead.left_over} left over."
        )
    return said


def time_left(state: MakeState) -> str:
    """What is left in the row, the part and the make."""
    left = pace.left(state)
    guess = "" if left.learned else ", until I know your pace"
    return (
        f"Time left: {minutes(left.step)} for this step, {minutes(left.part)} for the part, "
        f"{minutes(left.make)} for the make{guess}."
    )


def pick_up(found: PickUp) -> str:
    """A pick-up in groups that one can count, with what the rhythm alone would miss."""
    said = f"{found.loops} loops over {some(found.rows, 'row')}: {rhythm_words(found)}"
    said += "."
    if abs(found.error) >= 0.05:
        way = "too many" if found.error > 0 else "too few"
        said += f" The rhythm alone would be {abs(found.error):.1f} {way}."
    if found.extras and found.loops != found.rows:
        what = "Two from" if found.adds else "None from"
        many = len(found.extras)
        shown = ", ".join(map(str, found.extras[:12])) + (", …" if many > 12 else "")
        said += f" {what} {noun(many, 'row')} {shown}."
    return said


def armhole(found: Armhole) -> str:
    """A pick-up round an armhole from its lowest point."""
    said = f"{found.loops} loops round the armhole, from its lowest point."
    if found.underarm:
        said += f" Underarm: {found.underarm}, one for one."
    return f"{said} Front: {pick_up(found.front)} Back: {pick_up(found.back)}"


def mending(repair: Repair, state: MakeState) -> str:
    """Every way to mend a loop, the best first, a line each."""
    out = [f"{capitalised(repair.place)}:"]
    for way in sorted(repair.ways, key=lambda way: way.name != repair.best):
        if not way.possible:
            out.append(f"  {way.name}: not possible. {way.why_not}.")
            continue
        line = f"  {way.name}: {cost(way.cost, state.plan.craft)}."
        if way.last_safe is not None:
            line += f" Before step {way.last_safe}."
        if way.closes:
            line += f" {way.closes}."
        out.append(line)
    if repair.landing:
        out.append(f"  {landed(repair.landing, state)}")
    return "\n".join(out)
