"""Where the hand stands after a row that was turned, and what lies on either side of it."""

from collections.abc import Iterable
from dataclasses import dataclass

from engine.pattern.count.worked import Worked


@dataclass(frozen=True)
class Standing:
    """The hand within a row: `ahead` loops in the way it goes next, `behind` the others."""

    ahead: int
    behind: int
    back: bool
    """In a round: it goes against the way of the rounds."""
    ring: bool
    """Whether it is a round; `ahead` then counts to where the round begins."""


def turned(before: Standing, worked: Worked) -> Standing:
    """Where the hand stands on its way back from a row that it turned in."""
    left = before.ahead - worked.takes
    if left >= 0 or not before.ring:
        return Standing(before.behind + worked.leaves, max(0, left), not before.back, before.ring)
    # Over the beginning of the round: what it made beyond lies ahead of it again.
    here = worked.leaves if worked.leaves_at_end is None else worked.leaves_at_end
    behind = here + before.behind + left
    return Standing(worked.leaves - here, behind, not before.back, before.ring)


def from_there(places: Iterable[int], behind: int, *, here: bool = True) -> tuple[int, ...]:
    """Places along all loops, counted from where the hand begins; `here`: that place as well."""
    first = behind if here else behind + 1
    return tuple(place - behind for place in places if place >= first)


def back_again(
    places: Iterable[int], *, made: Iterable[int], behind: int, total: int, here: bool = True
) -> list[int]:
    """Places after a flat row, counted from the other end: where the next one comes from."""
    kept = [place for place in places if place < (behind if here else behind + 1)]
    return sorted(max(0, total - p) for p in (*kept, *(behind + m for m in made)))
