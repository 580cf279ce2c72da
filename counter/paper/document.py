"""What a pattern sheet says, before it is set in type. Pure: plans and scripts in, words out."""

from collections.abc import Sequence
from datetime import datetime
from itertools import groupby

from counter.paper.several import Together, looks_told, several, several_rows
from engine.advise import fitting, yarn
from engine.designs import DESIGNS
from engine.draw.movement.movements import MOVEMENTS
from engine.draw.movement.shown import movement_of
from engine.draw.movement.svg import svg as movement_svg
from engine.draw.outline import letters, outline, outline_svg
from engine.draw.schematic import layout
from engine.draw.schematic_svg import svg
from engine.pattern.front import DYE_LOTS, front_of, written_in
from engine.script import places, wording
from engine.script.repeats import Repeat, folded
from engine.script.twice import one_of_two, to_be_made
from engine.script.yarns import by_colour
from models.frozen import Frozen
from models.plan import Plan
from models.script import ROW_KINDS, Craft, Direction, Hand, Kind, Operation, RowScript, Step
from models.state import MakeState, Note
from models.stitch import Role
from models.text import Lines, Words

_BOXES_AT_LEAST = 3
"""As many equal rows in a row share one line, with a box for each."""


class Line(Frozen):
    """One line of the row table."""

    boxes: tuple[Words, ...]
    """What stands beside each tick box: a row's number, or nothing."""
    ticked: int
    """How many of the boxes, from the first, are ticked: those are worked."""
    head: Words
    """`Row 3`, `Rounds 4–9`, or the kind of step."""
    way: Words
    """The hand's way, by word and arrow; empty where there is none."""
    doing: Words
    short: Words
    """The same by abbreviations; empty where there are none."""
    note: Words
    loops: Words
    """Loops live at the end of it."""


class Part(Frozen):
    """A part's lines. A part that is come back to has one such list for each time."""

    name: Words
    lines: tuple[Line, ...]


class Section(Frozen):
    """One size."""

    heading: Words
    schematic: Lines
    """An SVG document."""
    parts: tuple[Part, ...]


class Picture(Frozen):
    """A movement of the hands."""

    title: Words
    stages: int
    drawing: Lines
    """An SVG document."""


class Table(Frozen):
    """Names down, sizes across."""

    columns: tuple[Words, ...]
    rows: tuple[tuple[Words, ...], ...]
    """A name, then a cell for each column."""


class Sheet(Frozen):
    """The whole pattern sheet."""

    title: Words
    blurb: Words
    facts: tuple[tuple[Words, Words], ...]
    finished: Table
    body: Table
    yarn: Table
    yarn_note: Words
    abbreviations: tuple[tuple[Words, Words], ...]
    cautions: tuple[Words, ...]
    loops: Words
    """What a loop is called here, as a heading."""
    sections: tuple[Section, ...]
    """One for a single size: every row with a box to tick."""
    together: tuple[Together, ...]
    """The parts for several sizes, written side by side; empty for one."""
    outline: Lines
    """An SVG document of the finished thing with its letters; empty where there is none."""
    movements: tuple[Picture, ...]
    """What the hands do in it."""


def sheet(worked: Sequence[tuple[Plan, RowScript]], state: MakeState | None = None) -> Sheet:
    """The sheet of one design in one or more sizes; of a make, with what is worked drawn in.

    `worked` holds each size's plan and script, all of the same design, craft and gauge.
    """
    plan, script = worked[0]
    design = DESIGNS.get(plan.design)
    columns = tuple(map(_size, (p for p, _ in worked)))
    loops = wording.loop_word(plan.craft)
    gauge, front = plan.gauge, front_of([s for _, s in worked])
    rows = several_rows([s for _, s in worked]) if len(worked) > 1 else []
    return Sheet(
        title=script.title,
        blurb=design.info.blurb if design else "",
        facts=(
            ("Sizes", ", ".join(columns)),
            ("Made with", plan.craft.value),
            (
                "Gauge",
                f"{gauge.loops_per_10cm:.4g} {loops} and {gauge.rows_per_10cm:.4g} rows in 10 cm",
            ),
            ("Worked", _handed(plan.hand)),
            ("Difficulty", front.difficulty),
            ("Techniques", ", ".join(front.techniques)),
            ("Tools", ", ".join(front.tools)),
            *((("Notes", _notes(state)),) if state is not None and state.notes else ()),
            *((("Fit", f"{_capital(front.fit)}."),) if front.fit else ()),
            *((("As you go", f"{told}."),) if rows and (told := looks_told(script)) else ()),
        ),
        finished=_table(columns, [s.finished_cm for _, s in worked], _lettered(script)),
        body=_table(
            columns,
            _asked([p.measures for p, _ in worked]),
            {spec.name: spec.label for spec in design.info.measures} if design else {},
        ),
        yarn=_yarn(columns, worked),
        yarn_note=_yarn_note(script, loops, front.ends),
        abbreviations=written_in(rows, front.abbreviations)
        if rows
        else tuple(p for p in front.abbreviations if p[0] != "rm" or _short_out(worked)),
        cautions=front.cautions,
        loops=_capital(loops),
        sections=tuple(_section(p, s, state) for p, s in worked if not rows),
        together=several(rows),
        outline=outline_svg(script),
        movements=_movements([s for _, s in worked], plan.hand),
    )


