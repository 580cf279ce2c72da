"""What can be done when it does not fit: proposals, the thorough way first.

A fit check says too tight, too loose or too short. Each names a few remedies: what to change in
the plan, and to which steps the work may be ripped back for it, the latest first. Whether a remedy
is possible, what it comes to and what it costs is found by planning it (`engine.advise.choices`);
only then does it say what it does, from the script that came of it. One that would not do what it
is for says nothing and is not offered. How much to change where nothing is measured is common
practice, no source, and marked in place.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from engine.advise.fitting import lines, short_part, size_near
from engine.advise.replan import lead_of, level_group, rows_done, rows_of, shorter
from engine.base.refusal import Refusal
from engine.craft.sizes import HALF_SIZE_CM, table_of
from engine.designs import design
from engine.plan.planning import script_for
from models.plan import Plan
from models.script import Kind, RowScript
from models.state import MakeState

SHARE = 0.1
"""Change of a piece that has no sizes, when it is too tight or too loose (common practice, no
source)."""
_STEPS_CM = (1.0, 2.5)
"""Lengths that are offered when it does not reach, cm, and at least one and two rows (common
practice, no source)."""
_ARMHOLE_CM = 2.5
"""How much deeper or shallower an armhole is offered, cm, and at least two rows (common practice,
no source)."""
_ROUND_CM = 2.0
"""How much wider or narrower an armhole's pick-up is offered, cm, and at least two loops (common
practice, no source)."""
_EDGE_SHARE = 0.025
"""Share of an edging's loops by which each front's pick-up changes (common practice, no source)."""


@dataclass(frozen=True)
class Remedy:
    """What to change, and how far to rip back for it."""

    says: Callable[[RowScript], str]
    """What it does, a clause, from the script that comes of it; empty where it does not do that."""
    back: tuple[int | None, ...] = (None,)
    """Steps to whose beginning the work may be ripped back, the cheapest first; None for not."""
    size: str | None = None
    rows: dict[str, int] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)
    measures: dict[str, float] = field(default_factory=dict)


def remedies(state: MakeState, verdict: str) -> list[Remedy]:
    """What can be done about a verdict at the step in work, the thorough way first."""
    step = state.step
    if step is None:
        return []
    if verdict == "too short":
        return _longer(state)
    if verdict == "too long":
        return _shorter(state)
    sign = 1 if verdict == "too tight" else -1
    propose: Callable[[MakeState, int], list[Remedy]] = _around
    if step.part == "edging":
        propose = _edging
    elif "edging" in state.script.parts and step.part != "body":
        propose = _armholes
    return propose(state, sign)


def _first(script: RowScript, kind: Kind, *parts: str) -> int | None:
    """Number of the first step of that kind, in one of those parts if any are named."""
    return next(
        (s.number for s in script.steps if s.kind is kind and (not parts or s.part in parts)), None
    )


def _more(sign: int) -> str:
    return "more" if sign > 0 else "fewer"


def _rows(count: int) -> str:
    return f"{count} {'row' if count == 1 else 'rows'}"


# --- around the body ----------------------------------------------------------------------


def _around(state: MakeState, sign: int) -> list[Remedy]:
    found = _again(state, sign)
    if rows := rows_of(state.script, "edging"):
        per_row = 2 / state.plan.gauge.rows_per_cm
        wanted = max(1, rows + sign * max(1, round(_gap(state, sign) / per_row)))
        width = "wider" if sign > 0 else "narrower"
        found.append(
            Remedy(
                lambda new: _if_around(
                    state,
                    new,
                    sign,
                    f"go on with a {width} edging, {_rows(rows_of(new, 'edging'))} instead of "
                    f"{rows},",
                ),
                counts={"edging rows": wanted},
            )
        )
    if sign < 0 and "overlap" in state.plan.measures:
        gap = _gap(state, sign) / state.plan.scale
        overlap = round(state.plan.measures["overlap"] + gap, 1)
        found.append(
            Remedy(
                lambda new: _if_around(
                    state, new, sign, f"go on and let the fronts overlap by {overlap:g} cm,"
                ),
                measures={"overlap": overlap},
            )
        )
    return found


def _if_around(state: MakeState, new: RowScript, sign: int, clause: str) -> str:
    """The clause with what it makes around, where that is in the right direction."""
    change = new.finished_cm["around"] - state.script.finished_cm["around"]
    return f"{clause} for {abs(change):.0f} cm around" if sign * change >= 0.5 else ""


def _gap(state: MakeState, sign: int) -> float:
    """Centimetres missing (or too many): as measured, or half a size where nothing tells."""
    around = next((line for line in lines(state.plan, state.script) if line.name == "around"), None)
    off = 0.0 if around is None or around.rounding is None else -sign * around.rounding
    return off if off > 1 / state.plan.gauge.loops_per_cm else HALF_SIZE_CM * state.plan.scale


def _alone(plan: Plan) -> RowScript | None:
    """What a plan comes to by itself, whatever was decided of its loops."""
    counts = {name: count for name, count in plan.counts.items() if name != "foundation"}
    fresh = {"counts": counts, "worked": {}, "worked_rows": {}}
    try:
        return script_for(plan.model_copy(update=fresh))
    except Refusal:
        return None


def _laid(script: RowScript) -> int:
    return next((s.loops_after for s in script.steps if s.kind is Kind.FOUNDATION), 0)


def _wide(script: RowScript) -> float:
    """How wide it is, around or across, cm; a pattern that does not say is as wide as it begins."""
    cm = script.finished_cm
    return cm.get("around", cm.get("width", _laid(script) / script.gauge.loops_per_cm))


def _again(state: MakeState, sign: int) -> list[Remedy]:
    """From the foundation again: by the gauge as now known, and in the next size."""
    first, now = _first(state.script, Kind.FOUNDATION), state.script
    if first is None:
        return []

    def wider(script: RowScript | None) -> bool:
        return script is not None and sign * (_wide(script) - _wide(now)) > 0.1

    def comes(new: RowScript) -> str:
        """How wide it will be: who is two sizes off sees that one is not enough."""
        name = "around" if "around" in new.finished_cm else "wide"
        return f"{_wide(new):.0f} cm {name}"

    def said(clause: str) -> Callable[[RowScript], str]:
        def says(new: RowScript) -> str:
            loops = f"{_laid(new)} instead of {_laid(now)}"
            if not wider(new):
                return ""
            if not clause:
                return f"count {loops}"
            return ", ".join((clause, *([loops] if _laid(new) != _laid(now) else ()), comes(new)))

        return says

    found, true = [], _alone(state.plan)
    if true is not None and sign * (_laid(true) - _laid(now)) > 0:
        found.append(Remedy(said(""), back=(first,), counts={"foundation": _laid(true)}))
    for size, measures in _other_sizes(state.plan, sign):
        changed = {"measures": state.plan.measures | measures, "size": size or state.plan.size}
        other = _alone(state.plan.model_copy(update=changed))
        if other is not None and wider(other):
            named = f"in size {size}" if size else "wider" if sign > 0 else "narrower"
            found.append(
                Remedy(
                    said(f"begin again {named}"),
                    back=(first,),
                    size=size,
                    measures=measures,
                    counts={"foundation": _laid(other)},
                )
            )
            break
    return found


def _other_sizes(plan: Plan, sign: int) -> list[tuple[str | None, dict[str, float]]]:
    """The neighbouring size with the measurements that change, or more and more ease or width.

    The second and later ones are for where the first comes to the same loops: a yarn so thick that
    two sizes are one.
    """
    if plan.pattern is not None:
        # A written pattern has its own sizes, and no measurements.
        from engine.pattern.text.read import read  # slow to load

        written = read(plan.pattern).sizes
        place = written.index(plan.size) + sign if plan.size in written else -1
        return [(written[place], {})] if 0 <= place < len(written) else []
    named = _next_size(plan, sign)
    found: list[tuple[str | None, dict[str, float]]] = [named] if named else []
    key = next((k for k in ("ease", "around", "width") if k in plan.measures), None)
    if key is None:
        return found
    usual = HALF_SIZE_CM if key == "ease" else plan.measures[key] * SHARE
    spec = next(s for s in design(plan.design).info.measures if s.name == key)
    for times in (1, 2, 3, 4):
        cm = round(plan.measures[key] + sign * times * usual, 1)
        if spec.low <= cm <= spec.high:
            found.append((None, {key: cm}))
    return found


def _next_size(plan: Plan, sign: int) -> tuple[str, dict[str, float]] | None:
    """The neighbouring size and the measurements that change with it; None without one.

    Measurements that the maker gave herself stay, but for the bust, which moves by the step
    between the two sizes.
    """
    chosen, near = design(plan.design), size_near(plan)
    size = plan.size or (near.name if near else "")
    table = table_of(size)
    # The next of its own table: after the largest woman's comes no child's.
    names = [name for name in chosen.info.sizes if not table or name in table]
    place = names.index(size) + sign if size in names else -1
    if not 0 <= place < len(names):
        return None
    old, new = (chosen.measures(name, plan.craft) for name in (size, names[place]))
    changed = {
        name: new[name]
        for name, value in plan.measures.items()
        if name in new and value == old.get(name) and new[name] != value
    }
    for name in ("bust", "head"):
        if name in plan.measures and name not in changed:
            changed[name] = round(plan.measures[name] + new[name] - old[name], 1)
    return names[place], changed


# --- armholes, sleeves, edging ------------------------------------------------------------


def _armholes(state: MakeState, sign: int) -> list[Remedy]:
    """Deeper or shallower armholes, or more or fewer loops picked up round them."""
    assert state.step is not None
    group = level_group(state.script, state.step.part)
    pick_up = next((s for s in state.script.steps if s.kind is Kind.PICK_UP), None)
    if pick_up is None:
        return []
    begun = _first(state.script, Kind.PICK_UP, *group)
    begun = begun if begun is not None and begun <= state.at else None
    per_side = max(1, round(_ROUND_CM * state.plan.gauge.loops_per_cm / 2))

    def loosened(new: RowScript) -> str:
        step = next(s for s in new.steps if s.kind is Kind.PICK_UP)
        change = step.loops_after - pick_up.loops_after
        if sign * change <= 0:
            return ""
        loops = f"{abs(change)} {'loop' if abs(change) == 1 else 'loops'}"
        return f"take up {loops} {_more(sign)} round each armhole"

    loosen = Remedy(
        loosened,
        back=(begun,),
        counts={"armhole ease": state.plan.counts.get("armhole ease", 0) + sign * per_side},
    )
    lead = state.script.level[0][0] if state.script.level else ""
    if begun is not None or not lead:
        return [loosen]
    more = max(2, round(_ARMHOLE_CM * state.plan.gauge.rows_per_cm))
    return [_rows_changed(state, lead, sign * more), loosen]


def _rows_changed(state: MakeState, lead: str, more: int) -> Remedy:
    """So many rows more or fewer in a level group, ripping back to where that is still open."""
    rows = rows_of(state.script, lead)

    def says(new: RowScript) -> str:
        change = rows_of(new, lead) - rows
        if change == 0 or (change > 0) is not (more > 0):
            return ""
        where = _listed(level_group(new, lead))
        return f"work {_rows(abs(change))} {_more(change)} in the {where}"

    kept = min(rows_done(state, lead), max(1, rows + more))
    return Remedy(says, back=(None, after_row(state, lead, kept)), rows={lead: max(1, rows + more)})


def after_row(state: MakeState, part: str, row: int) -> int | None:
    """Number of the step that follows a worked row; None where nothing of it is worked."""
    last = next(
        (
            s.number
            for s in state.script.steps[: state.at]
            if s.part == part and s.counts_row and s.row == row
        ),
        None,
    )
    return None if last is None else last + 1


def _listed(names: tuple[str, ...]) -> str:
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]} alike"


def _edging(state: MakeState, sign: int) -> list[Remedy]:
    """More or fewer loops up each front; where it is too tight, also another row."""
    picked = next((s for s in state.script.steps if s.part == "edging"), None)
    if picked is None:
        return []
    change = sign * max(1, round(picked.loops_after * _EDGE_SHARE))

    def says(new: RowScript) -> str:
        now = next(s for s in new.steps if s.part == "edging")
        number = (now.loops_after - picked.loops_after) // 2
        if sign * number <= 0:
            return ""
        loops = f"{abs(number)} {'loop' if abs(number) == 1 else 'loops'}"
        return f"pick up {loops} {_more(sign)} along each front"

    ease = state.plan.counts.get("edging ease", 0) + change
    return [Remedy(says, back=(picked.number,), counts={"edging ease": ease})]


# --- too short, too long ------------------------------------------------------------------


def _longer(state: MakeState) -> list[Remedy]:
    """A little more, or more, in the part that does not reach and all that must be level."""
    part = short_part(state)
    if part is None:
        return []
    if part == "edging":
        return [_edging_row(state)]
    lead, up = lead_of(state.script, part), state.plan.gauge.rows_per_cm
    return [
        _rows_changed(state, lead, max(least, round(cm * up)))
        for least, cm in enumerate(_STEPS_CM, 1)
    ]


def _edging_row(state: MakeState) -> Remedy:
    rows = rows_of(state.script, "edging")

    def says(new: RowScript) -> str:
        more = rows_of(new, "edging") - rows
        return f"work {_rows(more)} more of the edging" if more > 0 else ""

    return Remedy(
        says, back=(None, after_row(state, "edging", rows)), counts={"edging rows": rows + 1}
    )


def _shorter(state: MakeState) -> list[Remedy]:
    """Rip back to the rows that come nearest to the length."""
    found = shorter(state)
    if found is None or state.step is None:
        return []
    number, rows = found
    part = state.step.part
    lead, now = lead_of(state.script, part), rows_of(state.script, part)

    def says(new: RowScript) -> str:
        fewer = now - rows_of(new, part)
        return f"leave out {_rows(fewer)}, {rows_of(new, part)} in all" if fewer > 0 else ""

    return [Remedy(says, back=(number,), rows={lead: rows})]
