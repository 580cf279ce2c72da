"""A stitch pattern over a part whose edges are shaped.

The pattern lies over the part at its widest. A cover knows which of those loops are in the work, so
that each keeps its place in the pattern while edges come in and go out. Single loops beside a
shaping stay plain: they are the edge that it is worked at.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from engine.base.refusal import Refusal
from engine.stitches import Cloth, StitchPattern, read_stitch, stitch_pattern
from models.plan import Plan
from models.script import Operation
from models.stitch import Role

_PLAIN = {"k", "p"}
UNCROSSED = "A cable at the edge that lacks a loop in this row is worked plain, not crossed"
"""Said where a crossing falls to a shaping, once until it is crossed again."""


@dataclass
class Cover:
    """What lies over a part, and where; without a cloth every row stays as it is."""

    cloth: Cloth | None
    right: int = 0
    """Loops of the cloth's width that the part has not, at its right as seen; likewise `left`."""
    left: int = 0
    after: int = 0
    """Rows of the pattern that were worked before on the same loops."""
    said: str = ""
    """What there is to say of the row that was worked last."""
    _uncrossed: frozenset[int] = field(default_factory=frozenset)

    def over(self, right: int, loops: int, after: int) -> "Cover":
        """The same cloth over `loops` of its loops, beginning `right` of them from its right."""
        wide = self.cloth.wide if self.cloth else 0
        return Cover(self.cloth, right, wide - right - loops, after)

    def row(self, number: int, *row: Operation, back: bool = False) -> tuple[Operation, ...]:
        """Row `number` of the part with its plain stretches in pattern, in the order of the hand.

        `back`: the hand goes from left to right as seen. What the row loses or makes before its
        longest plain stretch moves the edge where it begins, the rest the other edge.
        """
        cloth = self.cloth
        if cloth is None:
            return row
        found: list[Operation] = []
        crossed: frozenset[int] = frozenset()
        turn = self.after + number
        due = cloth.crossings_in(turn, self.right, self.left)
        at = self.left if back else self.right
        for one in row:
            if one.stitch in _PLAIN and one.times > 1:
                ends = (at, cloth.wide - at - one.times)
                right, left = ends[::-1] if back else ends
                found += cloth.row(turn, right, left, back=back)
                crossed |= cloth.crossings(turn, right, left) if due else due
            else:
                found.append(one)
            at += _passed(one)
        self._move(row, back=back)
        torn = due - crossed
        self.said = UNCROSSED if torn - self._uncrossed else ""
        self._uncrossed = self._uncrossed - due | torn
        return tuple(found)

    def _move(self, row: Sequence[Operation], *, back: bool) -> None:
        plain = [o.times if o.stitch in _PLAIN else 0 for o in row]
        middle = plain.index(max(plain)) if plain else 0
        lost = [_passed(o) - (o.leaves if _shapes(o) else _passed(o)) for o in row]
        begin, end = sum(lost[:middle]), sum(lost[middle:])
        self.right += end if back else begin
        self.left += begin if back else end


def _shapes(one: Operation) -> bool:
    """Whether it moves an edge: what takes in a loop that waited beside it moves none."""
    return one.entry.role in {Role.DECREASE, Role.INCREASE} and not one.at


def _passed(one: Operation) -> int:
    """Loops of the cloth's width that the hand passes; what is picked up in a row belongs to it."""
    if one.entry.along:
        return one.leaves
    return one.leaves if one.at and one.entry.role is Role.DECREASE else one.takes


def stitch_of(plan: Plan) -> StitchPattern:
    """The stitch pattern that a plan has laid over it. Raises Refusal for one that is none."""
    if plan.stitch_text:
        return read_stitch(plan.stitch, plan.stitch_text)
    return stitch_pattern(plan.stitch, plan.craft)


def cover_for(plan: Plan, wide: int, *, rounds: bool = False, part: str = "") -> Cover:
    """The plan's stitch pattern over a part that is `wide` loops at its widest.

    Raises Refusal where no repeat fits; `part` is then named.
    """
    if not plan.stitch:
        return Cover(None)
    try:
        return Cover(Cloth.of(stitch_of(plan), wide, plan.craft, rounds=rounds))
    except Refusal as refusal:
        raise Refusal(f"Over the {part}: {refusal}" if part else str(refusal)) from None
