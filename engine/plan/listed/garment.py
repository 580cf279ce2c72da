"""The plan of a list of numbers, and its check: the design works it, the audit proves it."""

import re
from collections.abc import Callable

from engine.base.refusal import Refusal
from engine.designs import cardigan, child_cardigan, design, vest
from engine.plan.listed.reading import LoopList, read_list
from engine.plan.listed.sums import Numbers, misfits, numbers_of
from engine.plan.planning import DEFAULT_GAUGE, make_plan, read_gauge, script_for
from models.gauge import Gauge
from models.pattern import Fault, LineRead, PatternCheck, Severity, SizeCount
from models.plan import Plan
from models.script import ROW_KINDS, Craft, Hand

GARMENTS = ("cardigan", "child-cardigan", "vest")
"""Designs that are worked from such a list."""
_SEVERAL = re.compile(
    r"^\s*(?:(?:row|rnd|round|r)\s*\d+\s*[:(.]|\d+(?:st|nd|rd|th)\s+(?:row|rnd))", re.I | re.M
)
_EACH: tuple[tuple[str, Callable[[Numbers], int | None]], ...] = (
    ("foundation", lambda n: n.foundation),
    ("front", lambda n: n.front),
    ("back", lambda n: n.back),
    ("underarm", lambda n: n.bind - 1),
    ("neck", lambda n: n.back - 2 * n.shoulder),
    ("armhole rows", lambda n: n.armhole_rows),
    ("sleeve", lambda n: n.sleeve),
    ("cuff", lambda n: n.cuff),
    ("edging rows", lambda n: n.edging),
)


def is_list(text: str) -> bool:
    """Whether a text is a list of numbers and no pattern in rows."""
    if _SEVERAL.search(text):
        return False
    about = r"\b(?:foundation|cast[\s-]on|fronts?|back|bind|armholes?|sleeves?)\b[^\n,;.]{0,30}?\d"
    words = {m.split()[0].lower().rstrip("s:") for m in re.findall(about, text, re.I)}
    if len(words) < 3:
        return False
    try:
        read_list(text)
    except Refusal:
        return False
    return True


def plan_of_list(
    text: str,
    name: str = "cardigan",
    *,
    size: str = "",
    gauge: Gauge | None = None,
    craft: Craft | None = None,
    hand: Hand = Hand.RIGHT,
    ball_loops: int | None = None,
    title: str = "",
) -> Plan:
    """The plan of a list. Raises Refusal with the first thing that does not fit."""
    listed = read_list(text)
    index = _size(listed, size)
    numbers = numbers_of(listed, index)
    _suits(name, listed)
    found = misfits(numbers, listed, index)
    if found:
        raise Refusal(f"The numbers do not fit: {found[0].text}; {found[0].repair}.")
    worked = gauge or read_gauge(listed.gauge or DEFAULT_GAUGE)
    plan = make_plan(name, worked, craft=craft, hand=hand, ball_loops=ball_loops)
    return plan.model_copy(
        update={
            "title": title or listed.title or plan.title,
            "size": listed.sizes[index],
            "measures": _measures(plan, numbers, listed, index),
            "rows": _rows(plan, numbers, listed, index),
            "counts": {key: value for key, of in _EACH if (value := of(numbers)) is not None},
        }
    )


def _suits(name: str, listed: LoopList) -> None:
    if name not in GARMENTS:
        raise Refusal(
            f"The {name} is not worked from a list of numbers: {', '.join(GARMENTS)} are."
        )
    if name == "vest" and any(n.startswith("sleeve") for n in listed.numbers):
        raise Refusal("The vest has no sleeves: leave them out, or make the cardigan.")


def _size(listed: LoopList, size: str) -> int:
    if not size:
        return 0
    for index, name in enumerate(listed.sizes):
        if name.lower() == size.lower():
            return index
    told = ", ".join(name for name in listed.sizes if name) or "one, without a name"
    raise Refusal(f"The list has no size {size!r}; it has {told}.")


