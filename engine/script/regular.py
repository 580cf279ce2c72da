"""Whether rows read as a hand would work them by heart: from both ends alike, or again and again.

A part that a script calls regular has rows like that and no others. In a round they go around:
between its decreases, or the gaps and the loops over them, lie as many loops everywhere, give or
take one. Columns stand: a rib lies on the rib below, decreases that are evenly spread lie one above
another, and loops are laid on over the gaps that were bound off.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from models.script import Kind, Step
from models.stitch import STITCHES, Role

_PAIR = 2

Stretch = tuple[str, int]
"""A stitch and how often it is worked, one after another."""


def worked(step: Step) -> list[Stretch]:
    """The stitches of a row alone: no yarn's ends, markers or regrouping."""
    return [(o.stitch, o.times) for o in step.operations if o.entry.takes or o.entry.leaves]


def mirrors(one: Step, other: Step) -> bool:
    """Whether a row is the other from its far end on, leaning the other way or not."""
    plain = worked(one)[::-1]
    leaning = [(STITCHES[stitch].mirror or stitch, times) for stitch, times in plain]
    return worked(other) in (plain, leaning)


def irregular(rows: Sequence[Step]) -> Iterator[Step]:
    """The rows of a part that are not regular, or do not lie as the ones below ask."""
    before: _Round | None = None
    rib: list[str] = []
    for step in rows:
        if step.kind is not Kind.ROUND:
            if not (mirrors(step, step) or _again(step) or _periodic(_each(step))):
                yield step
            continue
        this = _Round.of(step)
        if not this.shaped:
            ribbed = len(set(this.plain)) > 1
            if not _periodic(this.plain) or (ribbed and rib and rib != this.plain):
                yield step
            rib = this.plain if ribbed else rib
            continue
        even = this.wide > 0 or _periodic(_each(step))
        if not even or (before and not this.stands_on(before)):
            yield step
        before, rib = this, []


class _Shaping(NamedTuple):
    stitch: str
    times: int
    found: int
    """Loops of the round before it, by those that it finds; and by those that it makes."""
    made: int


class _Round(NamedTuple):
    """A round by its plain loops and what shapes it."""

    plain: list[str]
    shaped: list[_Shaping]
    gaps: list[int]
    """Plain loops between one shaping and the next, around."""

    @classmethod
    def of(cls, step: Step) -> "_Round":
        plain: list[str] = []
        shaped: list[_Shaping] = []
        found = made = 0
        since: list[int] = []
        gap = 0
        for stitch, times in worked(step):
            entry = STITCHES[stitch]
            if entry.takes == entry.leaves:
                plain += [stitch] * (times * entry.takes)
                gap += times * entry.takes
                found, made = found + times * entry.takes, made + times * entry.takes
                continue
            together = entry.role in {Role.BEGIN, Role.END}
            for _ in range(1 if together else times):
                shaped.append(_Shaping(stitch, times if together else 1, found, made))
                since.append(gap)
                gap = 0
                count = times if together else 1
                found += max(0, count * entry.takes)
                made += max(0, count * entry.leaves)
        if since:
            since[0] += gap
        return cls(plain, shaped, since)

    @property
    def wide(self) -> int:
        """After how many shapings the same comes again, as far from each other everywhere, give or
        take a loop: one, or two of a pair; 0 where it does not."""
        shaped = [(s.stitch, s.times) for s in self.shaped]
        wide = len(set(shaped))
        again = all(one == shaped[i % wide] for i, one in enumerate(shaped))
        grows = any(STITCHES[s.stitch].role is Role.INCREASE for s in self.shaped)
        if wide > _PAIR or len(shaped) % wide or not again or (grows and wide == _PAIR):
            return 0  # what grows in pairs grows by stretches that are the same again
        apart = [self.gaps[i::wide] for i in range(wide)]
        return wide if all(max(gaps) - min(gaps) <= 1 for gaps in apart) else 0

    def stands_on(self, below: "_Round") -> bool:
        """Whether it is shaped where the round that was shaped before it asks for it."""
        one, other = STITCHES[below.shaped[0].stitch], STITCHES[self.shaped[0].stitch]
        if one.role is Role.END and other.role is Role.BEGIN:
            return [s.made for s in below.shaped] == [s.found for s in self.shaped]
        if [s.stitch for s in self.shaped] != [s.stitch for s in below.shaped]:
            return True
        uneven = self.wide != _PAIR and len({*self.gaps}) + len({*below.gaps}) > 2
        if one.role is not Role.DECREASE or uneven:
            return True
        # Each takes in the loop that the one below it made.
        line = {s.made for s in below.shaped}
        return all(line & set(range(s.found, s.found + other.takes)) for s in self.shaped)


def _each(step: Step) -> list[str]:
    """Stitch by stitch."""
    return [stitch for stitch, times in worked(step) for _ in range(times)]


def _periodic(plain: Sequence[str]) -> bool:
    """Whether a round is one stretch again and again."""
    size = len(plain)
    return any(
        size % wide == 0 and all(plain[i] == plain[i % wide] for i in range(size))
        for wide in range(1, size // 2 + 1)
    )


def _again(step: Step) -> bool:
    """Whether the stretches up to each decrease are all the same, and nothing is left over."""
    stretches: list[list[Stretch]] = [[]]
    for stitch, times in worked(step):
        stretches[-1].append((stitch, times))
        if STITCHES[stitch].takes > STITCHES[stitch].leaves:
            stretches.append([])
    return not stretches.pop() and all(stretch == stretches[0] for stretch in stretches)
