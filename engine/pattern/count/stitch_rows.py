"""Stitches that a pattern describes, and the rows that it calls its pattern."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from engine.pattern.count.decide import work_row
from engine.pattern.count.described import called, resolved
from engine.pattern.count.drafts import Template
from engine.pattern.count.ledger import Ledger
from engine.pattern.count.tally import RowSetting
from engine.pattern.count.worked import TooMuch
from engine.pattern.text.numbers import number_of
from engine.pattern.text.statements import Even, Forms


def _plain(template: Template, rows: dict[int, Template]) -> Template:
    """The same at its own place, so that it is known which of them came last."""
    return replace(resolved(template, rows), spot=template.spot)


def forms(ledger: Ledger, said: Forms) -> None:
    """`These 4 rows form the pattern`: what is worked in pattern from here on repeats them."""
    count = number_of(said.number, ledger.size, len(ledger.block) or 1)
    if not 0 < count <= len(ledger.history):
        return
    ledger.pattern_rows = [_plain(t, ledger.block) for t in ledger.history[-count:]]
    if said.name:
        ledger.stitches[said.name.lower()] = ledger.pattern_rows


def in_pattern(ledger: Ledger, even: Even) -> list[Template] | None:
    """The rows that "in pattern" means here, from the one that comes next; None: none are known."""
    rows = _meant(ledger, even)
    if not rows:
        return None
    rounds = ledger.rounds
    rows = [Template(t.said, rounds or t.rounds, t.spot, t.even) for t in rows]
    at = _last_worked(ledger, rows)
    turned = rows[at + 1 :] + rows[: at + 1]
    after = _after_all(ledger, turned)
    if after is None:
        return None
    if after != ledger.live:
        ledger.fault(
            even.spot,
            f"works in pattern, whose rows make {ledger.n(after)} of {ledger.live}: those may be "
            "repeated, or it goes on without shaping",
            "write 'Repeat rows …', or 'Work even …'",
        )
    return turned


def _last_worked(ledger: Ledger, rows: Sequence[Template]) -> int:
    """Which of the rows came last; -1: none. "4th row: as 2nd" is row 4 for what came before it."""

    def run(at: int) -> int:
        past = reversed(ledger.history[-len(rows) :])
        back = (rows[(at - k) % len(rows)].spot for k in range(len(rows)))
        same = (row.spot == spot for row, spot in zip(past, back, strict=False))
        return sum(takewhile(bool, same))

    best = max(range(len(rows)), key=run)
    return best if run(best) else -1


def _meant(ledger: Ledger, even: Even) -> list[Template]:
    if even.of:
        named = called(ledger, even.of)
        if named is None:
            ledger.fault(
                even.spot,
                f"works in {even.of}, which is not described",
                "write its rows under a heading of that name",
            )
        return named or []
    if ledger.pattern_rows:
        return ledger.pattern_rows
    if len(ledger.stitches) == 1 and not ledger.block:
        return next(iter(ledger.stitches.values()))
    numbers = sorted(ledger.block)
    fewest = 2 if even.span.end_row is not None else 3
    if len(numbers) >= fewest and numbers == list(range(1, len(numbers) + 1)):
        return [_plain(ledger.block[n], ledger.block) for n in numbers]
    return []


def _after_all(ledger: Ledger, rows: Sequence[Template]) -> int | None:
    """The loops after all the rows in turn; None where one of them does not come out."""
    setting = RowSetting(word=ledger.word, in_round=ledger.rounds)
    live = ledger.live
    for row in rows:
        if row.even is not None:
            continue
        try:
            worked, _, _ = work_row(row.items, live, ledger.size, setting)
        except TooMuch:
            return None
        if not worked.sound or worked.takes != live:
            return None
        live = worked.leaves
    return live
