"""Size and fit: the garment beside the body, and what can be done when it does not fit.

A fit check says too tight, too loose or too short. Each names a few remedies: what to change in
the plan, and how far to rip back for it. Whether a remedy is possible, and what it costs, is
found by planning it (`engine.advise.choices`); this module only proposes. How much to change where
nothing is measured is common practice, no source, and marked in place.
"""

from collections.abc import Callable

from engine.advise.replan import lead_of, level_group, rows_of, shorter
from engine.base.refusal import Refusal
from engine.craft.sizes import BODY_SIZES, CHILD_SIZES, HALF_SIZE_CM, nearest_size
from engine.designs import design
from engine.pattern.text.read import read
from engine.plan.planning import script_for
from models.fit import Line, SizeNear
from models.frozen import Frozen
from models.plan import Plan
from models.script import LOOP_KINDS, Kind, RowScript
from models.state import MakeState

_BODY = {
    "around": ("bust", "head"),
    "upper sleeve": ("upper_arm",),
    "armhole around": ("upper_arm",),
}
"""Body measurements that a garment's measurement goes around."""
_ASKED = {
    "around": ("around",),
    "body height": ("body_height",),
    "armhole depth": ("armhole_depth",),
    "back neck": ("neck_width",),
    "cuff": ("cuff",),
    "width": ("width",),
    "height": ("height",),
}
"""Lengths that are asked for as they are."""
SHARE = 0.1
"""Change of a piece that has no sizes, when it is too tight or too loose (common practice, no
source)."""


def lines(plan: Plan, script: RowScript) -> tuple[Line, ...]:
    """The garment's measurements beside the body's, at the plan's scale."""
    cm = {name: value * plan.scale for name, value in plan.measures.items()}
    found = []
    for name, garment in script.finished_cm.items():
        body = next((cm[key] for key in _BODY.get(name, ()) if key in cm), None)
        wanted = next((cm[key] for key in _ASKED.get(name, ()) if key in cm), None)
        if name == "around" and body is not None:
            wanted = body + cm.get("ease", 0.0)
        if name == "sleeve length" and "back_neck_to_cuff" in cm:
            wanted = cm["back_neck_to_cuff"] - script.finished_cm.get("back width", 0.0) / 2
        found.append(Line(name=name, body=body, wanted=wanted, garment=garment))
    return tuple(found)


def size_near(plan: Plan) -> SizeNear | None:
    """The size whose bust lies nearest to the plan's, among those of its design; None without."""
    bust, sizes = plan.measures.get("bust"), design(plan.design).info.sizes
    table = {n: s for n, s in (BODY_SIZES | CHILD_SIZES).items() if n in sizes}
    if bust is None or not table:
        return None
    near = nearest_size(bust, table)
    return SizeNear(name=near.name, bust=near.bust, off=bust - near.bust)


def loops_around(state: MakeState) -> int | None:
    """Loops that a tape across the work in hand spans; None where it is shaped or not all live.

    Only while every row so far has as many loops as the foundation does a tape across it tell
    the loop gauge.
    """
    worked = [s for s in state.script.steps[: state.at] if s.kind in LOOP_KINDS]
    counts = {s.loops_after for s in worked}
    return counts.pop() if len(counts) == 1 and not any(s.held for s in worked) else None


class Remedy(Frozen):
    """What to change, and how far to rip back for it."""

    does: str
    rip_to: int | None = None
    """Number of the step to whose beginning the work is ripped back."""
    size: str | None = None
    rows: dict[str, int] = {}
    counts: dict[str, int] = {}
    measures: dict[str, float] = {}


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


# --- around the body ----------------------------------------------------------------------


def _around(state: MakeState, sign: int) -> list[Remedy]:
    found = []
    first = next((s.number for s in state.script.steps if s.kind is Kind.FOUNDATION), None)
    if first is not None:
        found += _again_from(state, first, sign)
    gap = _gap(state, sign)
    found += _other_edging(state, sign, gap)
    if sign < 0 and "overlap" in state.plan.measures:
        overlap = round(state.plan.measures["overlap"] + gap / state.plan.scale, 1)
        found.append(
            Remedy(
                does=f"go on and let the fronts overlap by {overlap:g} cm",
                measures={"overlap": overlap},
            )
        )
    return found


