"""A stitch pattern laid over a width: whole repeats in the middle, plain loops beside them.

Loop yarn is not turned. So a row that is worked on the wrong side on needles is worked from the
front there, in the same order, with the stitches that it looks like from behind; two loops are
stacked where needles knit two together, and one is doubled where they knit into its front and back.
In rounds every row is worked on the right side, from right to left.

Where the edges are shaped the repeats stay where they lie, counted from the middle; those that
still have all their loops are worked, and what is left beside them is plain.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from engine.base.refusal import Refusal
from engine.script.builder import op
from engine.stitches.expanded import Rows, around, flat, from_behind, stitches
from engine.stitches.library import StitchPattern, stitch_pattern
from models.script import Craft, Operation

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
    def of(cls, name: str, wide: int, craft: Craft, *, rounds: bool = False) -> "Cloth":
        """The pattern of that name over `wide` loops.

        Raises Refusal where there is no such pattern in this craft, or where no repeat fits.
        """
        pattern = stitch_pattern(name, craft)
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
        return len(flat(self.pattern.name, 1))

    def row(self, number: int, right: int = 0, left: int = 0) -> tuple[Operation, ...]:
        """Row `number`, from 1, in the order of the hand; even ones come back (or go around).

        `right` and `left`: loops at either edge, as seen from the right side, that are not there,
        or that a shaping takes for itself in this row.
        """
        pattern, on_edge = self.pattern, 0 if self.rounds else self.pattern.extra
        count = pattern.repeats(self.wide, in_the_round=self.rounds)
        first = (self.wide - on_edge - count * pattern.multiple) // 2
        begin = max(0, -(-(right - first) // pattern.multiple))
        room = self.wide - left - on_edge - first
        end = min(count, room // pattern.multiple)
        back = number % 2 == 0
        turned = back and not self.rounds and self.craft is Craft.NEEDLES
        plain = "p" if turned else "k"
        live = self.wide - right - left
        if end <= begin:
            return (op(plain, live),)
        at_right = first + begin * pattern.multiple - right
        at_left = live - at_right - (end - begin) * pattern.multiple - on_edge
        rows = around if self.rounds else flat
        middle = self._worked(rows(pattern.name, end - begin), number)
        ends = (at_left, at_right) if back and not self.rounds else (at_right, at_left)
        return _runs([op(plain, ends[0]), *middle, op(plain, ends[1])])

    def _worked(self, rows: Rows, number: int) -> list[Operation]:
        """The repeats of one row as this craft works them."""
        index = (number - 1) % len(rows)
        row = stitches(rows[index])
        if self.craft is Craft.NEEDLES:
            return row
        if index % 2 and not self.rounds:
            row = from_behind(row)
        return [o.model_copy(update={"stitch": _IN_LOOPS.get(o.stitch, o.stitch)}) for o in row]


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
