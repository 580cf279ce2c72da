"""Rows as they are written out: numbered, next and named ones, and the rows between them."""

from engine.pattern.count.drafts import Recurring, Template
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.one_row import emit
from engine.pattern.count.same_rows import as_others, block_of, numbers_of, uneven
from engine.pattern.count.stretches import hold_to
from engine.pattern.text.numbers import Spot, number_of
from engine.pattern.text.row_items import Claim, Item, Turn
from engine.pattern.text.statements import Even, Note, Repeat, RowLine, Talk
from models.script import Craft, Direction


def row_line(ledger: Ledger, line: RowLine) -> None:
    """A row that is written out; where it fills gaps, it waits for them."""
    side = line.marks.side if line.marks else None
    rounds = ledger.rounds if line.rounds is None else line.rounds
    if line.kind == "named" and _goes_around(ledger, line):
        rounds = True  # "Set-up row" in a tube
    template = Template(line.row, rounds, line.spot)
    ledger.slips(line.row)
    direction = line.marks.direction if line.marks else None
    if line.name:
        ledger.named[line.name] = template
    match line.kind:
        case "numbered":
            _numbered(ledger, line, template, side, direction)
        case "next":
            count = number_of(line.number, ledger.size, 1)
            sources = _sources(ledger, template, line.row.items)
            _even_out(ledger, line, count)
            for index in range(ledger.bounded(count, line.spot)):
                first = index == 0
                ledger.last += 1
                ledger.label = None
                emit(
                    ledger,
                    sources[index % len(sources)],
                    side=(side or line.side) if first else None,
                    direction=direction if first else None,
                    claimed=index == count - 1,
                )
        case "every":
            ledger.last += 1
            emit(ledger, template, side=side, direction=direction, claimed=True)
            _goes_on(ledger, line)
        case "named":
            _even_out(ledger, line, 1)
            ledger.last += 1
            emit(ledger, template, side=side, direction=direction, claimed=True)
        case _:
            pass  # "All WS rows" and "All other rows" fill gaps, wherever they stand


def _goes_around(ledger: Ledger, line: RowLine) -> bool:
    """Whether a row of a tube turns nowhere, and is a round whatever it is called."""
    still = not (ledger.standing or ledger.gaps or ledger.split)
    turned = any(isinstance(i, Turn) for i in line.row.items)
    return ledger.in_round and still and not turned and not (line.marks and line.marks.side)


def _numbered(
    ledger: Ledger, line: RowLine, template: Template, side: str | None, direction: str | None
) -> None:
    first_row = True
    told = 0  # "Rows 3 and 4: rep rows 1 and 2" is two ranges and one run of rows
    _even_out(ledger, line, 1 if line.fillers else _rows_told(ledger, line))
    for rows in line.ranges:
        first, last = rows.first.whole(ledger.size), rows.last.whole(ledger.size)
        count = ledger.bounded(last - first + 1, line.spot)
        plain = ledger.plans.of(line.row, ledger.size)
        templates = [template] if plain else _sources(ledger, template, line.row.items)
        if rows.first is not rows.last:
            count = ledger.stretch(count, is_open=False)
        for index in range(count):
            source = templates[told % len(templates)]
            told += 1
            if (line.spot, first + index) in ledger.ahead:
                continue
            _labelled(
                ledger,
                first + index,
                source,
                side=side if first_row else None,
                direction=direction if first_row else None,
                spot=line.spot,
                claimed=index == count - 1 and templates == [template],
            )
            first_row = False
        if templates != [template]:
            for claim in (i for i in line.row.items if isinstance(i, Claim) and not i.change):
                hold_to(ledger, claim)
    for filler in line.fillers:
        start = number_of(line.number, ledger.size, ledger.last + filler.step) - filler.step
        if line.ranges:
            start = line.ranges[-1].first.whole(ledger.size)
        last_row = filler.last.whole(ledger.size) if filler.last else None
        ledger.fillers.append(Recurring(start, filler.step, filler.side, last_row, template))


def _goes_on(ledger: Ledger, line: RowLine) -> None:
    """`Every row: knit.` says how it is worked, and what comes next for how long; else a fault."""
    said = (s for s in ledger.following if not isinstance(s, (Note, Claim, Talk)))
    after = next(said, None)
    if not isinstance(after, (Even, Repeat)) or after.span.kind == "once":
        ledger.fault(
            line.spot,
            "is every row, and how many there are is not said",
            "write how many, or to what length, as in 'Repeat this row until piece measures 30 cm'",
        )


def _rows_told(ledger: Ledger, line: RowLine) -> int:
    size = ledger.size
    return sum(max(0, r.last.whole(size) - r.first.whole(size) + 1) for r in line.ranges)


def _sources(ledger: Ledger, template: Template, items: tuple[Item, ...]) -> list[Template]:
    """`Rows 5–8: as rows 1–4` are four templates; any other row is its own."""
    only = as_others(items)
    if only is None:
        return [template]
    numbers = numbers_of(only, ledger.size)
    block = block_of(ledger, only.part, numbers, only.spot)
    found = [block[n] for n in numbers if n in block]
    return found if found and len(found) == len(numbers) else [template]


