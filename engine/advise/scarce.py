"""Only so many balls are to be had: how much shorter each part must be for them to reach."""

from collections.abc import Iterator, Mapping

from engine.advise.colours import ball_order
from engine.advise.remedies import Remedy
from engine.advise.replan import level_group, replanned, rows_done, rows_of
from engine.advise.yarn import balls_for, forecast
from engine.base.plural import some
from engine.base.refusal import Refusal
from engine.script.twice import one_of_two
from engine.script.yarns import by_colour, worked_by_yarn
from models.frozen import Frozen
from models.script import RowScript
from models.state import MakeState

_MOST = 0.5
"""Share of a part's rows that may be left out (common practice, no source)."""


class Shorter(Frozen):
    """One way to make do."""

    does: str
    lead: str
    """The part whose row count decides."""
    rows: int
    """Rows of the part that are left."""
    cm: float
    """By how much the part is shorter."""
    loops: int
    """Of yarn, in all."""
    balls: dict[str, int] = {}
    """What it takes of each yarn; empty for one."""


Had = int | Mapping[str, int]
"""Balls that there are: in all, or of each yarn that is scarce."""


def needed(state: MakeState, script: RowScript | None = None) -> int:
    """Balls in all, those begun counted, with the ends of every join; of another script, too.

    Raises Refusal where nobody has said how many loops a ball has, or for one that does not reach
    for the longest stretch of a colour.
    """
    if each := by_yarn(state, script):
        return sum(each.values())
    return state.balls + forecast(_with(state, script)).more_balls


def by_yarn(state: MakeState, script: RowScript | None = None) -> dict[str, int]:
    """Balls of each of several yarns, in the order in which they come in; empty for one yarn.

    Of colours each ball is joined where its stretch begins, as `ball_order` has it; two dye lots
    are joined wherever a ball ends. Raises Refusal like `needed`.
    """
    if state.ball_size is None:
        raise Refusal(
            "How far balls reach wants the loops in one: give --ball at the beginning, or its "
            "number with the key of a new ball."
        )
    if not state.several_yarns:
        return {}
    there = state.script if script is None else script
    if state.plan.lots:
        return {lot: balls_for(loops, state.ball_size) for lot, loops in by_colour(there).items()}
    found: dict[str, set[int]] = {}
    for use in ball_order(there, state.ball_size):
        found.setdefault(use.colour, set()).add(use.ball)
    return {colour: len(balls) for colour, balls in found.items()}


def begun(state: MakeState) -> int:
    """Balls that have been begun: at least one of each yarn that is in the work."""
    worked = {step.number for step in state.script.steps[: state.at + 1]}
    yarns = {yarn for step, yarn, _ in worked_by_yarn(state.script) if step.number in worked}
    return max(state.balls, len(yarns))


def reach(state: MakeState, balls: Had, script: RowScript | None = None) -> bool:
    """Whether so many balls do. Raises Refusal like `needed`, and for a yarn that it has not."""
    if isinstance(balls, int):
        return needed(state, script) <= balls
    each = by_yarn(state, script)
    if unknown := [yarn for yarn in balls if yarn not in each]:
        there = f"it is worked from {', '.join(each)}" if each else "it is worked from one yarn"
        raise Refusal(f"Nothing is worked in {unknown[0]!r}: {there}.")
    return all(each[yarn] <= had for yarn, had in balls.items())


def told(each: Mapping[str, int]) -> str:
    """`: 4 of cream, 3 of sand`; empty for one yarn."""
    return ": " + ", ".join(f"{n} of {yarn}" for yarn, n in each.items()) if each else ""


def for_one(state: MakeState) -> str:
    """` That is for one sock; the second takes as many.`; empty for what is made once."""
    one = one_of_two(state.script)
    return f" That is for one {one}; the second takes as many." if one else ""


def shorter(state: MakeState, balls: Had) -> tuple[Shorter, ...]:
    """Each part that the tape decides, as long as so many balls allow from here.

    Empty where they reach anyway, or where no part alone can give so much. Raises Refusal like
    `reach`.
    """
    return () if reach(state, balls) else tuple(_each(state, balls))


def remedies(state: MakeState) -> list[Remedy]:
    """What to leave out, where she has said how many balls there are."""
    balls = state.balls_had
    if balls is None:
        return []

    def reaching(way: Shorter) -> Remedy:
        return Remedy(
            lambda new: (
                f"{way.does}, {way.cm:g} cm less{takes(way)}" if reach(state, balls, new) else ""
            ),
            rows={way.lead: way.rows},
        )

    return [reaching(way) for way in shorter(state, balls)]


def takes(way: Shorter) -> str:
    """What it then takes of each of several yarns: ` (4 of cream, 3 of sand)`."""
    return f" ({told(way.balls).removeprefix(': ')})" if way.balls else ""


def _with(state: MakeState, script: RowScript | None) -> MakeState:
    return state if script is None else state.model_copy(update={"script": script})


def _each(state: MakeState, balls: Had) -> Iterator[Shorter]:
    script = state.script
    open_parts = (s.part for s in script.steps[state.at :] if s.counts_row and s.rows is None)
    for group in dict.fromkeys(level_group(script, part) for part in open_parts):
        lead, rows = group[0], rows_of(script, group[0])
        found = _longest(state, group, balls)
        if found is None:
            continue
        left = rows_of(found, lead)
        names = " and ".join((", ".join(group[:-1]), group[-1])) if len(group) > 1 else lead
        yield Shorter(
            does=f"work the {names} {some(rows - left, 'row')} shorter",
            lead=lead,
            rows=left,
            cm=round((rows - left) / state.plan.gauge.rows_per_cm, 1),
            loops=found.yarn_loops,
            balls=by_yarn(state, found),
        )


def _longest(state: MakeState, group: tuple[str, ...], balls: Had) -> RowScript | None:
    """The script with most rows of these parts for which the balls reach, by halving."""
    lead, rows = group[0], rows_of(state.script, group[0])
    worked = max(rows_done(state, part) for part in group)
    low, high = max(1, worked, round(rows * (1 - _MOST))), rows - 1
    best = None
    while low <= high:
        middle = (low + high + 1) // 2
        try:
            script = replanned(state, rows={lead: middle})[1]
        except Refusal:
            low = middle + 1
            continue
        if rows_of(script, lead) < rows and reach(state, balls, script):
            best, low = script, middle + 1
        else:
            high = middle - 1
    return best
