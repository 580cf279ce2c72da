"""Two hands with a needle each: a stitch takes loops from the left one and puts loops on the right.

What one stitch does is written from the Craft Yarn Council's "Knit Abbreviations" (from memory),
as moves of the hand and not as sums: nothing here is shared with the engine's table.
"""

from collections import deque
from collections.abc import Iterable

KNITTED, SLIPPED = "o", "s"
# loops taken from the left needle, loops made on the right one
MOVES = {
    "k": (1, 1),
    "p": (1, 1),
    "k tbl": (1, 1),
    "p tbl": (1, 1),
    "k2tog": (2, 1),
    "p2tog": (2, 1),
    "ssk": (2, 1),
    "ssp": (2, 1),
    "k3tog": (3, 1),
    "p3tog": (3, 1),
    "sssk": (3, 1),
    "yo": (0, 1),
    "m1": (0, 1),
    "m1l": (0, 1),
    "m1r": (0, 1),
    "m1p": (0, 1),
    "kfb": (1, 2),
    "pfb": (1, 2),
    "kfbf": (1, 3),
    "3 in 1": (1, 3),
    "5 in 1": (1, 5),
    "bo": (1, 0),
    "co": (0, 1),
}


class DroppedError(Exception):
    """There is no such loop on the needle."""


def worked(stitches: Iterable[str], on: int) -> tuple[int, int]:
    """Loops left on the left needle, and on the right one, after these stitches on `on` loops."""
    left = deque([KNITTED] * on)
    right: list[str] = []
    for stitch in stitches:
        if stitch == "sl":
            if not left:
                raise DroppedError(stitch)
            left.popleft()
            right.append(SLIPPED)
        elif stitch == "psso":
            # the slipped loop nearest the tip is lifted over all that was made after it
            at = max((i for i, loop in enumerate(right[:-1]) if loop == SLIPPED), default=None)
            if at is None:
                raise DroppedError(stitch)
            del right[at]
        else:
            takes, makes = MOVES[stitch]
            for _ in range(takes):
                if not left:
                    raise DroppedError(stitch)
                left.popleft()
            right += [KNITTED] * makes
    return len(left), len(right)


def needs(stitches: Iterable[str]) -> int:
    """Loops that these stitches take: the fewest on which nothing is dropped and none is left."""
    taken = 0
    for stitch in stitches:
        taken += 1 if stitch == "sl" else 0 if stitch == "psso" else MOVES[stitch][0]
    return taken
