"""The check of a written pattern: every row, every size, with the arithmetic of what is wrong."""

import re
from collections.abc import Iterable, Iterator, Sequence

from engine.base.heap import uncollected
from engine.base.refusal import Refusal
from engine.pattern.count.decide import work_row
from engine.pattern.count.drafts import Counted
from engine.pattern.count.one_row import ON_NONE
from engine.pattern.count.tally import RowSetting
from engine.pattern.count.worked import Misfit, TooMuch
from engine.pattern.make import build, counted_as_written, craft_of, gauge_of
from engine.pattern.offers import offers
from engine.pattern.text.attempt import attempt, clean
from engine.pattern.text.grammar import grammar
from engine.pattern.text.messages import unread
from engine.pattern.text.numbers import Spot, numbers_in
from engine.pattern.text.one_size import without_lists
from engine.pattern.text.read import LINE_AT_MOST, Pattern, read
from engine.pattern.text.row_items import Row
from engine.pattern.text.sorting import Sorted
from engine.pattern.text.spelling import respelled
from engine.pattern.text.statements import RowLine, StepLine
from engine.pattern.text.written import Written
from engine.script.audit import audit
from models.gauge import Gauge
from models.pattern import Fault, LineRead, PatternCheck, RowCheck, Severity, SizeCount
from models.plan import WRITTEN, Plan
from models.script import ROW_KINDS, Craft, Operation, RowScript
from models.stitch import STITCHES
from models.text import legible

SIZES_AT_MOST = 20
FAULTS_AT_MOST = 200
_ANY_GAUGE = Gauge(loops_per_10cm=20, rows_per_10cm=26)
"""Only lets counting go on where a pattern states no gauge; no fault depends on it."""


def check_row(text: str, on: int, craft: Craft | None = None) -> RowCheck:
    """One row on `on` loops: what it takes, what it leaves, what does not come out.

    Raises Refusal for a text that is no row, or one with numbers by size.
    """
    if len(text) > LINE_AT_MOST:
        raise Refusal(f"The row has {len(text)} characters; more than {LINE_AT_MOST} is no row.")
    text = legible(text)
    grammar()
    written = _row_of(Written.at(text, 1))
    row = without_lists(written)
    _refuse_lists(row)
    stitch_words = ("st", "sts", "stitch", "stitches")
    words = {w.strip(".,;()[]").lower() for w in text.split()}
    if craft is None and words.intersection(stitch_words):
        craft = Craft.NEEDLES
    try:
        setting = RowSetting(word="stitch" if craft is Craft.NEEDLES else "loop")
        worked, live, _ = work_row(row.items, on, 0, setting)
    except TooMuch:
        raise Refusal("The row comes to more stitches than a row can have.") from None
    if not worked.sound:
        _refuse_lists(written)
    found = [_plain(m) for m in worked.misfits]
    for slip in row.slips:
        found.append(
            Fault(
                line=slip.spot.line,
                column=slip.spot.column,
                severity=Severity.FAULT if slip.fault else Severity.WARNING,
                text=slip.what,
                repair=slip.repair,
            )
        )
    unworked = max(0, live - worked.takes) if worked.turned else 0
    return RowCheck(
        on=on,
        takes=worked.takes,
        leaves=worked.leaves + unworked,
        unworked=unworked,
        faults=tuple(found),
    )


def _row_of(words: Written) -> Row:
    """The row of a text, in the grammar's spelling or in print's. Raises Refusal for no row."""
    said = attempt(words, "row_alone")
    if not (isinstance(said, tuple) and clean(said)):
        again = attempt(respelled(words), "row_alone")
        said = again if isinstance(again, tuple) else said
    line = said[0] if isinstance(said, tuple) else None
    if isinstance(line, RowLine):
        return line.row
    problem = said if isinstance(said, Exception) else ValueError("this is no row")
    told = unread(problem, words)
    raise Refusal(f"The row cannot be read: column {told.spot.column}, {told.what}.")


def _refuse_lists(row: Row) -> None:
    lists = [n for n in numbers_in(row) if len(n.values) > 1]
    if lists:
        raise Refusal(
            f"Column {lists[0].spot.column} has numbers by size: check the row once for each "
            "size, with that size's number alone."
        )


def _plain(found: Misfit) -> Fault:
    return Fault(
        line=found.spot.line,
        column=found.spot.column,
        severity=Severity.WARNING if found.warning else Severity.FAULT,
        text=found.what,
        repair=found.repair,
    )