def _measures(plan: Plan, n: Numbers, listed: LoopList, size: int) -> dict[str, float]:
    """What the numbers come to at the gauge, in cm; what they do not say is the usual size's."""
    gauge, cm = plan.gauge, dict(plan.measures)
    edging = n.edging if n.edging is not None else _edging_rows(plan)
    around = n.foundation / gauge.loops_per_cm + 2 * edging / gauge.rows_per_cm - cm["overlap"]
    opening = (n.sleeve or n.foundation) / gauge.loops_per_cm
    cm |= {
        "bust": around - cm["ease"],
        "armhole_depth": n.armhole_rows / gauge.rows_per_cm,
        "neck_width": max(
            4.0, (n.back - 2 * n.shoulder) / gauge.loops_per_cm - 2 * edging / gauge.rows_per_cm
        ),
        "cross_back": n.back / gauge.loops_per_cm - max(0.0, cm["ease"]) / 2,
        "underarm": (n.bind - 1) / gauge.loops_per_cm,
        "upper_arm": min(cm["upper_arm"], opening),
    }
    if n.cuff is not None:
        cm["cuff"] = n.cuff / gauge.loops_per_cm
    body, sleeve = listed.length("body", size), listed.length("sleeve", size)
    if n.body_rows is not None:
        cm["body_height"] = n.body_rows / gauge.rows_per_cm
    elif body is not None:
        cm["body_height"] = body
    rounds = n.sleeve_rows
    if sleeve is None and rounds is not None:
        sleeve = rounds / gauge.rows_per_cm
    if sleeve is not None:
        cm["back_neck_to_cuff"] = sleeve + n.back / gauge.loops_per_cm / 2
    return {name: round(value, 3) for name, value in cm.items()}


def _edging_rows(plan: Plan) -> int:
    styles = {s.name: s for s in (cardigan.STYLE, child_cardigan.STYLE, vest.STYLE)}
    return styles[plan.design].edging(plan.gauge)


def _rows(plan: Plan, n: Numbers, listed: LoopList, size: int) -> dict[str, int]:
    rows = {"right front": n.armhole_rows}
    if n.body_rows is not None:
        rows["body"] = n.body_rows
    if n.sleeve_rows is not None:
        rows["right sleeve"] = n.sleeve_rows
    elif n.sleeve is not None and n.cuff is not None:
        length = listed.length("sleeve", size)
        usual = plan.measures["back_neck_to_cuff"] - n.back / plan.gauge.loops_per_cm / 2
        wanted = round((length if length is not None else usual) * plan.gauge.rows_per_cm)
        rows["right sleeve"] = max(wanted, 2 * (n.sleeve - n.cuff), 1)
    return rows


def check_list(text: str, gauge: Gauge | None = None, name: str = "cardigan") -> PatternCheck:
    """Every size of a list: what does not fit, and what the sound ones come to."""
    listed = read_list(text)
    faults: list[Fault] = []
    counts: list[SizeCount] = []
    for index, size in enumerate(listed.sizes):
        shown = size if len(listed.sizes) > 1 else ""
        try:
            numbers = numbers_of(listed, index)
            found = misfits(numbers, listed, index)
        except Refusal as refusal:
            faults.append(Fault(line=1, column=1, size=shown, text=str(refusal).rstrip(".")))
            continue
        for one in found:
            place = listed.numbers.get(one.name) or listed.numbers.get(one.name.split(" ")[0])
            faults.append(
                Fault(
                    line=place.line if place else 1,
                    column=place.column if place else 1,
                    size=shown,
                    text=one.text,
                    repair=one.repair,
                )
            )
        if found:
            continue
        try:
            script = script_for(plan_of_list(text, name, size=size, gauge=gauge))
        except Refusal as refusal:
            faults.append(Fault(line=1, column=1, size=shown, text=str(refusal).rstrip(".")))
            continue
        rows = sum(step.kind in ROW_KINDS for step in script.steps)
        most = max(step.loops_before for step in script.steps)
        counts.append(
            SizeCount(
                size=size or "one size",
                rows=rows,
                steps=len(script.steps),
                yarn_loops=script.yarn_loops,
                most_loops=most,
            )
        )
    if not listed.gauge and gauge is None:
        faults.append(
            Fault(
                line=1,
                column=1,
                severity=Severity.WARNING,
                text=f"the list states no gauge, so {DEFAULT_GAUGE} is taken for its lengths",
                repair="add a line such as 'Gauge: 5 x 3.75'",
            )
        )
    return PatternCheck(
        title=listed.title or design(name).info.title,
        craft=Craft.LOOP.value,
        sizes=tuple(size or "one size" for size in listed.sizes),
        faults=tuple(faults),
        counts=tuple(counts),
        lines=tuple(
            LineRead(
                line=n, last=n, text=line, taken_as="step" if re.search(r"\d", line) else "heading"
            )
            for n, line in enumerate(text.split("\n"), 1)
            if line.strip()
        ),
    )
