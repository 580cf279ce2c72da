"""Yarns of several colours: each works only where it hangs.

A yarn hangs at the loop that it made last. So when a row takes it up again without joining it, the
next loop is pulled through that very one; one that was cut is joined first. One that waits at an
edge goes up with it, and one that waits where rounds begin is taken up where the next one does.
Scripts of one colour never take a yarn in hand and are not looked at.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from operator import itemgetter

from engine.craft.stripes import colour_name
from engine.script.fabric import Loop, Pulls
from models.script import Direction, Kind, Operation, RowScript, Step
from models.stitch import Role


def ends_of(steps: Iterable[Step]) -> int:
    """Ends of yarn that these steps leave."""
    return sum(o.times for s in steps for o in s.operations if o.stitch in {"tail", "join"})


def by_colour(script: RowScript) -> dict[str, int]:
    """Loops of yarn by colour, in the order in which they are wanted; empty for one colour."""
    found: dict[str, int] = {}
    for _, yarn, one in worked_by_yarn(script):
        colour = colour_name(yarn)
        found[colour] = found.get(colour, 0) + one.yarn(script.craft)
    return found


def worked_by_yarn(script: RowScript) -> Iterator[tuple[Step, str, Operation]]:
    """Every operation that takes yarn, with the yarn it takes; none for a script of one colour.

    A make that was begun when scripts only said a step's colour cuts the old one's end in the step
    that changes it.
    """
    in_hand = ""
    for step in script.steps:
        told = any(one.stitch == "colour" for one in step.operations)
        for one in step.operations:
            if one.stitch == "colour":
                in_hand = one.at
            elif one.stitch != "tail" and not told:
                in_hand = step.colour
            if (in_hand or step.colour) and one.yarn(script.craft):
                yield step, in_hand or step.colour, one


class Yarns:
    """Where the yarns hang, followed step by step."""

    def __init__(self) -> None:
        self._hand = ""
        self._hangs: dict[str, Loop | None] = {}
        """The loop at which each yarn hangs; None for one that is joined and has worked nothing.
        What was cut is not there."""
        self._around: set[str] = set()
        """Yarns that wait where rounds begin."""

    def looks_at(self, step: Step) -> bool:
        """Whether there is a yarn to follow in a step."""
        return bool(self._hand) or any(one.stitch == "colour" for one in step.operations)

    def follow(self, step: Step, pulls: Sequence[Pulls]) -> Iterator[str]:
        """What is wrong with the yarns in a step, whose pulls are in the order of the hand."""
        left, taken = deque(pulls), False
        around = step.direction is Direction.AROUND
        if pulls and not around:
            self._around.clear()
        for one in step.operations:
            # Equal stitches of a row may be one and the same object: each has pulls of its own.
            mine = [left.popleft()] if left and left[0].operation == one else []
            match one.stitch:
                case "colour":
                    self._hand, taken = one.at, True
                case "join":
                    self._hangs[self._hand] = None
                case "tail" if step.kind is not Kind.FOUNDATION:
                    if self._hangs.pop(self._hand, self) is self and self._hand:
                        yield f"it cuts the yarn in {self._hand}, which does not hang there"
                case _ if self._hand and (one.takes or one.leaves):
                    first = not mine or mine[0] is pulls[0]
                    yield from self._works(step, mine, taken=taken, first=first)
                    taken = False
        if around and pulls:
            self._around.add(self._hand)
        if len(self._hangs) > 1:
            self._go_up(pulls)

    def _go_up(self, pulls: Sequence[Pulls]) -> None:
        """What waits at either end of a row goes up with the loops that are made there."""
        ends = [(list(pulls[end].each()), end) for end in (0, -1) if pulls]
        for each, end in filter(itemgetter(0), ends):
            used, made = each[end].used, each[end].made
            for yarn, hangs in self._hangs.items():
                if yarn != self._hand and hangs in used and made:
                    self._hangs[yarn] = made[end]

    def _works(
        self, step: Step, pulls: Sequence[Pulls], *, taken: bool, first: bool
    ) -> Iterator[str]:
        used = [loop for one in pulls for ids in one.used for loop in ids]
        made = [loop for one in pulls for ids in one.made for loop in ids]
        ends = any(one.operation.entry.role is Role.END for one in pulls)
        if self._hand not in self._hangs and step.kind is not Kind.FOUNDATION and not ends:
            yield f"it works with {self._hand}, which was cut or is not joined"
            self._hangs[self._hand] = None
        hangs = self._hangs.get(self._hand)
        waits = step.direction is Direction.AROUND and first and self._hand in self._around
        if taken and hangs is not None and used and used[0] != hangs and not waits:
            yield f"it takes up {self._hand} where that yarn does not hang"
        if made:
            self._hangs[self._hand] = made[-1]
