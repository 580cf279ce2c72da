"""Stitches, and charts, whose rows the pattern writes in a section of their own."""

from dataclasses import replace

from engine.pattern.count.drafts import Template
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.same_rows import as_others, numbers_of, uneven
from engine.pattern.text.numbers import Number, number_of
from engine.pattern.text.row_items import AsRow
from engine.pattern.text.statements import Described, RowLine


def called(ledger: Ledger, name: str) -> list[Template] | None:
    """The rows of a stitch by its name, wherever the text describes it; None: nowhere."""
    key = name.lower()
    if key not in ledger.stitches:
        for said in ledger.all_said:
            if isinstance(said, Described) and said.name.lower() == key:
                describe(ledger, said)
                break
    return ledger.stitches.get(key)


def describe(ledger: Ledger, described: Described) -> None:
    """Keep the rows of a stitch for where it is used; none is worked here."""
    rows: dict[int, Template] = {}
    fillers: list[tuple[int, int, Template]] = []
    for line in described.rows:
        number = len(rows) + 1
        template = Template(line.row, bool(line.rounds), line.spot)
        spans = [(r.first.whole(ledger.size), r.last.whole(ledger.size)) for r in line.ranges]
        sources, told = _as_told(ledger, line, template), 0
        for first, last in spans or [(number, number)]:
            for n in range(first, first + ledger.bounded(last - first + 1, line.spot)):
                rows[n] = sources[told % len(sources)]
                told += 1
        for filler in line.fillers:
            start = spans[0][0] if spans else number_of(line.number, ledger.size, number)
            fillers.append((start, filler.step, template))
    last_row = max(rows, default=0)
    for start, step, template in fillers:
        for n in range(start, last_row + 2, max(1, step)):
            rows.setdefault(n, template)
    ordered = [rows[n] for n in sorted(rows)]
    ledger.stitches[described.name.lower()] = [resolved(t, rows) for t in ordered]


def _as_told(ledger: Ledger, line: RowLine, template: Template) -> list[Template]:
    """`Rows 3 and 4: rep rows 1 and 2` is as row 1, then as row 2; any other row is its own."""
    only = as_others(line.row.items)
    numbers = numbers_of(only, ledger.size) if only else []
    if only is None or len(numbers) < 2:
        return [template]
    count = sum(r.last.whole(ledger.size) - r.first.whole(ledger.size) + 1 for r in line.ranges)
    odd = uneven(only, count or 1, ledger.size)
    if odd:
        ledger.fault(only.spot, *odd)
    each = [Number((float(n),), only.spot) for n in numbers]
    return [replace(template, said=(replace(only, rows=((n, n),), times=None),)) for n in each]


def resolved(template: Template, rows: dict[int, Template]) -> Template:
    """`Row 3: as row 1`: the row itself, since its numbers mean nothing where it is used."""
    only = template.items[0] if len(template.items) == 1 else None
    if isinstance(only, AsRow) and only.rows:
        found = rows.get(int(only.rows[0][0].values[0] or 0))
        if found is not None and found is not template:
            return Template(found.said, template.rounds, found.spot)
    return template