@uncollected()
def check_pattern(text: str, gauge: Gauge | None = None) -> PatternCheck:
    """The whole pattern, every size. Raises Refusal for what is no pattern at all."""
    pattern = read(text)
    sizes = pattern.sizes
    if len(sizes) > SIZES_AT_MOST:
        raise Refusal(
            f"The pattern has {len(sizes)} sizes: give at most {SIZES_AT_MOST} at a time."
        )
    faults = list(_lists(pattern))
    stated, found = _gauge(pattern)
    faults += found
    plan = Plan(
        design=WRITTEN,
        title=pattern.title,
        craft=craft_of(pattern),
        gauge=gauge or stated or _ANY_GAUGE,
    )
    counts: list[SizeCount] = []
    sized: list[Counted] = []
    by_size: list[Fault] = []
    for index, size in enumerate(sizes):
        counted = counted_as_written(text, index, plan.gauge, plan.craft)
        sized.append(counted)
        by_size += counted.faults
        by_size += _unclaimed(counted, size if len(sizes) > 1 else "")
        if counted.sound and not pattern.unread:
            script = build(pattern, plan.model_copy(update={"size": size}), counted)
            proven = list(_proven(script, counted, size if len(sizes) > 1 else ""))
            by_size += proven
            if not proven:
                counts.append(_count(size, script))
        if len(by_size) > FAULTS_AT_MOST * len(sizes):
            break
    groundless = [Spot(f.line, f.column) for f in by_size if f.text.startswith(ON_NONE)]
    faults += _joined(f for f in by_size if not _misled(f, pattern, groundless))
    offered = offers(pattern, sized)
    faults += _unread(pattern, offered)
    faults.sort(key=lambda f: (f.line, f.column))
    return PatternCheck(
        title=pattern.title,
        craft=plan.craft.value,
        sizes=sizes,
        faults=tuple(faults[:FAULTS_AT_MOST]),
        counts=tuple(counts),
        lines=tuple(_line_read(line, offered) for line in pattern.lines),
    )


_ROW_NUMBER = re.compile(
    r"\b(?:rows?|rnds?|rounds?|r)\s*#?(\d{1,4})(?!\d)|^(\d{1,4})(?:st|nd|rd|th)\b", re.I
)


def _unread(pattern: Pattern, offered: dict[Spot, tuple[str, ...]]) -> Iterator[Fault]:
    """The lines that were not read, each with a line that would be right where there is one."""
    for line in pattern.lines:
        if line.kind != "unread" or line.problem is None:
            continue
        told = unread(line.problem, line.words)
        near = offered.get(line.words.spot(0), ())
        number = _ROW_NUMBER.search(line.label)
        yield Fault(
            line=told.spot.line,
            column=told.spot.column,
            row=int(number[1] or number[2]) if number else None,
            severity=Severity.UNREAD,
            text=told.what,
            repair=f"perhaps {near[0]!r} is meant" if near else told.repair,
        )


def _line_read(line: Sorted, offered: dict[Spot, tuple[str, ...]]) -> LineRead:
    why = line.why
    if line.problem is not None:
        told = unread(line.problem, line.words)
        why = f"{told.what}; {told.repair}" if told.repair else told.what
    return LineRead(
        line=line.words.line,
        last=line.words.last_line,
        text=line.words.text,
        taken_as=line.kind,
        part=line.part,
        label=line.label,
        why=why,
        nearest=offered.get(line.words.spot(0), ()) if line.kind == "unread" else (),
    )


def _misled(fault: Fault, pattern: Pattern, groundless: Sequence[Spot]) -> bool:
    """Whether the count means nothing there: since the last cast-on a line could not be read, or
    the work began on no loop. `groundless`: the rows on none.
    """
    begun = [
        s.said.spot
        for s in pattern.statements
        if isinstance(s.said, StepLine) and s.said.kind == "foundation"
    ]
    here = fault.line, fault.column
    start = max((_place(spot) for spot in begun if _place(spot) <= here), default=(0, 0))
    lost = [_place(spot) for spot in (*(u.spot for u in pattern.unread), *groundless)]
    return any(start <= place < here for place in lost)


def _place(spot: Spot) -> tuple[int, int]:
    return spot.line, spot.column


def _gauge(pattern: Pattern) -> tuple[Gauge | None, list[Fault]]:
    try:
        stated = gauge_of(pattern)
    except Refusal as problem:
        heading = pattern.headings["gauge"]
        fault = Fault(line=heading.spot.line, column=heading.spot.column, text=str(problem)[:-1])
        return None, [fault]
    if stated is None:
        what = "the pattern states no gauge"
        if pattern.tension is not None:
            what = (
                f"the pattern's gauge says {pattern.tension.loops:g} across "
                f"{pattern.tension.over_cm:.3g} cm and not how many rows"
            )
        return None, [
            Fault(
                line=1,
                column=1,
                severity=Severity.WARNING,
                text=what,
                repair="add a line such as 'Gauge: 20 x 26' (per 10 cm)",
            )
        ]
    return stated, []