def _gap(state: MakeState, sign: int) -> float:
    """Centimetres missing (or too many): as measured, or half a size where nothing tells."""
    around = next((line for line in lines(state.plan, state.script) if line.name == "around"), None)
    off = 0.0 if around is None or around.rounding is None else -sign * around.rounding
    return off if off > 1 / state.plan.gauge.loops_per_cm else HALF_SIZE_CM * state.plan.scale


def _unpinned(plan: Plan) -> Plan:
    counts = {name: count for name, count in plan.counts.items() if name != "foundation"}
    return plan.model_copy(update={"counts": counts})


def _laid_on(plan: Plan) -> int | None:
    try:
        script = script_for(_unpinned(plan))
    except Refusal:
        return None
    return next((s.loops_after for s in script.steps if s.kind is Kind.FOUNDATION), None)


def _again_from(state: MakeState, first: int, sign: int) -> list[Remedy]:
    """From the foundation again: by the gauge as now known, or else in the next size."""
    now = state.script.steps[first - 1].loops_after
    true = _laid_on(state.plan)
    if true is not None and sign * (true - now) > 0:
        return [
            Remedy(
                does=f"rip back to the foundation and count {true} instead of {now}",
                rip_to=first,
                counts={"foundation": true},
            )
        ]
    size, measures = _next_size(state.plan, sign)
    if size is None and not measures:
        return []
    changed = {"measures": state.plan.measures | measures, "size": size or state.plan.size}
    new = _laid_on(state.plan.model_copy(update=changed))
    if new is None:
        return []
    named = f"in size {size}" if size else "wider" if sign > 0 else "narrower"
    counted = f", {new} instead of {now}" if new != now else ""
    return [
        Remedy(
            does=f"rip back to the foundation and begin again {named}{counted}",
            rip_to=first,
            size=size,
            measures=measures,
            counts={"foundation": new},
        )
    ]


def _next_size(plan: Plan, sign: int) -> tuple[str | None, dict[str, float]]:
    """The neighbouring size and the measurements that change with it.

    Measurements that the maker gave herself stay, but for the bust, which moves by the step
    between the two sizes. Without sizes a width changes by a tenth.
    """
    if plan.pattern is not None:
        # A written pattern has its own sizes, and no measurements.
        written = read(plan.pattern).sizes
        place = written.index(plan.size) + sign if plan.size in written else -1
        return (written[place], {}) if 0 <= place < len(written) else (None, {})
    chosen, near = design(plan.design), size_near(plan)
    names = chosen.info.sizes
    size = plan.size or (near.name if near else "")
    if size not in names:
        key = next((k for k in ("around", "width") if k in plan.measures), None)
        if key is None:
            return None, {}
        return None, {key: round(plan.measures[key] * (1 + sign * SHARE), 1)}
    place = names.index(size) + sign
    if not 0 <= place < len(names):
        return None, {"ease": round(plan.measures["ease"] + sign * 2 * HALF_SIZE_CM, 1)}
    old, new = chosen.defaults(size), chosen.defaults(names[place])
    changed = {
        name: new[name]
        for name, value in plan.measures.items()
        if name in new and value == old.get(name) and new[name] != value
    }
    for name in ("bust", "head"):
        if name in plan.measures and name not in changed:
            changed[name] = round(plan.measures[name] + new[name] - old[name], 1)
    return names[place], changed


def _other_edging(state: MakeState, sign: int, gap: float) -> list[Remedy]:
    rows = rows_of(state.script, "edging")
    if not rows:
        return []
    per_row = 2 / state.plan.gauge.rows_per_cm
    wanted = rows + sign * max(1, round(gap / per_row))
    wanted = max(wanted, 1)
    if wanted == rows:
        return []
    width = "wider" if sign > 0 else "narrower"
    return [
        Remedy(
            does=f"go on with a {width} edging, {wanted} {'row' if wanted == 1 else 'rows'} "
            f"instead of {rows}, for {abs(wanted - rows) * per_row:.0f} cm around",
            counts={"edging rows": wanted},
        )
    ]


