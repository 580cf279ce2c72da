"""A taper: how many loops each round loses, so that a tube narrows evenly over its length.

The published method: so many decreases over so many rows, the gaps between them as alike as whole
rows allow ("36 over 140" is 4 times every 3rd row and 32 times every 4th; getknitting.com,
"Knitting and the Magic Formula"). The first round after a pick-up stays plain, and so does the
last one before a bind-off.
"""

from collections.abc import Sequence

from engine.craft.spacing import gaps

MOST = 2
"""Loops lost in one round at most, one at either side of the marker: more would pucker (common
practice, no source)."""


def tapered(
    lost: int, rounds: int, *, worked: Sequence[int] = (), pairs: bool = False
) -> tuple[int, ...]:
    """Loops lost in each of `rounds` rounds, `lost` in all as far as that is possible.

    One at a time, as long as every other round is enough for that; else, or always with `pairs`,
    two in a round, the odd one first. What two in each round cannot lose is not lost.

    `worked` are the losses of rounds that are worked already: they stand, and what is left to
    lose is spread over the rounds that are left.
    """
    done = tuple(worked[:rounds])
    left = lost - sum(done)
    begins = max(len(done), 1)
    slots = rounds - 1 - begins
    by_round = [0] * (rounds - len(done))
    if left < 1 or slots < 1:
        return (*done, *by_round)
    single = not pairs and 2 * left <= slots
    changes = min(slots, left if single else (left + 1) // 2)
    left = min(left, changes * (1 if single else MOST))
    at = begins - len(done) - 1
    for number, gap in enumerate(gaps(slots, changes)):
        at += gap
        by_round[at] = 1 if single or (number == 0 and left % MOST == 1) else MOST
    return (*done, *by_round)
