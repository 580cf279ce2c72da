"""Writes a script out one step a line: the plainest use of the notation, for round trips.

Nothing is folded and nothing is by size, so that what the notation can express is tested apart
from how well a writer uses it.
"""

from models.script import Craft, Kind, Operation, RowScript, Step

_NAMES = {"co": "cast on", "tail": "leave a tail", "join": "join yarn", "seam": "chain"}
_LABELS = {Kind.ROW: "Row", Kind.ROUND: "Rnd"}


def operation(op: Operation) -> str:
    at = op.at
    match op.stitch:
        case "rest":
            return f'leave {op.times} loops resting at "{at}"'
        case "rest next":
            return f'leave the next {op.times} loops resting at "{at}"'
        case "resume":
            return f'take up {op.times} loops from "{at}"'
        case "pair":
            one, other = at.split("|")
            return f'pair {op.times} loops of "{one}" with "{other}"'
    name = _NAMES.get(op.stitch, op.stitch)
    number = (
        ""
        if op.times == 1 and op.stitch in {"tail", "join", "fasten", "pm", "sm", "rm", "turn"}
        else f" {op.times}"
    )
    if op.stitch.endswith(" tbl") and op.stitch[0] in "kp" and len(op.stitch) == 5:
        name, number = f"{op.stitch[0]}{op.times} tbl", ""
    elif "tog" in op.stitch or op.stitch in {"ssk", "yo", "kfb"}:
        number = f" {op.times} times"
    return name + number + (f' "{at}"' if at else "")


def _marks(step: Step) -> str:
    side = step.side or ""
    direction = step.direction.value if step.direction else "either way"
    return f" ({', '.join(filter(None, (side, direction)))})"


def _line(step: Step) -> str:
    label = f"{_LABELS[step.kind]} {step.row}" if step.counts_row else step.kind.value.capitalize()
    body = ", ".join(operation(op) for op in step.operations)
    if step.kind is Kind.MEASURE and step.target_cm is not None:
        body = f"{step.target_cm!r} cm"
    return f"{label}{_marks(step)}:" + (f" {body}" if body else "")


def literal(script: RowScript) -> str:
    craft = "loop yarn" if script.craft is Craft.LOOP else "needles"
    gauge = script.gauge
    out = [
        f"Title: {script.title}",
        f"Design: {script.design}",
        f"Craft: {craft}",
        f"Sizes: {script.size or 'one size'}",
        f"Gauge: {gauge.loops_per_10cm!r} x {gauge.rows_per_10cm!r}",
        *(f"Finished {name}: {cm!r} cm" for name, cm in script.finished_cm.items()),
        *(f"Level: {', '.join(group)}" for group in script.level),
        *(f"Mirrored: {', '.join(pair)}" for pair in script.mirrored),
    ]
    part, length = "", ""
    for step in script.steps:
        if step.part != part:
            part, length = step.part, ""
            out.append(f"Part: {part}")
        if step.counts_row:
            rows = "open" if step.rows is None else f"{step.rows} rows"
            now = f"Length: {rows}, {step.rows_planned} rows planned"
            if now != length:
                length = now
                out.append(now)
        out += [_line(step), f"Note: {step.note or '-'}"]
    return "\n".join(out) + "\n"