# --- armholes, sleeves, edging ------------------------------------------------------------


def _picked_up(state: MakeState, part: str) -> int | None:
    """The first pick-up of a part or of those that must be level with it, if it is worked."""
    group = level_group(state.script, part)
    return next(
        (
            s.number
            for s in state.script.steps[: state.at]
            if s.part in group and s.kind is Kind.PICK_UP
        ),
        None,
    )


def _armholes(state: MakeState, sign: int) -> list[Remedy]:
    """Deeper or shallower armholes, or more or fewer loops picked up round them."""
    assert state.step is not None
    found = []
    ease = state.plan.counts.get("armhole ease", 0) + sign
    more = "more" if sign > 0 else "fewer"
    begun = _picked_up(state, state.step.part)
    at = "rip back to the pick-up and take up" if begun else "take up"
    loosen = Remedy(
        does=f"{at} 2 loops {more} round each armhole",
        rip_to=begun,
        counts={"armhole ease": ease},
    )
    lead = state.script.level[0][0] if state.script.level else ""
    if begun is None and lead:
        found.append(_rows_changed(state, lead, 2 * sign))
    return [*found, loosen]


def _rows_changed(state: MakeState, lead: str, more: int) -> Remedy:
    """So many rows more or fewer in a level group, ripping back to where that is still open."""
    rows, group = rows_of(state.script, lead), level_group(state.script, lead)
    last = rows if more > 0 else rows + more
    # A part's last row cuts its yarn, so the row that was last has to be worked again.
    step = next(
        (
            s
            for s in state.script.steps[: state.at]
            if s.part == lead and s.counts_row and s.row == last
        ),
        None,
    )
    told = f"{abs(more)} {'row' if abs(more) == 1 else 'rows'} {'more' if more > 0 else 'fewer'}"
    where = _listed(group)
    does = f"work {told} in the {where}"
    if step is not None:
        does = f"rip back to row {last} of the {lead} and {does}"
    return Remedy(does=does, rip_to=step.number if step else None, rows={lead: rows + more})


def _listed(names: tuple[str, ...]) -> str:
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} and {names[-1]} alike"


def _edging(state: MakeState, sign: int) -> list[Remedy]:
    """A twentieth more or fewer loops up each front (common practice, no source)."""
    picked = next((s for s in state.script.steps if s.part == "edging"), None)
    if picked is None:
        return []
    change = sign * max(1, round(picked.loops_after * 0.025))
    ease = state.plan.counts.get("edging ease", 0) + change
    more = "more" if sign > 0 else "fewer"
    number = abs(change)
    return [
        Remedy(
            does=f"rip back the edging and pick up {number} {'loop' if number == 1 else 'loops'} "
            f"{more} along each front",
            rip_to=picked.number,
            counts={"edging ease": ease},
        )
    ]


# --- too short ----------------------------------------------------------------------------


def _longer(state: MakeState) -> list[Remedy]:
    """One row more, or two, in the part that does not reach and all that must be level with it."""
    part = short_part(state)
    if part is None:
        return []
    lead = lead_of(state.script, part)
    return [_rows_changed(state, lead, more) for more in (1, 2)]


def _shorter(state: MakeState) -> list[Remedy]:
    """Rip back to the rows that come nearest to the length."""
    found = shorter(state)
    if found is None or state.step is None:
        return []
    number, rows = found
    part = state.step.part
    more = rows_of(state.script, part) - rows
    told = f"{more} {'row' if more == 1 else 'rows'}"
    return [
        Remedy(
            does=f"rip back {told} of the {part}, to {rows} in all",
            rip_to=number,
            rows={lead_of(state.script, part): rows},
        )
    ]


def short_part(state: MakeState) -> str | None:
    """The part that a "does not reach" is about: the one in work, or the last one with rows.

    At the shoulders and in what follows them that is the fronts with the back.
    """
    steps = state.script.steps
    if state.at >= len(steps) or not any(s.counts_row for s in steps[: state.at]):
        return None
    here = steps[state.at]
    if rows_of(state.script, here.part):
        return here.part
    return next((s.part for s in reversed(steps[: state.at]) if s.counts_row), None)
