"""The ways in which a row can be read. Which of them is meant is decided in `expand`.

"Yo, k2tog 3 times" is one yarn over and three decreases, or three times both. Print leaves such
things to the reader, who sees which of them comes out. So a row becomes all its readings, each
with no doubt left, and what was chosen in it; the likeliest comes first.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from engine.pattern.count.worked import leaves_of, takes_of
from engine.pattern.text.numbers import Number, Spot
from engine.pattern.text.row_items import Across, AsRow, Claim, Doubt, Group, Item, Stitch
from engine.pattern.text.stars import NO_RUN

READINGS_AT_MOST = 48
AS_AT_MOST = 50
"""Rows that are as other rows, one as the next, with brackets within."""
AsRowFinder = Callable[[AsRow], tuple[Item, ...] | None]
_PLAIN = {"k", "p", "work", "k tbl", "p tbl"}
_SINGLE = _PLAIN | {"yo"}


@dataclass(frozen=True)
class Choice:
    """One thing that could be read in another way."""

    spot: Spot
    told: str
    """As in "k6, k2tog is repeated"."""
    strained: bool = False
    """Only to be taken where nothing else comes out."""
    decides: bool = False
    """Whole repeats: where they come out, that is what is meant."""
    wants_count: bool = False
    """Only taken where the count printed after the row fits it."""


@dataclass(frozen=True)
class Reading:
    """A row without doubts, and what was chosen for it."""

    items: tuple[Item, ...] = ()
    chosen: tuple[Choice, ...] = ()

    def then(self, *items: Item, choice: Choice | None = None, drop: int = 0) -> "Reading":
        """Go on with items, in place of the last `drop` ones."""
        kept = self.items[: len(self.items) - drop]
        chosen = (*self.chosen, choice) if choice else self.chosen
        return Reading((*kept, *items), chosen)

    @property
    def strained(self) -> bool:
        """Whether it is a reading only where nothing else comes out."""
        return any(c.strained for c in self.chosen)

    @property
    def told(self) -> str:
        """What was chosen, in words."""
        return ", ".join(c.told for c in self.chosen)


class TooManyReadings(Exception):
    """More ways to read a row than anyone would try."""


@dataclass
class _Reader:
    """Reads a row in all ways but for the words of `other`, which have their second sense."""

    size: int
    as_row: AsRowFinder
    other: frozenset[str] = frozenset()
    strained: bool = False
    depth: int = 0
    met: set[str] = field(default_factory=set)
    """Words with two senses; a row uses each of them in one."""

    def sequence(self, items: Sequence[Item]) -> list[Reading]:
        """All readings of items in order. Raises TooManyReadings."""
        self.depth += 1
        found = [Reading()]
        for index, item in enumerate(items):
            after = items[index + 1] if index + 1 < len(items) else None
            found = [more for reading in found for more in self._next(reading, item, after)]
            if len(found) > READINGS_AT_MOST:
                raise TooManyReadings
        self.depth -= 1
        return found

    def _next(self, so_far: Reading, item: Item, after: Item | None) -> Iterable[Reading]:
        match item:
            case Across():
                return self._across(so_far, item)
            case Group():
                return self._group(so_far, item)
            case Stitch():
                return self._stitch(so_far, item, after)
            case AsRow():
                return self._as_row(so_far, item)
            case _:
                return [so_far.then(item)]

    # ------------------------------------------------------------ stitches
    def _stitch(self, so_far: Reading, item: Stitch, after: Item | None) -> Iterable[Reading]:
        plainly = replace(item, doubt=Doubt.NONE)
        if self.strained and item.parts[0][0] == "bo" and isinstance(after, Stitch):
            return self._bound_off(so_far, plainly)
        if self.strained and after is None and self._may_be_count(item):
            return self._counted(so_far, item)
        match item.doubt:
            case Doubt.STOPPED:
                return self._stopped(so_far, item, after)
            case Doubt.INTO | Doubt.ALL_INTO:
                return self._into(so_far, plainly, surely=item.doubt is Doubt.ALL_INTO)
            case Doubt.FORWARD if self._sense("yf"):
                return [so_far.then(choice=Choice(item.spot, "yf makes no loop"))]
            case Doubt.FORWARD:
                so_far = so_far.then(choice=Choice(item.spot, "yf makes a loop"))
            case Doubt.LAID_OVER if self._sense("laid over"):
                told = "yo after the slipped stitch is one with it, as in brioche"
                both = Stitch((("sl1yo", 1),), item.spot, Number((1.0,), item.spot))
                return [so_far.then(both, choice=Choice(item.spot, told), drop=1)]
            case Doubt.LAID_OVER:
                told = "yo after the slipped stitch is a loop more"
                so_far = so_far.then(choice=Choice(item.spot, told))
            case Doubt.INCREASE if self._sense("inc"):
                so_far = so_far.then(choice=Choice(item.spot, "inc makes one between two"))
                plainly = replace(plainly, parts=(("m1", 1),))
            case Doubt.INCREASE:
                so_far = so_far.then(choice=Choice(item.spot, "inc works twice into one"))
            case Doubt.PASSED:
                so_far, plainly = self._passed(so_far, plainly)
        return self._times(so_far, plainly, last=after is None)

    def _may_be_count(self, item: Stitch) -> bool:
        """Whether the number of a row's last stitch may be the row's count: `k2tog 18`."""
        stitch = item.parts[0][0]
        plain = stitch in _PLAIN or stitch in {"bo", "co"} or item.times is not None
        return self.depth == 1 and item.count is not None and not plain and not item.doubt

    def _counted(self, so_far: Reading, item: Stitch) -> Iterable[Reading]:
        """Where so many do not come out: it is worked once, if the count fits."""
        assert item.count is not None  # by the question above
        once = replace(item, count=None)
        told = f"{self.words([once])} is worked once, and a count stands after it"
        one = so_far.then(choice=Choice(item.spot, told, strained=True))
        claim = Claim(item.count, item.count.spot)
        return [so_far.then(item), *(r.then(claim) for r in self._stitch(one, once, None))]

    def _stopped(self, so_far: Reading, item: Stitch, after: Item | None) -> Iterable[Reading]:
        """`…, inc. 23 sts.`: one, and 23 after the row, where that comes out; else 23 of them."""
        doubt = Doubt.INCREASE if item.parts[0][0] == "inc" else Doubt.NONE
        again = replace(item, doubt=doubt)
        if after is not None or self.depth > 1 or item.count is None:
            return self._stitch(so_far, again, after)
        said = Choice(item.spot, f"{self.words([again])} is no count of the row")
        many = self._stitch(so_far.then(choice=said), again, after)
        once = replace(again, count=None)
        told = Choice(
            item.spot, f"{self.words([once])} is worked once, and a count stands after it"
        )
        one = self._stitch(so_far.then(choice=told), once, None)
        return [*(r.then(Claim(item.count, item.count.spot)) for r in one), *many]

    def _bound_off(self, so_far: Reading, bo: Stitch) -> Iterable[Reading]:
        """`BO 3, k6`: the loop that binding off leaves on the needle is one of the 6, or not."""
        one = Stitch((("k", 1),), bo.spot, Number((1.0,), bo.spot))
        told = "the stitch left from binding off is not counted in"
        choice = Choice(bo.spot, told, strained=True)
        return [so_far.then(bo), so_far.then(bo, one, choice=choice)]

    def _sense(self, word: str) -> bool:
        """Whether a word has its second sense."""
        self.met.add(word)
        return word in self.other

    def _into(self, so_far: Reading, last: Stitch, *, surely: bool) -> Iterable[Reading]:
        """`k1, yo, k1 in next st`: what goes into it reaches back over single stitches."""
        reach = 0
        while reach < len(so_far.items) and self._single(so_far.items[-reach - 1]):
            reach += 1
        found = []
        for back in range(reach, 0, -1):
            body = (*so_far.items[len(so_far.items) - back :], replace(last, times=None))
            told = f"{self.words(body)} go into one"
            group = Group(body, last.spot, last.times, into=True)
            found.append(so_far.then(group, choice=Choice(last.spot, told), drop=back))
        if not surely or not found:
            told = f"only {self.words([last])} goes into it"
            choice = Choice(last.spot, told, wants_count=True) if found else None
            found.append(so_far.then(last, choice=choice))
        return found

    def _passed(self, so_far: Reading, psso: Stitch) -> tuple[Reading, Stitch]:
        """`sl 2, k1, psso`: the last one slipped, or all of them."""
        before = so_far.items[-2:-1]
        slip = before[0] if before and isinstance(before[0], Stitch) else None
        count = 1
        if slip and slip.parts[0][0].startswith("sl"):
            count = self._count(slip) * slip.parts[0][1]
        if count < 2:
            return so_far, psso
        all_of_them = replace(psso, parts=(("psso", count),))
        if slip and slip.parts[0][0] == "sl kwise":  # together: a centred double decrease
            return so_far, all_of_them
        if self._sense("psso"):
            return so_far.then(choice=Choice(psso.spot, "psso passes 1 over")), psso
        told = Choice(psso.spot, f"psso passes {count} over")
        return so_far.then(choice=told), all_of_them

    def _times(self, so_far: Reading, stitch: Stitch, *, last: bool) -> Iterable[Reading]:
        """`yo, k2tog 3 times`: the last stitch alone, or what stands before it as well."""
        if stitch.times is None or stitch.times.number.whole(self.size) < 2:
            return [so_far.then(stitch)]
        once = replace(stitch, times=None)
        before = _tail(so_far.items)
        passed = stitch.parts[0][0] == "psso"
        doubtful = passed or self._pairs(before, stitch)
        if not before or (not doubtful and (so_far.strained or not self.strained)):
            return [so_far.then(stitch)]
        literal = Choice(stitch.spot, f"only {self.words([once])} is repeated")
        found = [so_far.then(stitch, choice=literal)]
        for back in range(1, len(before) + 1):
            body = (*so_far.items[len(so_far.items) - back :], once)
            whole = last and back == len(so_far.items) and self.depth == 1
            choice = Choice(
                stitch.spot,
                f"{self.words(body)} is repeated",
                strained=not doubtful,
                wants_count=not (passed or whole),
            )
            group = Group(body, stitch.spot, stitch.times)
            found.append(so_far.then(group, choice=choice, drop=back))
        return found

    def _pairs(self, before: Sequence[Item], stitch: Stitch) -> bool:
        """Whether a repeat may well mean both: `yo, k2tog 3 times`, not `ssk, k2tog twice`."""
        if not takes_of(stitch.parts):
            return False
        if stitch.parts[0][0] in _PLAIN and self._count(stitch) == 1:
            return True  # "k2tog, p1 3 times": nobody writes that for p3
        was, change = _change(before[-1]) if before else 0, _change(stitch)
        return was > 0 or (was < 0 and change >= 0)

    # ------------------------------------------------------------ repeats
    def _across(self, so_far: Reading, item: Across) -> Iterable[Reading]:
        """`k6, k2tog to end`: all of it is repeated, or the last stitches alone."""
        for inner in self.sequence(item.items):
            body = inner.items
            last = body[-1]
            counted = isinstance(last, Stitch) and last.parts[0][0] in _PLAIN
            edge = isinstance(body[0], Stitch) and body[0].parts[0][0].startswith("sl")
            border = self._border(item, body)
            begun = Reading(so_far.items, (*so_far.chosen, *inner.chosen))
            for start in range(len(body)):
                alone = start == len(body) - 1
                if alone and (counted or not self._takes(body[start - 1 : start])):
                    continue  # "k1, p1 to end" is never one knit and all purl
                only = "only " if alone and start else ""
                told = f"{only}{self.words(body[start:])} is repeated"
                choice = Choice(
                    item.spot,
                    told,
                    decides=not (start or edge or border),
                    wants_count=alone or bool(start and not border and self._shapes(body)),
                )
                group = Group(body[start:], item.spot, limit=item.limit)
                yield begun.then(*body[:start], group, choice=choice)

    def _group(self, so_far: Reading, item: Group) -> Iterable[Reading]:
        for inner in self.sequence(item.items):
            begun = Reading(so_far.items, (*so_far.chosen, *inner.chosen))
            group = replace(item, items=inner.items)
            times = group.times
            if times is None or group.into or times.in_all or (group.starred and times.more):
                yield begun.then(group)
                continue
            if not (group.starred or times.more):
                yield begun.then(group)
                continue
            # "rep from * 3 times", "(k2, p2) 3 times more": the first time counted in or not
            said = times.number.whole(self.size)
            if said > 1 and self._sense("times"):
                all_told = replace(group, times=replace(times, more=False, in_all=True))
                told = f"it is worked {said} times, the first one counted in"
                yield begun.then(all_told, choice=Choice(item.spot, told))
            else:
                more = replace(group, times=replace(times, more=True))
                told = f"it is worked {said + 1} times, {said} more than the first"
                yield begun.then(more, choice=Choice(item.spot, told))

    def _as_row(self, so_far: Reading, item: AsRow) -> Iterable[Reading]:
        items = self.as_row(item)
        if items is None or self.depth >= AS_AT_MOST:
            return [so_far.then(item)]
        # a count said after that row was its own
        inner = self.sequence([i for i in items if not isinstance(i, Claim)])
        return [Reading((*so_far.items, *i.items), (*so_far.chosen, *i.chosen)) for i in inner]

    # ------------------------------------------------------------ words
    def _single(self, item: Item) -> bool:
        """Whether it is one knit, purl or yarn over."""
        return (
            isinstance(item, Stitch)
            and item.times is None
            and len(item.parts) == 1
            and item.parts[0][0] in _SINGLE
            and self._count(item) == 1
        )

    def _takes(self, items: Sequence[Item]) -> int:
        """Loops that stitches take; brackets are not looked into."""
        return sum(takes_of(i.parts) * self._count(i) for i in items if isinstance(i, Stitch))

    def _shapes(self, items: Sequence[Item]) -> bool:
        """Whether stitches change how many there are; brackets are taken to."""
        return any(isinstance(i, Group) or _change(i) for i in items)

    def _border(self, item: Across, body: Sequence[Item]) -> bool:
        """`k5, k2tog to last 5 sts, k5`: what stands first is as wide as what is left."""
        short = item.limit.short.whole(self.size) if item.limit.short else 0
        return bool(short) and self._takes(body[:1]) == short

    def _count(self, item: Stitch) -> int:
        return item.count.whole(self.size) if item.count else 1

    def words(self, items: Sequence[Item]) -> str:
        """`k6, k2tog` as it is told to the maker."""
        said = []
        for item in items:
            if isinstance(item, Stitch):
                name = " and ".join(dict.fromkeys(s for s, _ in item.parts))
                number = self._count(item)
                close = len(name) == 1 and item.count is not None
                said.append(
                    name + (f"{number}" if close else f" {number} times" if number > 1 else "")
                )
            elif isinstance(item, Group):
                said.append(f"({self.words(item.items)})")
        return ", ".join(said)


def _change(item: Item) -> int:
    """Loops more after one of it than before; of a bracket, of all that stands in it."""
    if isinstance(item, Group):
        return 1 if item.into else sum(_change(i) for i in item.items)
    return leaves_of(item.parts) - takes_of(item.parts) if isinstance(item, Stitch) else 0


def _tail(items: Sequence[Item]) -> list[Item]:
    """The last items that a repeat may go back over."""
    tail: list[Item] = []
    for item in reversed(items):
        if isinstance(item, Stitch):
            fits = not item.at and item.parts[0][0] not in NO_RUN
        else:
            fits = isinstance(item, Group) and not item.limit and not item.starred
        if not fits:
            break
        tail.insert(0, item)
    return tail


def readings(
    items: Sequence[Item], size: int, as_row: AsRowFinder, *, strained: bool = False
) -> list[Reading]:
    """All readings of a row, the likeliest first; with `strained` also what nobody would think of
    first, one such thing in a reading. Raises TooManyReadings.
    """
    if not strained and _undoubted(items, size):
        return [Reading(tuple(items))]
    plain = _Reader(size, as_row, strained=strained)
    found = plain.sequence(items)
    words = sorted(plain.met)
    for count in range(1, len(words) + 1):
        for other in combinations(words, count):
            found += _Reader(size, as_row, frozenset(other), strained).sequence(items)
    if len(found) > READINGS_AT_MOST:
        raise TooManyReadings
    return found


def _undoubted(items: Sequence[Item], size: int) -> bool:
    """Whether a row has one reading, itself: as most have, so that none other is looked for."""
    for item in items:
        if isinstance(item, Stitch):
            if item.doubt is not Doubt.NONE:
                return False
            if item.times is not None and item.times.number.whole(size) > 1:
                return False
        elif isinstance(item, Group):
            again = item.times
            if again and not (item.into or again.in_all) and (item.starred or again.more):
                return False
            if not _undoubted(item.items, size):
                return False
        elif isinstance(item, Across | AsRow):
            return False
    return True