def _count(size: str, script: RowScript) -> SizeCount:
    rows = [s for s in script.steps if s.kind in ROW_KINDS]
    return SizeCount(
        size=size,
        rows=len(rows),
        steps=len(script.steps),
        yarn_loops=script.yarn_loops,
        most_loops=max((max(s.loops_before, s.loops_after) for s in script.steps), default=0),
    )


def _lists(pattern: Pattern) -> Iterator[Fault]:
    """Lists by size with the wrong number of entries, and sizes that there are not."""
    count = len(pattern.sizes)
    for scoped in pattern.statements:
        for number in numbers_in(scoped.said):
            entries = len(number.values)
            if entries not in {1, count}:
                yield Fault(
                    line=number.spot.line,
                    column=number.spot.column,
                    text=f"this list has {entries} entries, the pattern has {count} sizes "
                    f"({', '.join(pattern.sizes)})",
                    repair=f"write {count} numbers, or one for all",
                )
        for name in scoped.names:
            if name not in pattern.sizes:
                yield Fault(
                    line=scoped.said.spot.line,
                    column=scoped.said.spot.column,
                    text=f"there is no size {name}",
                    repair=f"the sizes are {', '.join(pattern.sizes)}",
                )


def _proven(script: RowScript, counted: Counted, size: str) -> Iterator[Fault]:
    """What the audit finds once every count is right: heights, mirrors, loops used twice."""
    for sentence in audit(script):
        spot, part, told = Spot(1, 1), "", sentence
        head = sentence.split(" (")[0]
        if head.startswith("step ") and head[5:].isdigit():
            draft = counted.drafts[int(head[5:]) - 1]
            spot, part = draft.spot, draft.part
            told = sentence.split("): ", 1)[-1]
        else:
            for names, place in counted.claims.items():
                if all(name in sentence for name in names.split("|")[:2]):
                    spot = place
        yield Fault(line=spot.line, column=spot.column, size=size, part=part, text=told.rstrip("."))


def _unclaimed(counted: Counted, size: str) -> Iterator[Fault]:
    """A right part and a left part that the pattern does not say mirror, and do not."""
    claimed = {frozenset(pair) for pair in counted.mirrored}
    level = [frozenset(group) for group in counted.level]
    for part, rows in counted.rows.items():
        if not part.lower().startswith("right "):
            continue
        other = next((p for p in counted.rows if p.lower() == "left " + part.lower()[6:]), None)
        if other is None or frozenset((part, other)) in claimed:
            continue
        if frozenset((part.lower(), other.lower())) in counted.reversed:
            continue
        spot = next(d.spot for d in counted.drafts if d.part == other)
        theirs = counted.rows[other]
        text = ""
        if rows != theirs and not any({part, other} <= group for group in level):
            text = f"the {other} has {theirs} rows and the {part} has {rows}"
        elif rows == theirs and not _alike(counted, part, other):
            text = f"the {other} does not mirror the {part}"
        if text:
            yield Fault(
                line=spot.line,
                column=spot.column,
                size=size,
                part=other,
                severity=Severity.WARNING,
                text=text,
                repair=f"compare them, or write 'Mirrored: {part}, {other}' to have it proven",
            )


def _stitches(operations: Iterable[Operation]) -> list[tuple[str, int]]:
    """What shapes a row, and how many plain stitches, of whatever kind, lie between."""
    out: list[tuple[str, int]] = []
    for o in operations:
        plain = o.entry.plain
        if plain and out and out[-1][0] == "plain":
            out[-1] = ("plain", out[-1][1] + o.times)
        elif o.entry.takes or o.entry.leaves:
            out.append(("plain" if plain else o.stitch, o.times))
    return out


def _mirrored(stitch: str) -> str:
    return stitch if stitch == "plain" else STITCHES[stitch].mirror or stitch


def _alike(counted: Counted, one: str, other: str) -> bool:
    """Whether two parts mirror each other row by row, or, but for fronts, are the same."""
    ours, theirs = (
        [_stitches(d.operations) for d in counted.drafts if d.part == p and d.kind in ROW_KINDS]
        for p in (one, other)
    )
    mirrored = all(
        b in (a[::-1], [(_mirrored(s), n) for s, n in reversed(a)])
        for a, b in zip(ours, theirs, strict=False)
    )
    return mirrored or ("front" not in one.lower() and ours == theirs)


def _joined(faults: Iterable[Fault]) -> list[Fault]:
    """The same finding in several sizes is told once, with all of them."""
    together: dict[tuple[int, int, str, str], list[Fault]] = {}
    for fault in faults:
        key = (fault.line, fault.column, fault.text, fault.severity.value)
        together.setdefault(key, []).append(fault)
    return [
        group[0].model_copy(
            update={"size": ", ".join(dict.fromkeys(f.size for f in group if f.size))}
        )
        for group in together.values()
    ]
