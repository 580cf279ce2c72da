"""Only so many balls are to be had: how much shorter each part must be for them to reach."""

from collections.abc import Iterator

from engine.advise.remedies import Remedy
from engine.advise.replan import level_group, replanned, rows_done, rows_of
from engine.advise.yarn import forecast
from engine.base.plural import some
from engine.base.refusal import Refusal
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


def needed(state: MakeState, script: RowScript | None = None) -> int:
    """Balls in all, those begun counted, with the ends of every join; of another script, too.

    Raises Refusal where nobody has said how many loops a ball has.
    """
    if state.several_yarns:
        raise Refusal(
            "How far balls reach is counted for one yarn; this is worked from several: count the "
            "balls of each by 'spokenrow yarn'."
        )
    if state.ball_size is None:
        raise Refusal(
            "How far balls reach wants the loops in one: give --ball at the beginning, or its "
            "number with the key of a new ball."
        )
    there = state if script is None else state.model_copy(update={"script": script})
    return state.balls + forecast(there).more_balls


def shorter(state: MakeState, balls: int) -> tuple[Shorter, ...]:
    """Each part that the tape decides, as long as so many balls in all allow from here.

    Empty where they reach anyway, or where no part alone can give so much. Raises Refusal like
    `needed`.
    """
    return () if needed(state) <= balls else tuple(_each(state, balls))


def remedies(state: MakeState) -> list[Remedy]:
    """What to leave out, where she has said how many balls there are."""
    balls = state.balls_had
    if balls is None:
        return []

    def reaching(way: Shorter) -> Remedy:
        return Remedy(
            lambda new: f"{way.does}, {way.cm:g} cm less" if needed(state, new) <= balls else "",
            rows={way.lead: way.rows},
        )

    return [reaching(way) for way in shorter(state, balls)]


def _each(state: MakeState, balls: int) -> Iterator[Shorter]:
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
        )


def _longest(state: MakeState, group: tuple[str, ...], balls: int) -> RowScript | None:
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
        if rows_of(script, lead) < rows and needed(state, script) <= balls:
            best, low = script, middle + 1
        else:
            high = middle - 1
    return best
