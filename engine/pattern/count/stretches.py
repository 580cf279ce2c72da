"""Templates worked for as long as a sentence says: times, rows, a length, until so many remain."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from engine.pattern.count.drafts import Template
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.measured import rows_of
from engine.pattern.count.one_row import emit
from engine.pattern.count.onward import OTHERS_BESIDE, OTHERS_TO_DO, others_beside
from engine.pattern.count.reach import shapes
from engine.pattern.count.stitch_rows import in_pattern
from engine.pattern.count.travel import FLIP, side_after
from engine.pattern.count.worked import Misfit
from engine.pattern.text.numbers import Spot, number_of
from engine.pattern.text.row_items import Claim, Hold, Shape, one_stitch
from engine.pattern.text.statements import Even, Fabric, Span
from models.script import Craft
from models.stitch import Role

ABOVE_RIB = "above rib"
"""What is measured from the rib on: "until the hand measures 8 cm above the ribbing"."""


def even_rows(ledger: Ledger, even: Even) -> None:
    """Rows worked even, in a fabric that has a name."""
    rounds = ledger.rounds if even.rounds is None else even.rounds
    known = ledger.fabric
    goes_on = not known and _goes_on_in_pattern(ledger, even)
    forms = even.patterned or (goes_on and (ledger.pattern_rows or len(ledger.block) > 2))
    if even.onward and not forms and any(shapes(t.items) for t in ledger.block.values()):
        _rows_onward(ledger, even)
        return
    if goes_on:
        even = replace(even, patterned=True)
    if known and known.of and even.stitch == "work" and not even.style and not even.of:
        even = replace(even, of=known.of, patterned=True)
    elif even.style:
        ledger.fabric = Fabric(even.style, even.rib, "", even.spot)
    template = Template((), rounds, even.spot, even)
    ledger.even_from = ledger.out.rows.get(ledger.part, 0)
    rows = in_pattern(ledger, even) if even.patterned and not even.style else None
    onward = even.span.in_all and even.stitch == "work" and not even.style
    done = ledger.rows_so_far if onward else 0  # "keep going for 40 rows in all"
    go_on(ledger, rows or [template], even.span, even.spot, done=done, but=1 if even.last else 0)
    if even.style == "rib":
        ledger.sections[ABOVE_RIB] = ledger.rows_so_far + (1 if even.last else 0)


def _goes_on_in_pattern(ledger: Ledger, even: Even) -> bool:
    """`Continue until it measures 40 cm` below rows that form a pattern: they go on, in turn."""
    if even.stitch != "work" or even.style or even.of or not ledger.history:
        return False
    rows = ledger.pattern_rows
    named = even.span.end_row is not None
    if not rows and (named or (even.onward and len(ledger.block) > 2)):
        rows = list(ledger.block.values())
    return any(row.spot == ledger.history[-1].spot for row in rows)


def _rows_onward(ledger: Ledger, even: Even) -> None:
    """`Continue until …` below rows that shape: two of them go on, of more it is not clear."""
    block = [ledger.block[number] for number in sorted(ledger.block)]
    once = any(isinstance(i, Shape) and i.where == "evenly" for t in block for i in t.items)
    if len(block) <= 2 and not once:
        go_on(ledger, block, even.span, even.spot)
        return
    ledger.fault(
        even.spot,
        "may mean that the rows above it, which shape, are repeated, or that it goes on even",
        f"write 'Repeat rows {min(ledger.block)}-{max(ledger.block)} until …', or 'Work even …'",
    )


def go_on(
    ledger: Ledger,
    templates: Sequence[Template],
    span: Span,
    spot: Spot,
    *,
    done: int = 0,
    but: int = 0,
) -> None:
    """Work templates in turn for as long as a span says.

    `done`: rows of a length that are already there. `but`: rows at its end that are told apart.
    """
    match span.kind:
        case "times" | "once":
            times = number_of(span.number, ledger.size, 1) - (1 if span.in_all else 0)
            ledger.bounded(times * len(templates), spot)
            for template in (list(templates) * times)[: len(templates) * times - but]:
                emit(ledger, template, spot=spot)
        case "all":
            _until_all(ledger, templates, spot)
        case "remain":
            _until_remain(ledger, templates, span, spot)
        case "between":
            _until_between(ledger, templates, number_of(span.number, ledger.size, 0), spot)
        case _:
            rows, target = _span_rows(ledger, span, spot, done)
            ended = _to_row(ledger, span, templates, rows, spot)
            if span.kind in _COUNTED and ended != rows:
                _ends_otherwise(ledger, rows, spot)
            rows = ended
            if but:
                rows, target = max(0, rows - but), None
            rows = ledger.stretch(rows, is_open=target is not None)
            for index in range(rows):
                emit(ledger, templates[index % len(templates)], spot=spot)
            if target is not None:
                ledger.out.open_parts.add(ledger.part)
                ledger.measure(target, spot)


_COUNTED = {"rows", "total"}
"""How long is said in rows: how it ends is a check."""


def _ends_otherwise(ledger: Ledger, rows: int, spot: Spot) -> None:
    ledger.fault(
        spot,
        f"does not end after {rows} rows as it says it does",
        "write how many rows, or with which it ends",
    )


def _span_rows(ledger: Ledger, span: Span, spot: Spot, done: int) -> tuple[int, float | None]:
    """Rows of a span, and what the tape should say after them."""
    worked = ledger.rows_so_far if span.kind == "as long" else _worked_of(ledger, span, spot)
    per_cm = ledger.gauge.rows_per_cm
    if span.kind == "total":
        said = number_of(span.number, ledger.size, 1)
        if said < worked:
            worked = ledger.out.rows.get(ledger.part, 0)  # of the flap, and not of all the sock
        if (ledger.history and len(ledger.history) != ledger.rows_so_far) or said < worked:
            ledger.fault(
                spot,
                f"goes on until {said} rows are worked, and {worked} are already",
                "say how many times more",
            )
        rows = ledger.bounded(said - worked, spot)
    if span.kind == "rows":
        said = number_of(span.number, ledger.size, 1)
        rows = ledger.bounded(_in_all(ledger, said, done, spot) if span.in_all else said, spot)
    if span.kind in _COUNTED:
        if span.end_side and rows and side_after(ledger, rows) != span.end_side:
            _ends_otherwise(ledger, rows, spot)
        return rows, None
    if span.kind == "as long":
        return _as_long_as(ledger, span, spot), None
    if span.kind == "square":
        cm = round(ledger.live / ledger.gauge.loops_per_cm, 1)
    else:
        cm = span.number.real(ledger.size) * span.unit if span.number else 0.0
    if span.kind == "length":
        wanted = max(0, round(cm * per_cm) - done)
        target = round((worked - done) / per_cm + cm, 1)
    else:
        wanted = max(0, round(cm * per_cm) - worked)
        target = cm
        if worked - 1 > cm * per_cm and span.about is None:
            ledger.fault(
                spot,
                f"goes on until {span.of or 'it'} measures {cm:g} cm, and {worked} rows, which are "
                "more, are worked already",
                "say from where it is measured, or how many rows",
            )
    rows = number_of(span.about, ledger.size, wanted)
    if span.kind == "measures" and abs(rows - wanted) > abs(rows - wanted - worked):
        rows = max(0, rows - worked)  # so many that the length is from its beginning
    ledger.bounded(rows, spot)
    if span.end_side and rows and side_after(ledger, rows) != span.end_side:
        if span.about is None:
            rows += 1
        else:
            ledger.warn(
                spot,
                f"ends after {rows} rows with a {FLIP[span.end_side]} row, and says "
                f"{span.end_side}",
                f"work {rows + 1} rows",
            )
    return rows, target


def _in_all(ledger: Ledger, said: int, done: int, spot: Spot) -> int:
    """Rows still to work of so many in all, of which `done` are these rows' own; where the piece
    has others, it may be of those as well, and is asked.
    """
    worked = ledger.rows_so_far
    if worked != done:
        ledger.fault(
            spot,
            f"goes on for {said} rows in all, which may be of these rows, or of the piece, which "
            f"has {worked} already",
            f"write 'for {max(0, said - done)} rows more', or 'until {said} rows are worked'",
        )
    return max(0, said - done)


def _as_long_as(ledger: Ledger, span: Span, spot: Spot) -> int:
    """Rows still to work until there are as many as an earlier part has, to its shoulders."""
    below = span.of.endswith(" to armhole")
    lengths = [
        rows
        for name, rows in ledger.lengths.items()
        if span.of in name and name.endswith(" to armhole") is below
    ]
    if not lengths or lengths[-1] < ledger.rows_so_far:
        ledger.fault(
            spot,
            f"goes on until it is as long as the {span.of}, and how long that is is not known",
            "say how many rows, or a measurement",
        )
        return 0
    return lengths[-1] - ledger.rows_so_far


def _worked_of(ledger: Ledger, span: Span, spot: Spot) -> int:
    """Rows there are of what is measured: of the piece, or since its armhole began."""
    rows = rows_of(ledger, span.of)
    if rows is not None:
        return rows
    ledger.fault(
        spot,
        f"measures the {span.of}, and no heading says where it begins"
        if span.of != ABOVE_RIB
        else "measures from the rib on, and no sentence says where the rib ends",
        f"write 'Shape {span.of}s' above its first row, or say how many rows"
        if span.of != ABOVE_RIB
        else "say how many rows, or the length of the whole piece",
    )
    return ledger.rows_so_far


def _to_row(
    ledger: Ledger, span: Span, templates: Sequence[Template], rows: int, spot: Spot
) -> int:
    """As many rows more as there are to the one that the stretch ends with."""
    if span.end_stitch:
        return _to_stitch(ledger, span.end_stitch, templates, rows)
    if span.end_row is None:
        return rows
    if span.end_or:
        either = [replace(span, end_row=row, end_or=None) for row in (span.end_row, span.end_or)]
        return min(_to_row(ledger, one, templates, rows, spot) for one in either)
    block, number = ledger.block, span.end_row.whole(ledger.size)
    # by its number: "Rows 1-4: knit" are one row four times
    starts = [n for n in block if all(block.get(n + i) is t for i, t in enumerate(templates))]
    # "the last 2 rows" are those as they were worked, alike and not the same
    spots = {n: row.spot for n, row in block.items()}
    starts += [
        n for n in block if all(spots.get(n + i) == t.spot for i, t in enumerate(templates))
    ][-1:]
    place = number - starts[0] if starts else -1
    if not starts and 0 < number <= len(templates):
        place = number - 1  # the rows have no numbers of their own
    for more in range(len(templates)):
        if rows + more and (rows + more - 1) % len(templates) == place:
            return rows + more
    ledger.fault(
        spot,
        f"ends with row {span.end_row.whole(ledger.size)}, which is none of those repeated",
        "name the row that it ends with by its number",
    )
    return rows


def _to_stitch(ledger: Ledger, stitch: str, templates: Sequence[Template], rows: int) -> int:
    """As many rows more as there are to a row of one stitch; none where there is no such row."""
    for more in range(max(2, len(templates))):
        last = templates[(rows + more - 1) % len(templates)]
        if rows + more and _stitch_of(ledger, last, rows + more) == stitch:
            return rows + more
    return rows


def _stitch_of(ledger: Ledger, template: Template, row: int) -> str:
    """The one stitch of a row, k or p, the `row`-th from here; empty where it has others."""
    if template.even is None:
        return one_stitch(template.items)
    style = template.even.style
    if ledger.fabric and not style and template.even.stitch == "work":
        style = ledger.fabric.style
    if style == "stockinette" and not template.rounds:
        turned = ledger.craft is Craft.NEEDLES and side_after(ledger, row) == "WS"
        return "p" if turned else "k"
    if style == "garter":
        return "k"
    if style or template.even.stitch != "work":
        return template.even.stitch if template.even.stitch in {"k", "p"} else ""
    side = (
        side_after(ledger, row) if ledger.craft is Craft.NEEDLES and not template.rounds else None
    )
    last = ledger.last_rows.get(side)
    worked = last.operations if last else []
    names = {o.stitch for o in worked if o.stitch != "co" and o.entry.role is not Role.REGROUP}
    return names.pop() if len(names) == 1 else ""


def _until_between(ledger: Ledger, templates: Sequence[Template], wanted: int, spot: Spot) -> None:
    """Until so many loops lie between two markers, of those that the rows move apart."""
    while ledger.out.sound:
        before = [b - a for a, b in pairwise(ledger.marks)]
        for template in templates:
            emit(ledger, template, spot=spot)
        now = [b - a for a, b in pairwise(ledger.marks)]
        moved = [(a, b) for a, b in zip(before, now, strict=False) if a != b]
        if any(b == wanted for _, b in moved) or not ledger.out.sound:
            return
        if not any((a < b) == (b < wanted) for a, b in moved):
            ledger.fault(
                spot,
                f"goes on until {ledger.n(wanted)} lie between markers, and the rows never get "
                "there",
                "say how many times the rows are repeated",
            )
            return


def _until_remain(ledger: Ledger, templates: Sequence[Template], span: Span, spot: Spot) -> None:
    wanted = number_of(span.number, ledger.size, 0)
    ends = span.end_side or span.end_stitch or span.end_row
    rising = ledger.live < wanted
    while (ledger.live < wanted) if rising else (ledger.live > wanted):
        before = ledger.live
        for index, template in enumerate(templates):
            emit(ledger, template, spot=spot)
            if ledger.live != wanted:
                continue
            if ends and _ends_so(ledger, span, templates, index, spot):
                return
            if any(shapes(t.items) for t in templates[index + 1 :]):
                if ends:
                    break  # not told so above
                return  # the next of them would pass by
        if (ledger.live <= before) if rising else (ledger.live >= before):
            ledger.fault(
                spot,
                f"goes on until there are {ledger.n(wanted)}, and the rows never get there",
                f"repeat rows that {'increase' if rising else 'decrease'}",
            )
            return
        if not ledger.out.sound:
            return
    if ledger.live == wanted and ends and ledger.out.sound:
        ledger.fault(
            spot,
            f"comes to {ledger.n(wanted)} and does not end with the row that is said",
            "say how many times the rows are repeated",
        )
    if ledger.live != wanted:
        ledger.fault(
            spot,
            f"goes on until there are {ledger.n(wanted)}, and passes by to {ledger.live}",
            f"write {ledger.live}",
        )


def _ends_so(
    ledger: Ledger, span: Span, templates: Sequence[Template], index: int, spot: Spot
) -> bool:
    """Whether the span may end with the row just worked, the `index`-th of those repeated."""
    if span.end_side:
        return side_after(ledger, 0) == span.end_side
    if span.end_stitch:
        worked = {o.stitch for o in ledger.out.drafts[-1].operations}
        other = "p" if span.end_stitch == "k" else "k"
        # "a K row" is one with its decreases, too
        return _stitch_of(ledger, templates[index], 0) == span.end_stitch or (
            span.end_stitch in worked and other not in worked
        )
    return _to_row(ledger, span, templates, index + 1, spot) == index + 1


def _until_all(ledger: Ledger, templates: Sequence[Template], spot: Spot) -> None:
    """Turned rows, until none is left unworked at either end."""
    if _all_worked(ledger):
        ledger.fault(spot, "goes on until all are worked, and they are", "say how many times")
    elif others_beside(ledger) and any(shapes(t.items) for t in templates):
        ledger.fault(spot, OTHERS_BESIDE, OTHERS_TO_DO)
    while not _all_worked(ledger) and ledger.out.sound:
        before = ledger.standing, ledger.gaps, ledger.live
        for template in templates:
            emit(ledger, template, spot=spot)
            if _all_worked(ledger) or not ledger.out.sound:
                return
        if (ledger.standing, ledger.gaps, ledger.live) == before:
            ledger.fault(
                spot,
                "goes on until all are worked, and the rows never get there",
                "repeat rows that turn a stitch later each time",
            )


def _all_worked(ledger: Ledger) -> bool:
    """Whether no row was turned before loops that no later one came to."""
    return ledger.standing is None and not ledger.gaps


def hold_to(ledger: Ledger, claim: Claim) -> None:
    """What a sentence says is there after it."""
    drafts = ledger.out.drafts
    before = drafts[-1].before if drafts else 0
    said = claim.wanted(before, ledger.size)
    aside = sum(
        number_of(i.number, ledger.size, 0) * (-1 if i.stitch == "rest" else len(i.places))
        for i in ledger.pending
        if isinstance(i, Hold)
    )
    if aside and ledger.live + aside == said:
        return  # "place the first 74 sts on a holder. 74 sts remain"
    if ledger.out.sound and ledger.live != said:
        written = (ledger.live - before) * claim.change if claim.change else ledger.live
        ledger.misfit(
            Misfit(
                claim.spot,
                f"says {ledger.n(said)} after it, there are {ledger.live}",
                f"write {written}, or change how many times",
                fixes=((claim.number.spot, written),),
            )
        )
