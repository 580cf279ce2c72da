"""Stripes and blocks of colours: whose yarn works which loops, where it is joined and where cut.

A stripe's yarn is cut and the next one joined where a row begins. Blocks side by side have a ball
each; every row goes over all of them, and where it comes to the next one its yarn hangs there from
the row before. The yarn that is left is laid over the one that is taken up, so that no gap stays.
"""

from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise

from engine.base.refusal import Refusal
from engine.craft.stripes import Stripe, band_of, read_stripes
from engine.script.builder import ScriptBuilder, op
from engine.script.wording import counted
from models.script import Craft, Hand, Kind, Operation

_LEAST = 2
"""Loops of a block (common practice, no source)."""
CROSSED = (
    "Where two colours meet lay the yarn that you leave over the one that you take up, at the back"
)

Places = tuple[tuple[str, int, int], ...]
"""Yarns with the loops between which they work, counted from where odd rows begin."""


class Colours:
    """The colours of a piece in work, `loops` wide: flat, or around, where blocks cannot be."""

    def __init__(self, b: ScriptBuilder, loops: int, *, around: bool = False) -> None:
        """Raises Refusal where stripes or blocks make none at this width."""
        self.b, self.loops = b, loops
        self.stripes = read_stripes(b.plan.stripes)
        if around and any(len(one.blocks) > 1 for one in self.stripes):
            raise Refusal(
                "Worked around, blocks side by side would leave their yarns at the wrong end: give "
                "stripes, or make a flat piece."
            )
        for one in self.stripes:
            self._check(one)

    def _check(self, band: Stripe) -> None:
        if len(band.blocks) > 1 and min(b - a for _, a, b in self._places(band)) < _LEAST:
            raise Refusal(
                f"Blocks of {band.colour!r} over {counted(self.loops, self.b.plan.craft)} are "
                f"narrower than {_LEAST}: make the piece wider, or give fewer blocks."
            )

    def _places(self, band: Stripe) -> Places:
        """Blocks lie as they are written from left to right; a right hand begins at the right."""
        blocks = band.blocks
        if self.b.plan.hand is Hand.RIGHT:
            blocks = blocks[::-1]
        whole = sum(block.share for block in blocks)
        ends = [round(self.loops * part / whole) for part in accumulate(b.share for b in blocks)]
        found = zip(blocks, pairwise((0, *ends)), strict=True)
        return tuple((block.yarn, begin, end) for block, (begin, end) in found)

    def foundation(self) -> tuple[Operation, ...]:
        """How the first loops are laid on, each colour's its own; it goes the way of even rows."""
        if not self.stripes:
            return ()
        tail = [op("tail")] if self.b.plan.craft is Craft.LOOP else []
        found: list[Operation] = []
        for yarn, begin, end in self._places(self.stripes[0])[::-1]:
            found += [op("colour", 1, yarn), *([op("join")] if found else tail)]
            found.append(op("co", end - begin))
        return tuple(found)

    def row(
        self, part: str, number: int, worked: Sequence[Operation], *, back: bool = False
    ) -> tuple[tuple[Operation, ...], str]:
        """Row `number` in its colours, and what to say of it; a step before it may cut yarns.

        `back`: it goes from the end of odd rows to their beginning.
        """
        if not self.stripes:
            return tuple(worked), ""
        band = band_of(self.stripes, number)
        before = band_of(self.stripes, number - 1) if number > 1 else band
        new, old = self._places(band), self._places(before)
        if len(new) == len(old) == 1:
            if new == old:
                return tuple(worked), ""
            change = (op("tail"), op("colour", 1, new[0][0]), op("join"))
            return (*change, *worked), f"Change to {new[0][0]} here, at the end of the row"
        kept = set(new) & set(old)
        if new != old:
            self._cut(part, [yarn for yarn, *_ in old if not kept & set(_of(old, yarn))])
        said = CROSSED if new[1:] and (number == 1 or new != old) else ""
        return tuple(self._in_blocks(worked, new[::-1] if back else new, kept)), said

    def _in_blocks(
        self, worked: Iterable[Operation], places: Places, kept: set[tuple[str, int, int]]
    ) -> Iterable[Operation]:
        left = list(worked)
        for place in places:
            yarn, begin, end = place
            if yarn != self.b.colour or place not in kept or begin != places[0][1]:
                yield op("colour", 1, yarn)
            if place not in kept:
                yield op("join")
            wanted = end - begin
            while wanted:
                one = left.pop(0)
                if one.takes != one.times or one.leaves != one.times:
                    raise Refusal(
                        "Blocks side by side part a row between its loops: choose a stitch pattern "
                        "of knit and purl alone, as moss or basket, or give stripes."
                    )
                here = min(wanted, one.times)
                yield op(one.stitch, here, one.at)
                if one.times > here:
                    left.insert(0, op(one.stitch, one.times - here, one.at))
                wanted -= here

    def _cut(self, part: str, yarns: Sequence[str]) -> None:
        """These end here."""
        ends = [o for yarn in yarns for o in (op("colour", 1, yarn), op("tail"))]
        self.b.step(part, Kind.MARKER, *ends, note="These colours end here")

    def last(self, part: str, rows: int) -> None:
        """After the last row all yarns but the one in hand are cut."""
        if self.stripes and (hanging := self._places(band_of(self.stripes, rows)))[1:]:
            hand = self.b.colour
            others = [yarn for yarn, *_ in hanging if yarn != hand]
            ends = [o for yarn in others for o in (op("colour", 1, yarn), op("tail"))]
            note = "The yarn at hand goes on, the others end here"
            self.b.step(part, Kind.MARKER, *ends, op("colour", 1, hand), note=note)


def _of(places: Places, yarn: str) -> Places:
    return tuple(place for place in places if place[0] == yarn)
