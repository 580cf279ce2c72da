"""Rows that are as others, of this part or of one that is named: `Rnds 3-4: rep rnds 1 and 2`."""

from engine.base.plural import noun
from engine.pattern.count.drafts import Template
from engine.pattern.count.ledger import ROWS_AT_MOST, Ledger
from engine.pattern.text.numbers import Spot
from engine.pattern.text.row_items import AsRow, Claim, Item


def as_others(items: tuple[Item, ...]) -> AsRow | None:
    """What a row says that is nothing but as others, by their numbers; None for any other row."""
    told = [i for i in items if not isinstance(i, Claim)]
    only = told[0] if len(told) == 1 else None
    return only if isinstance(only, AsRow) and only.rows and not only.of else None


def numbers_of(wanted: AsRow, size: int) -> list[int]:
    """The numbers of the rows that others are as, in order."""
    found: list[int] = []
    for first, last in wanted.rows:
        begin, end = first.whole(size), last.whole(size)
        found += range(begin, min(end, begin + ROWS_AT_MOST) + 1)
    return found


def uneven(wanted: AsRow, rows: int, size: int) -> tuple[str, str] | None:
    """What is wrong, and a repair, where `rows` rows are to be as others and the two do not come
    out even, or not on the times that are said. One row that is as two leaves open what is meant.
    """
    numbers = numbers_of(wanted, size)
    each = len(numbers)
    times = wanted.times.number.whole(size) if wanted.times else 0
    if not rows or not each or rows == each * max(1, times) or (not times and rows % each == 0):
        return None
    told = _listed(numbers)
    if rows == 1 and not times:
        return (
            f"may mean that {told} are all worked, which are {each}, or one of them alone",
            f"write {each} rows before the colon, as in 'Rows 3-{2 + each}:', or one row after it",
        )
    are = noun(each, "is", "are")
    much = f"{each} {noun(each, 'row', 'rows')}" + (f" worked {times} times" if times else "")
    return (
        f"is {rows} {noun(rows, 'row', 'rows')}, and {told} {are} {much}: it does not come out",
        "say on which rows it is to be worked, and which row the last one is as",
    )


def block_of(ledger: Ledger, part: str, numbers: list[int], spot: Spot) -> dict[int, Template]:
    """The rows that are meant, by their numbers: this part's, or those of the one named.

    Where the text names what it has no rows of, and another part has rows of these numbers as
    well, it is a fault, since either may be meant; then there are none.
    """
    if not part:
        return ledger.block
    wanted = set(part.lower().split())
    own = [ledger.part.lower(), ledger.section]
    named = {n: b for n, b in ledger.blocks.items() if wanted <= set(n.split())}
    found = named.get(part.lower()) or next((named[n] for n in own if n in named), None)
    if found is not None:
        return found
    blocks: list[dict[int, Template]] = []
    for block in named.values() or ledger.blocks.values():
        if all(n in block for n in numbers) and all(block is not b for b in blocks):
            blocks.append(block)
    if len(blocks) == 1 and named:
        return blocks[0]
    if len(blocks) == 1:
        here = blocks[0] is ledger.block
        ledger.warn(
            spot,
            f"repeats rows of the {part}, which no heading names: "
            f"{'those above it' if here else 'those of an earlier part'} are taken",
            "look whether those are meant",
        )
        return blocks[0]
    if blocks:
        names = [f"the {n}" for n in named or ledger.blocks]
        ledger.fault(
            spot,
            f"repeats rows of the {part}, and several parts have such rows: {', '.join(names)}",
            "name the part by its heading, or write the rows out",
        )
    return {}


def _listed(numbers: list[int]) -> str:
    if len(numbers) == 2:
        return f"rows {numbers[0]} and {numbers[1]}"
    run = numbers == list(range(numbers[0], numbers[-1] + 1))
    if len(numbers) > 2 and run:
        return f"rows {numbers[0]} to {numbers[-1]}"
    return f"row{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"
