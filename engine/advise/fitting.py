"""Size and fit: the garment's own measurements beside the body's and beside what was asked for."""

from collections.abc import Mapping, Sequence

from engine.craft.sizes import BODY_SIZES, CHILD_SIZES, nearest_size, table_of
from engine.designs import design
from models.fit import Line, SizeNear
from models.plan import Plan
from models.script import LOOP_KINDS, RowScript
from models.state import MakeState

_BODY = {
    "around": ("bust", "head"),
    "upper sleeve": ("upper_arm",),
    "armhole around": ("upper_arm",),
    "back width": ("cross_back",),
}
"""Body measurements that a garment's measurement goes around."""
_ASKED = {
    "around": ("around",),
    "body height": ("body_height",),
    "armhole depth": ("armhole_depth",),
    "back neck": ("neck_width",),
    "underarm": ("underarm",),
    "centre back to cuff": ("back_neck_to_cuff",),
    "cuff": ("cuff",),
    "width": ("width",),
    "height": ("height",),
}
"""Lengths that are asked for as they are."""
GOES_BY = frozenset({"bust", "head", "around", "width"})
"""The measurement that a size is called after."""
SAME_CM = 0.05
"""Measurements closer than this are the same: they are shown to a millimetre."""


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


def asked_and_got(found: Sequence[Line]) -> tuple[str, ...]:
    """What was asked beside what comes of it, a line for each measurement that was asked for."""
    asked = [(line, line.wanted) for line in found if line.wanted is not None]
    return tuple(
        f"{line.name[:1].upper()}{line.name[1:]}: asked for {wanted:.1f} cm, "
        + ("and so it comes" if _same(line.garment, wanted) else f"you get {line.garment:.1f} cm")
        for line, wanted in asked
    )


def _same(one_cm: float, other_cm: float) -> bool:
    return abs(one_cm - other_cm) < SAME_CM


def size_near(plan: Plan) -> SizeNear | None:
    """The size whose bust lies nearest to the plan's, among those of its design; None without."""
    bust, sizes = plan.measures.get("bust"), design(plan.design).info.sizes
    tables = table_of(plan.size) or BODY_SIZES | CHILD_SIZES
    table = {n: s for n, s in tables.items() if n in sizes}
    if bust is None or not table:
        return None
    near = nearest_size(bust, table)
    return SizeNear(name=near.name, bust=near.bust, off=bust - near.bust)


def told_size(plan: Plan) -> str:
    """The size as it may be called: `size M`, `size M but for your own ease`, `your own
    measurements` where the one that it goes by is hers; empty for none."""
    if not plan.size or plan.pattern is not None:
        return f"size {plan.size}" if plan.size else ""
    chosen = design(plan.design)
    usual = chosen.measures(plan.size, plan.craft)
    own = [spec for spec in chosen.info.measures if _own(spec.name, plan, usual)]
    if not own:
        return f"size {plan.size}"
    if any(spec.name in GOES_BY for spec in own):
        return "your own measurements"
    named = [f"{spec.label[:1].lower()}{spec.label[1:]}" for spec in own]
    if len(named) > 2:
        return f"size {plan.size} but for {len(named)} measurements of your own"
    return f"size {plan.size} but for your own {' and '.join(named)}"


def _own(name: str, plan: Plan, usual: Mapping[str, float]) -> bool:
    value, default = plan.measures.get(name), usual.get(name)
    return value is not None and default is not None and abs(value - default) > SAME_CM


def loops_around(state: MakeState) -> int | None:
    """Loops that a tape across the work in hand spans; None where it is shaped or not all live.

    Only while every row so far has as many loops as the foundation does a tape across it tell
    the loop gauge.
    """
    worked = [s for s in state.script.steps[: state.at] if s.kind in LOOP_KINDS]
    counts = {s.loops_after for s in worked}
    return counts.pop() if len(counts) == 1 and not any(s.held for s in worked) else None


def loops_across(state: MakeState) -> int | None:
    """Loops that a tape across the last rows spans: those of two rows alike, one over the other.

    None where there are no such rows in the part in work, or where the last ones are shaped.
    """
    part = state.step.part if state.step else ""
    worked = [s for s in state.script.steps[: state.at] if s.kind in LOOP_KINDS and s.part == part]
    last = [s.loops_after for s in worked[-2:] if s.counts_row]
    return last[0] if len(last) == 2 and last[0] == last[1] > 0 else None


def short_part(state: MakeState) -> str | None:
    """The part that a "does not reach" is about: the one in work, or the last one with rows.

    At the shoulders and in what follows them that is the fronts with the back.
    """
    steps = state.script.steps
    if state.at >= len(steps) or not any(s.counts_row for s in steps[: state.at]):
        return None
    here = steps[state.at].part
    if any(s.counts_row and s.part == here for s in steps):
        return here
    return next((s.part for s in reversed(steps[: state.at]) if s.counts_row), None)
