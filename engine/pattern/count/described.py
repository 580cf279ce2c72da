"""Stitches, and charts, whose rows the pattern writes in a section of their own."""

from engine.pattern.count.drafts import Template
from engine.pattern.count.ledger import Ledger
from engine.pattern.text.tree import AsRow, Described, number_of


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
        for first, last in spans or [(number, number)]:
            for n in range(first, first + ledger.bounded(last - first + 1, line.spot)):
                rows[n] = template
        for filler in line.fillers:
            start = spans[0][0] if spans else number_of(line.number, ledger.size, number)
            fillers.append((start, filler.step, template))
    last_row = max(rows, default=0)
    for start, step, template in fillers:
        for n in range(start, last_row + 2, max(1, step)):
            rows.setdefault(n, template)
    ordered = [rows[n] for n in sorted(rows)]
    ledger.stitches[described.name.lower()] = [resolved(t, rows) for t in ordered]


def resolved(template: Template, rows: dict[int, Template]) -> Template:
    """`Row 3: as row 1`: the row itself, since its numbers mean nothing where it is used."""
    only = template.items[0] if len(template.items) == 1 else None
    if isinstance(only, AsRow) and only.rows:
        found = rows.get(int(only.rows[0][0].values[0] or 0))
        if found is not None and found is not template:
            return Template(found.said, template.rounds, found.spot)
    return template