def _yarn_note(script: RowScript, loops: str, ends: str) -> str:
    one = one_of_two(script)
    return " ".join(
        (
            f"Counted, not estimated: {loops} of working yarn, the ends of the script included.",
            *([f"They are for one {one}: as many again for the second."] if one else []),
            f"Buy a tenth more (common practice). {DYE_LOTS}",
            *([f"{ends}."] if ends else []),
        )
    )


def _notes(state: MakeState) -> str:
    """Her notes, each with its row; of one that was spoken, when and how long it is."""
    steps = state.script.steps
    return "; ".join(
        f"{places.part_place(steps[min(note.step, len(steps)) - 1])}: {note.text or _spoken(note)}"
        for note in state.notes
    )


def _spoken(note: Note) -> str:
    at = datetime.fromtimestamp(note.at)
    return f"spoken on {at.day} {at:%B %Y} at {at:%H:%M}, {note.seconds:.0f} s"


def _lettered(script: RowScript) -> dict[str, str]:
    """The finished measures with the letters that they have in the outline."""
    drawn = outline(script)
    return {
        name: f"{letter}  {_capital(name)}"
        for letter, name in letters(script)
        if drawn and name in drawn.lines
    }


def _size(plan: Plan) -> str:
    told = fitting.told_size(plan)
    if told == f"size {plan.size}":
        return plan.size
    return told or ("one size" if plan.pattern else "as measured")


def _handed(hand: Hand) -> str:
    return f"with the {hand.value} hand leading"


def _table(
    columns: tuple[str, ...], values: Sequence[dict[str, float]], labels: dict[str, str]
) -> Table:
    names = dict.fromkeys(name for column in values for name in column)
    return Table(
        columns=columns,
        rows=tuple(
            (
                labels.get(name, name[:1].upper() + name[1:].replace("_", " ")),
                *(f"{column[name]:.4g} cm" if name in column else "" for column in values),
            )
            for name in names
        ),
    )


def _asked(measures: Sequence[dict[str, float]]) -> list[dict[str, float]]:
    """Without what no size has, such as an edge that is 0 cm high; no ease is one, too."""
    had = {name for one in measures for name, cm in one.items() if cm or name == "ease"}
    return [{name: cm for name, cm in one.items() if name in had} for one in measures]


def _yarn(columns: tuple[str, ...], worked: Sequence[tuple[Plan, RowScript]]) -> Table:
    parts = dict.fromkeys(part for _, script in worked for part in yarn.per_part(script))
    rows = [
        (part[:1].upper() + part[1:], *(str(yarn.per_part(s).get(part, "")) for _, s in worked))
        for part in parts
    ]
    shares = [by_colour(script) for _, script in worked]
    for colour in dict.fromkeys(colour for share in shares for colour in share):
        rows.append((f"In {colour}", *(str(share.get(colour, "")) for share in shares)))
    rows.append(("In all", *(str(script.yarn_loops) for _, script in worked)))
    often = to_be_made(worked[0][1])
    if all(plan.ball_loops for plan, _ in worked) and not any(shares):
        rows.append(
            (
                f"Balls of {worked[0][0].ball_loops}{' for both' * (often > 1)}, with a tenth in "
                "reserve",
                *(
                    str(yarn.purchase(often * s.yarn_loops, p.ball_loops).balls)
                    for p, s in worked
                    if p.ball_loops
                ),
            )
        )
    return Table(columns=columns, rows=tuple(rows))


def _movements(scripts: Sequence[RowScript], hand: Hand) -> tuple[Picture, ...]:
    """A drawing of each movement that these scripts ask for, once; they show loop yarn alone."""
    if scripts[0].craft is Craft.NEEDLES:
        return ()
    steps = [step for script in scripts for step in script.steps]
    found = [movement_of(o.entry) for step in steps for o in step.operations]
    used = {one.key for one in found if one}
    return tuple(
        Picture(
            title=one.title,
            stages=len(one.stages),
            drawing=movement_svg(one, mirrored=hand is Hand.LEFT),
        )
        for one in MOVEMENTS.values()
        if one.key in used
    )


