"""Live loops closed with one another: grafted, or bound off together with a third needle.

Which loops are meant follows from where they are: both of two resting places that hold as many, or
what is on the needle with one that holds as many, or the two halves of what is on the needle. Where
none of these is so, nothing is guessed.
"""

from engine.pattern.count.ledger import Ledger
from engine.pattern.count.one_row import work_step
from engine.pattern.text.numbers import Number
from engine.pattern.text.row_items import Hold, Item, Stitch
from engine.pattern.text.statements import StepLine
from models.script import Craft, Kind

_NEAR, _FAR = "the near half", "the far half"


def close_halves(ledger: Ledger, step: StepLine) -> None:
    """The sentence "graft the toe", as a step."""
    spot = step.spot
    waiting = {place: count for place, count in ledger.rests.items() if count}
    live, counts = ledger.live, list(waiting.values())
    aside: list[tuple[str, int]] = []
    if not live and len(counts) == 2 and counts[0] == counts[1]:
        places, each = tuple(waiting), counts[0]
    elif live and counts == [live]:
        places, each = (next(iter(waiting)), _NEAR), live
        aside = [(_NEAR, live)]
    elif live and not waiting and live % 2 == 0:
        places, each = (_FAR, _NEAR), live // 2
        aside = [(_FAR, each), (_NEAR, each)]
    else:
        told = ", ".join(f"{count} at {place}" for place, count in waiting.items()) or "none"
        ledger.fault(
            spot,
            f"closes two sets of as many, and {ledger.n(live)} are live, {told} waiting",
            'write which, as in \'Seam: pair 9 loops of "front" with "back", graft 9\'',
        )
        return

    def times(count: int) -> Number:
        return Number((float(count),), spot)

    items: list[Item] = [Hold("rest", times(count), (place,), spot) for place, count in aside]
    items.append(Hold("pair", times(each), places, spot))
    for stitches in _closing(step.kind, ledger.craft, each):
        items += [Stitch(((s, 1),), spot, times(count)) for s, count in stitches if count]
        worked, before, after = work_step(ledger, items, spot)
        ledger.draft(Kind.SEAM, worked.operations, spot, before=before, after=after)
        items = []
    ledger.marks = []


def _closing(kind: str, craft: Craft, each: int) -> list[list[tuple[str, int]]]:
    """What closes so many pairs, by steps: the last loop is there only when the seam is done."""
    if kind == "graft" and craft is Craft.NEEDLES:
        return [[("graft", each), ("tail", 1)]]
    if craft is Craft.LOOP:
        return [[("seam", 2 * each - 1), ("fasten", 1), ("tail", 1)]]
    return [[("3nbo", each - 1), ("k2tog", 1)], [("fasten", 1), ("tail", 1)]]