def _even_out(ledger: Ledger, line: RowLine, rows: int) -> None:
    """Whether rows that are as others are as many as those, or those several times; else it is
    a fault.
    """
    only = as_others(line.row.items)
    odd = uneven(only, rows, ledger.size) if only else None
    if odd and only:
        ledger.label = line.ranges[0].first.whole(ledger.size) if line.ranges else None
        ledger.fault(only.spot, *odd)


def _labelled(
    ledger: Ledger,
    number: int,
    template: Template,
    *,
    side: str | None,
    direction: str | None,
    spot: Spot,
    claimed: bool,
) -> None:
    count = ledger.out.rows.get(ledger.part, 0) + 1
    if number == 1 and ledger.last:
        ledger.block, ledger.fillers, ledger.last = {}, [], 0
    elif not ledger.last and number != 1 and _later(ledger, 1) is None:
        ledger.last = number - 1
    expected = ledger.last + 1
    named, rows = ledger.numbered
    # "Repeat rounds 23 and 24 until …", and then "Round 33": so many have been worked
    goes_on = named and number == named + ledger.rows_so_far - rows + 1
    skips = number > expected and not goes_on
    if skips and (number != count or _still_to_come(ledger, expected)):
        fill_to(ledger, number - 1, spot, number)
    elif number < expected and number != count and not goes_on:
        ledger.label = number
        ledger.fault(
            spot,
            f"row {number} comes after row {ledger.last}",
            f"call it row {expected}, or 'next row'",
        )
    ledger.label = number
    ledger.last = number
    emit(ledger, template, side=side, direction=direction, spot=spot, claimed=claimed)
    ledger.numbered = number, ledger.rows_so_far
    ledger.keep_row(number, template)


def _still_to_come(ledger: Ledger, number: int) -> bool:
    """Whether a row is told elsewhere: a foundation row without a number makes row 5 the fifth, and
    row 4 is still to come.
    """
    return filler_for(ledger, number) is not None or _later(ledger, number) is not None


def fill_to(ledger: Ledger, last: int, spot: Spot, before: int) -> None:
    """Work the rows that are not written out, up to row `last`."""
    ledger.bounded(last - ledger.last, spot)
    while ledger.last < last:
        number = ledger.last + 1
        later = _later(ledger, number)
        if later is not None:
            _out_of_turn(ledger, later, number)
            continue
        template = filler_for(ledger, number)
        if template is None:
            missing = (
                f"row {ledger.last + 1} is"
                if last == ledger.last + 1
                else f"rows {ledger.last + 1} to {last} are"
            )
            ledger.label = before
            ledger.fault(
                spot,
                f"row {before} follows row {ledger.last}: {missing} missing",
                "write what is between, or 'all other rows'",
            )
            ledger.last = last
            return
        ledger.last += 1
        ledger.label = ledger.last
        ledger.keep_row(ledger.last, template)
        emit(ledger, template)


def _later(ledger: Ledger, number: int) -> RowLine | None:
    """The line that tells of a row which is written after later ones: "Rows 1 and 3", "Row 2"."""
    for statement in ledger.following:
        if isinstance(statement, (Note, Claim, Talk)):
            continue
        if not isinstance(statement, RowLine) or statement.kind != "numbered":
            return None
        for rows in statement.ranges:
            first, last = rows.first.whole(ledger.size), rows.last.whole(ledger.size)
            if first <= number <= last and (statement.spot, number) not in ledger.ahead:
                return statement
            if first == 1 and (statement.spot, 1) not in ledger.ahead:
                return None  # a new run of numbers begins
    return None


def _out_of_turn(ledger: Ledger, line: RowLine, number: int) -> None:
    """Work a row before its line is reached, which then leaves it out."""
    rounds = ledger.rounds if line.rounds is None else line.rounds
    template = Template(line.row, rounds, line.spot)
    first = not any(spot == line.spot for spot, _ in ledger.ahead)
    ledger.ahead.add((line.spot, number))
    ledger.last = ledger.label = number
    marks = line.marks if first else None
    emit(
        ledger,
        template,
        side=marks.side if marks else None,
        direction=marks.direction if marks else None,
        claimed=True,
    )
    ledger.keep_row(number, template)


def filler_for(ledger: Ledger, number: int) -> Template | None:
    """The row that comes at a number between those written out."""
    for filler in ledger.fillers:
        fits = number > filler.start and (number - filler.start) % filler.step == 0
        if fits and (filler.last is None or number <= filler.last):
            return filler.template
    for statement in ledger.part_statements:
        if not isinstance(statement, RowLine):
            continue
        side = ledger.next_side or "RS"
        if ledger.craft is Craft.LOOP:
            going = ledger.next_direction or Direction.RIGHT_TO_LEFT
            side = "RS" if going is Direction.RIGHT_TO_LEFT else "WS"
        if statement.kind == "others" or (statement.kind == "side" and statement.side == side):
            return Template(statement.row, bool(statement.rounds), statement.spot)
    return None


def flush(ledger: Ledger) -> None:
    """Work the rows that `to row N` promises beyond the last one written out."""
    for filler in ledger.fillers:
        if filler.last is not None and filler.last > ledger.last:
            fill_to(ledger, filler.last, filler.template.spot, filler.last)