def _section(plan: Plan, script: RowScript, state: MakeState | None) -> Section:
    at, marks = (state.at, state.marks) if state else (None, ())
    return Section(
        heading=_capital(fitting.told_size(plan) or _size(plan)),
        schematic=svg(layout(script, worded=True), script.title, script.craft, at, marks),
        parts=tuple(
            Part(name=name, lines=tuple(_lines(list(steps), script.craft, at or 0)))
            for name, steps in groupby(script.steps, key=lambda step: step.part)
        ),
    )


def _alike(step: Step) -> object:
    """Steps that are alike in this are the same row again."""
    if step.kind not in ROW_KINDS or step.note:
        return step.number
    return step.kind, step.side, step.operations, step.direction


def _lines(steps: list[Step], craft: Craft, worked: int = 0) -> list[Line]:
    """A part's lines: equal rows, or two kinds of row in turn, share one with a box for each."""
    lines: list[Line] = []
    at = 0
    while at < len(steps):
        run = max((_run(steps, at, period) for period in (1, 2)), key=len)
        if len(run) < _BOXES_AT_LEAST:
            run = [steps[at]]
        lines.append(_line(run, craft, worked))
        at += len(run)
    return lines


def _run(steps: list[Step], at: int, period: int) -> list[Step]:
    """The rows from `at` on that repeat with that period and say the same but for their way."""
    first = steps[at : at + period]
    if len(first) < period or any(step.kind not in ROW_KINDS or step.note for step in first):
        return []
    if len({(step.side, step.operations) for step in first}) > 1:
        return []
    run = list(first)
    for i in range(at + period, len(steps)):
        if _alike(steps[i]) != _alike(first[(i - at) % period]):
            break
        run.append(steps[i])
    return run


def _line(run: list[Step], craft: Craft, worked: int) -> Line:
    step = run[0]
    ways = list(dict.fromkeys(s.direction for s in run if s.direction and s.counts_row))
    word = wording.row_word(step.kind).capitalize()
    if len(run) > 1:
        head = f"{word}s {run[0].row}–{run[-1].row}"
    elif step.counts_row:
        head = f"{word} {step.row}"
    else:
        head = wording.kind_word(step)
    return Line(
        boxes=tuple(str(s.row) for s in run) if len(run) > 1 else ("",),
        ticked=sum(s.number <= worked for s in run),
        head=f"{head} ({step.side})" if step.side else head,
        way=", then ".join(map(_way, ways)) + (", in turn" if len(ways) > 1 else ""),
        doing=_capital(wording.instruction(step, craft)),
        short=_in_short(step, craft),
        note=f"{step.note.rstrip('.')}." if step.note else "",
        loops=str(step.loops_after) if step.operations else "",
    )


def _short_out(worked: Sequence[tuple[Plan, RowScript]]) -> bool:
    """Whether a marker is taken out in the middle of a row, where it has its abbreviation."""
    steps = (step for _, script in worked for step in script.steps)
    return any(o.stitch == "rm" for step in steps for o in wording.doing(step).row)


def _in_short(step: Step, craft: Craft) -> str:
    """A row by its abbreviations, with what is done before and after it."""
    before, row, after = wording.doing(step)
    noted = wording.noted(step)
    if any(one.entry.role is Role.COLOUR for one in row):
        # Whose yarn is joined before which loops is told where it happens.
        laid = step.kind is Kind.FOUNDATION
        ops = [one for one in step.operations if not (laid and one.stitch == "tail")]
        return ", ".join((*noted.before, _short(tuple(ops), craft), *noted.after))
    first = (*noted.before, *wording.seconds(before, craft))
    then = (*wording.seconds(after, craft), *noted.after)
    parts = (*first, _short(row, craft), *noted.row, *then)
    return ", ".join(filter(None, parts))


def _short(operations: tuple[Operation, ...], craft: Craft) -> str:
    """A row by its abbreviations, what repeats in brackets."""
    return ", ".join(
        f"({_short(item.operations, craft)}) × {item.times}"
        if isinstance(item, Repeat)
        else _one_short(item, craft)
        for item in folded(operations)
    )


def _one_short(operation: Operation, craft: Craft) -> str:
    if operation.entry.second:
        return wording.seconds((operation,), craft)[0]
    if operation.entry.role is Role.COLOUR:
        return wording.filled(operation.entry.short, operation, craft)
    lone = operation.entry.role is Role.MARKER and operation.at
    return f"{operation.stitch} {operation.times}" + (f" ({operation.at})" if lone else "")


def _way(direction: Direction) -> str:
    return f"{wording.arrow(direction)} {direction.value}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
