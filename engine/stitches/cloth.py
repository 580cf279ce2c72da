"""A stitch pattern laid over a width: whole repeats in the middle, plain loops beside them.

Loop yarn is not turned. So a row that is worked on the wrong side on needles is worked from the
front there, in the same order, with the stitches that it looks like from behind; two loops are
stacked where needles knit two together, and one is doubled where they knit into its front and back.
In rounds every row is worked on the right side, from right to left.

Where the edges are shaped the repeats stay where they lie, counted from the middle. What is left of
a repeat is worked in pattern as far as it comes out: a crossing that has lost a loop, and an
increase or decrease whose partner is gone, are plain (common practice, no source). So is a crossing
of which a shaping takes a loop in this very row; whole again, it is crossed the next time.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

from engine.base.refusal import Refusal
from engine.script.builder import op
from engine.stitches.expanded import around, flat, from_behind, stitches
from engine.stitches.library import StitchPattern, stitch_pattern
from models.script import Craft, Operation
from models.stitch import Role

_IN_LOOPS = {"k2tog": "dec", "ssk": "dec", "p2tog": "dec", "ssp": "dec", "kfb": "inc", "pfb": "inc"}
"""What the hands do in loop yarn for what needles do (common practice, no source)."""


@dataclass(frozen=True)
class Cloth:
    """A pattern over `wide` loops."""

    pattern: StitchPattern
    wide: int
    craft: Craft
    rounds: bool = False

    @classmethod
    def of(
        cls, named: str | StitchPattern, wide: int, craft: Craft, *, rounds: bool = False
    ) -> "Cloth":
        """The pattern, or the one of that name, over `wide` loops.

        Raises Refusal where there is no such pattern in this craft, or where no repeat fits.
        """
        pattern = stitch_pattern(named, craft) if isinstance(named, str) else named
        if not pattern.repeats(wide, in_the_round=rounds):
            least = pattern.multiple + (0 if rounds else pattern.extra)
            raise Refusal(
                f"{pattern.title} wants at least {least} loops, and here are {wide}: make the "
                "piece wider, work a finer gauge, or choose another stitch pattern."
            )
        return cls(pattern, wide, craft, rounds)

    @property
    def height(self) -> int:
        """Rows after which the pattern begins again."""
        return len(flat(self.pattern, 1))

    def row(
        self, number: int, right: int = 0, left: int = 0, *, back: bool | None = None
    ) -> tuple[Operation, ...]:
        """Row `number`, from 1, in the order of the hand; even ones come back (or go around).

        `right` and `left`: loops at either edge, as seen from the right side, that are not there,
        or that a shaping takes for itself in this row. `back`: whether the hand goes from left to
        right, where that does not follow from the row's number.
        """
        if back is None:
            back = number % 2 == 0 and not self.rounds
        cells, first, last = self._worked(number, right, left)
        row = [
            *[op("k")] * (first[0] - right),
            *cells[first[1] : last[1]],
            *[op("k")] * (self.wide - left - last[0]),
        ]
        if back:
            row.reverse()
            if self.craft is Craft.NEEDLES:
                row = from_behind(row)
        return _runs(row)

    def crossings(self, number: int, right: int = 0, left: int = 0) -> frozenset[int]:
        """Where crossings of row `number` begin that `row` works so, loops from the right."""
        cells, first, last = self._worked(number, right, left)
        return frozenset(
            at for at, one in _places(cells[first[1] : last[1]], first[0]) if _crosses(one)
        )

    def crossings_in(self, number: int, right: int, left: int) -> frozenset[int]:
        """Those of which any loop lies between `right` and `left` of the edges."""
        cells = self._seen((number - 1) % self.height)
        return frozenset(
            at
            for at, one in _places(cells, 0)
            if _crosses(one) and right < at + one.takes and at < self.wide - left
        )

    def _worked(
        self, number: int, right: int, left: int
    ) -> tuple[tuple[Operation, ...], tuple[int, int], tuple[int, int]]:
        """Row `number` over the whole width, and where what is worked of it begins and ends."""
        cells = self._seen((number - 1) % self.height)
        return cells, *self._closed(cells, right, self.wide - left)

    def _seen(self, index: int) -> tuple[Operation, ...]:
        """A row over the whole width as it looks on the right side, from right to left."""
        return _seen(self.pattern, self.wide, self.craft, self.rounds, index)

    @staticmethod
    def _closed(
        cells: tuple[Operation, ...], right: int, end: int
    ) -> tuple[tuple[int, int], tuple[int, int]]:
        """Between which places a row leaves as many loops as it takes: loops and cells before each.

        The widest such stretch between the loops `right` and `end`; an empty one at `right`.
        """
        takes = leaves = 0
        places = [(0, 0)]
        for index, cell in enumerate(cells, 1):
            takes += cell.takes
            leaves += cell.leaves
            if takes == leaves:
                places.append((takes, index))
        inside = [place for place in places if right <= place[0] <= end]
        return (inside[0], inside[-1]) if inside else ((right, 0), (right, 0))


@lru_cache(maxsize=256)
def _seen(
    pattern: StitchPattern, wide: int, craft: Craft, rounds: bool, index: int
) -> tuple[Operation, ...]:
    """A pattern's row over `wide` loops as seen from the right side, its repeats in the middle."""
    on_edge = 0 if rounds else pattern.extra
    count = pattern.repeats(wide, in_the_round=rounds)
    first = (wide - on_edge - count * pattern.multiple) // 2
    last = wide - on_edge - count * pattern.multiple - first
    row = stitches((around if rounds else flat)(pattern, count)[index])
    if index % 2 and not rounds:
        row = from_behind(row)[::-1]
    if craft is Craft.LOOP:
        for one in row:
            if not _by_hand(one):
                raise Refusal(
                    f"{pattern.title} has {one.entry.name}, which loop yarn cannot: work it with "
                    "needles, or choose another stitch pattern."
                )
        row = [o.model_copy(update={"stitch": _IN_LOOPS.get(o.stitch, o.stitch)}) for o in row]
    return (*[op("k")] * first, *row, *[op("k")] * last)


def _places(cells: Iterable[Operation], at: int) -> Iterator[tuple[int, Operation]]:
    """Each with the loops before it; the first has `at`."""
    for one in cells:
        yield at, one
        at += one.takes


def _crosses(one: Operation) -> bool:
    return one.entry.role is Role.CROSS


def _by_hand(one: Operation) -> bool:
    """Whether hands without needles can do it."""
    return one.stitch in {"k", "p", *_IN_LOOPS} or _crosses(one)


def _runs(row: Iterable[Operation]) -> tuple[Operation, ...]:
    """Equal neighbours as one; those worked no times are left out."""
    return tuple(
        op(stitch, times)
        for stitch, group in groupby(row, key=lambda o: o.stitch)
        if (times := sum(o.times for o in group))
    )


def laid(
    name: str, loops: int, rows: int, craft: Craft, in_the_round: bool = False
) -> tuple[tuple[Operation, ...], ...]:
    """`rows` rows of a pattern over `loops`, each in the order of the hand.

    Raises Refusal where there is no such pattern in this craft, or where no repeat fits.
    """
    cloth = Cloth.of(name, loops, craft, rounds=in_the_round)
    return tuple(cloth.row(number) for number in range(1, rows + 1))
