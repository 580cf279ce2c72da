"""One written row on a number of loops: what it takes, what it leaves, stitch by stitch.

The items are worked from the first to the last with the loops that are left; a stretch "to last
3" reaches as far as they allow. What does not come out even is not guessed at: it is a `Misfit`
with its arithmetic and the nearest repair, and the counting goes on.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from engine.pattern.tree import (
    AsRow,
    Claim,
    Ending,
    Group,
    Hold,
    Item,
    Limit,
    Marker,
    Number,
    Parts,
    Shape,
    Spot,
    Stitch,
    Toward,
    Turn,
    Until,
)
from engine.refusal import Refusal
from engine.spacing import decrease_evenly, increase_evenly
from models.script import Operation
from models.stitch import STITCHES

LOOPS_AT_MOST = 5_000
"""Loops of one row; more is a slip of the keyboard."""
OPERATIONS_AT_MOST = 12_000
_AS_AT_MOST = 50
"""Rows that are as rows that are as rows."""
_PLAIN = {"k", "p", "work"}
_END = {"tail", "join", "fasten", "pm", "sm", "rm"}


@dataclass(frozen=True)
class Misfit:
    """Something that does not come out: where, the arithmetic, the nearest repair."""

    spot: Spot
    what: str
    repair: str
    warning: bool = False
    fixes: tuple[tuple[Spot, int], ...] = ()
    """The repair as numbers to write, by their places; empty where it is not one of numbers."""


class TooMuch(Exception):
    """More stitches than a row can have."""


@dataclass
class Worked:
    """A row worked on a number of loops."""

    operations: list[Operation] = field(default_factory=list)
    takes: int = 0
    leaves: int = 0
    misfits: list[Misfit] = field(default_factory=list)
    claim: Claim | None = None
    marks: list[int] = field(default_factory=list)
    """Where the markers stand afterwards, in loops from the row's beginning as worked."""
    stitches: int = 0
    """Times of all operations together."""

    @property
    def fits(self) -> bool:
        """Whether it comes out on the loops that are there, whatever it says is left."""
        claimed = self.claim.spot if self.claim else None
        return all(m.warning or m.spot == claimed for m in self.misfits)

    @property
    def sound(self) -> bool:
        """Whether nothing but warnings was found."""
        return all(m.warning for m in self.misfits)


def takes_of(parts: Parts) -> int:
    """Loops that one time of an abbreviation takes."""
    # Slip 1, knit 1, pass over: what is passed over was taken by the slip already.
    return sum(STITCHES[stitch].takes * times for stitch, times in parts)


def leaves_of(parts: Parts) -> int:
    """Loops that one time of an abbreviation leaves."""
    return sum(STITCHES[stitch].leaves * times for stitch, times in parts)


class Hands:
    """Works one row. `size` picks from numbers by size; `as_row` finds the row another is as."""

    def __init__(
        self,
        live: int,
        size: int,
        *,
        word: str = "loop",
        marks: Sequence[int] = (),
        as_row: Callable[[AsRow], tuple[Item, ...] | None] = lambda _: None,
        strict: bool = True,
        in_round: bool = False,
        rests: dict[str, int] | None = None,
        place: Callable[[str], str] = str,
        repeats_in_all: bool = False,
    ) -> None:
        self.size = size
        self.word, self.words = word, f"{word}s" if word == "loop" else "stitches"
        self.as_row, self.place = as_row, place
        self.strict, self.in_round = strict, in_round
        self.repeats_in_all = repeats_in_all
        self.loose = False
        """Whether a repeat did not say if its times count the first."""
        self.live = live
        self.rests = rests if rests is not None else {}
        self.done = Worked()
        self._ahead = sorted(marks)
        self._stalled = False
        self._depth = self._as_depth = 0

    # ------------------------------------------------------------ the whole row
    def work(self, items: Sequence[Item]) -> Worked:
        """Work the row and compare it with what is there. Raises TooMuch for one without end."""
        self._hold(items)
        self._items(items, 0)
        done = self.done
        for mark in self._ahead:
            done.marks.append(done.leaves + max(0, mark - done.takes))
        over = self.live - done.takes
        if (over < 0 or (over and self.strict)) and not self._stalled:
            self._uneven(items, over)
        if done.claim and not self._stalled and done.sound:
            said = done.claim.number.whole(self.size)
            left = done.leaves + (0 if self.strict else max(0, over))
            if said != left:
                self._misfit(
                    done.claim.spot,
                    f"says {said} {self._n(said)} after it, there are {left}",
                    f"write {left}, or look for {abs(said - left)} "
                    f"{'increase' if said > left else 'decrease'}"
                    f"{'' if abs(said - left) == 1 else 's'} too few",
                    fixes=((done.claim.number.spot, left),),
                )
        return done

    def _n(self, count: int) -> str:
        return self.word if count == 1 else self.words

    def _misfit(
        self, spot: Spot, what: str, repair: str, *, fixes: tuple[tuple[Spot, int], ...] = ()
    ) -> None:
        self.done.misfits.append(Misfit(spot, what, repair, fixes=fixes))

    def _uneven(self, items: Sequence[Item], over: int) -> None:
        takes = self.done.takes
        what = (
            f"needs {takes} {self._n(takes)}, {self.live} {'is' if self.live == 1 else 'are'} there"
        )
        plain = [
            i
            for i in items
            if isinstance(i, Stitch)
            and i.count
            and i.parts[0][0] in _PLAIN
            and i.count.whole(self.size) + over >= 0
        ]
        if plain:
            last = plain[-1]
            assert last.count is not None  # filtered above
            was = last.count.whole(self.size)
            hand = last.parts[0][0]
            repair = f"write {hand}{was + over} for {hand}{was} (column {last.spot.column})"
        elif over > 0:
            repair = (
                f"end the row with k{over}, or have {over} fewer {self._n(over)} in the row before"
            )
        else:
            repair = f"have {-over} more {self._n(-over)} in the row before"
        first = items[0] if items else None
        spot = plain[-1].spot if plain else getattr(first, "spot", Spot(1, 1))
        self._misfit(spot, what, repair, fixes=self._fixes(items, over))

    def _fixes(self, items: Sequence[Item], over: int) -> tuple[tuple[Spot, int], ...]:
        """Plain counts that make the row come out: two equal ones share the change evenly."""
        plain: list[tuple[int, Spot]] = []
        for item in items:
            if isinstance(item, Group) and item.times and not item.limit:
                body = self._fixed(item.items)
                times = item.times.number
                more = over // body if body and over % body == 0 else 0
                if more and times.said and times.whole(self.size) + more > 0:
                    return ((times.spot, times.whole(self.size) + more),)
            if isinstance(item, Stitch) and item.count and item.parts[0][0] in _PLAIN:
                plain.append((item.count.whole(self.size), item.count.spot))
        if not plain:
            return self._fewer_closed(items, over)
        most = max(count for count, _ in plain)
        widest = [(count, spot) for count, spot in plain if count == most]
        if len(widest) > 1 and over % 2 == 0:
            shares = [(widest[0], over // 2), (widest[-1], over // 2)]
        else:
            shares = [(widest[len(widest) // 2], over)]
        if any(count + share < 0 for (count, _), share in shares):
            return ()
        return tuple((spot, count + share) for (count, spot), share in shares)

    def _fewer_closed(self, items: Sequence[Item], over: int) -> tuple[tuple[Spot, int], ...]:
        """The count of a bind-off or seam that takes as many as there are."""
        for item in reversed(items):
            if isinstance(item, Stitch) and item.parts[0][0] in {"bo", "seam", "3nbo"}:
                number = item.times.number if item.times else item.count
                more, left = divmod(over, takes_of(item.parts))
                if number is not None and not left:
                    return _fix(number, number.whole(self.size) + more)
        return ()

    # ------------------------------------------------------------ items
    def _items(self, items: Sequence[Item], after: int | None) -> None:
        """Work items in order; `after` loops are taken by what follows them, None: not known."""
        self._depth += 1
        if self._depth > 30:
            raise TooMuch
        for index, item in enumerate(items):
            rest = items[index + 1 :]
            match item:
                case Stitch():
                    self._stitch(item, rest, after)
                case Toward():
                    self._toward(item, rest, after)
                case Group():
                    self._group(item, rest, after)
                case Shape():
                    self._shape(item)
                case Marker():
                    self._marker(item)
                case Claim():
                    self.done.claim = item
                case AsRow():
                    self._as_row(item)
                case Turn():
                    left = self.live - self.done.takes
                    if left > 0 and self.strict:
                        self._misfit(
                            item.spot,
                            f"turns with {left} {self._n(left)} unworked, and short rows are not "
                            "counted here",
                            f"leave {left} {self._n(left)} resting, and take them up later",
                        )
                        self._stalled = True
                case _:
                    pass  # what is held was moved before the row began
        self._depth -= 1

    def _take(self, stitch: str, times: int, at: str = "") -> None:
        """Work one stitch of the table `times` times, and see the markers pass."""
        if times <= 0:
            return
        done, entry = self.done, STITCHES[stitch]
        if stitch in {"sm", "rm"}:
            for _ in range(times):
                if self._ahead and self._ahead[0] <= done.takes:
                    self._ahead.pop(0)
                    if stitch == "sm":
                        done.marks.append(done.leaves)
        else:
            taken = entry.takes * times
            while self._ahead and self._ahead[0] < done.takes + taken:
                mark = self._ahead.pop(0)
                along = max(0, mark - done.takes)
                done.marks.append(done.leaves + along * max(0, entry.leaves) // max(1, entry.takes))
            done.takes += taken
            done.leaves += entry.leaves * times
        done.stitches += times
        if max(done.takes, done.leaves) > 4 * LOOPS_AT_MOST:
            raise TooMuch
        done.operations.append(Operation(stitch=stitch, times=times, at=at))
        if len(done.operations) > OPERATIONS_AT_MOST:
            raise TooMuch

    def _times(self, parts: Parts, times: int, at: str = "") -> None:
        if len(parts) == 1:
            self._take(parts[0][0], parts[0][1] * times, at)
            return
        if times > LOOPS_AT_MOST:
            raise TooMuch
        for _ in range(times):
            for stitch, each in parts:
                self._take(stitch, each, at)

    def _stitch(self, item: Stitch, rest: Sequence[Item], after: int | None) -> None:
        if item.bare and not any(map(_works, rest)) and after is not None and self._depth == 1:
            self._toward(
                Toward(item.parts, Limit(Until.LAST, None, at_least_all=True), item.spot), (), after
            )
            return
        times = item.count.whole(self.size) if item.count else 1
        if item.times:
            times *= item.times.number.whole(self.size)
        self._times(item.parts, times, self.place(item.at))

    def _toward(self, item: Toward, rest: Sequence[Item], after: int | None) -> None:
        each = takes_of(item.parts)
        if each == 0:
            self._misfit(
                item.spot,
                "repeats a stitch that takes no loop, so it never gets there",
                "say how many times",
            )
            self._stalled = True
            return
        room = self._room(item.limit, item.spot, rest, after)
        if room is None:
            return
        times, over = divmod(room, each)
        if over and not self._stalled:
            self._remainder(item.spot, each, over, times, "the stitch")
        self._times(item.parts, times)

    def _room(
        self, limit: Limit, spot: Spot, rest: Sequence[Item], after: int | None
    ) -> int | None:
        """Loops from here to where the limit is; None with a misfit where it cannot be reached."""
        left = self.live - self.done.takes
        short = limit.short.whole(self.size) if limit.short else 0
        if limit.until is Until.MARKER:
            ahead = [m for m in self._ahead if m > self.done.takes]
            if ahead:
                left = ahead[0] - self.done.takes
            elif not self.in_round:
                self._stop(spot, "goes to a marker, and there is none ahead", "place one before it")
                return None
        elif limit.at_least_all:
            follows = self._fixed(rest)
            if follows is None:
                self._stop(
                    spot,
                    "two stretches of one row both go to the end",
                    "say for the first where it ends: to last 3, or a number",
                )
                return None
            short = follows + (after or 0)
        if left < short:
            there = max(0, left)
            self._stop(
                spot,
                f"stops {short} {self._n(short)} before the end, and only {there} "
                f"{'is' if there == 1 else 'are'} left there",
                f"have {short - there} more {self._n(short - there)} in the row before",
            )
            return None
        return left - short

    def _stop(
        self, spot: Spot, what: str, repair: str, *, fixes: tuple[tuple[Spot, int], ...] = ()
    ) -> None:
        if not self._stalled:
            self._misfit(spot, what, repair, fixes=fixes)
        self._stalled = True

    def _remainder(self, spot: Spot, each: int, over: int, times: int, what: str) -> None:
        """A repeat that leaves loops over: the row as it stands fits some other numbers."""
        more = each - over
        up = self.live + more
        needs = up if more <= over or not times else self.live - over
        self._stalled = True
        self._misfit(
            spot,
            f"needs {needs} {self._n(needs)}, {self.live} {'is' if self.live == 1 else 'are'} "
            f"there: {what} of {each} leaves {over} over",
            f"have {more} more or {over} fewer {self._n(over)} in the row before, "
            f"or stop {over} before where it stops and k{over}",
        )

    def _fixed(self, items: Sequence[Item]) -> int | None:
        """Loops that items take whatever is there; None where that depends on what is there."""
        total = 0
        for item in items:
            match item:
                case Stitch(bare=True) if self._depth == 1 and item is items[-1]:
                    return None
                case Stitch():
                    times = item.count.whole(self.size) if item.count else 1
                    times *= item.times.number.whole(self.size) if item.times else 1
                    total += takes_of(item.parts) * times
                case Toward() | Shape() | AsRow():
                    return None
                case Group():
                    inner = self._fixed(item.items)
                    if inner is None or item.limit or (item.starred and not item.times):
                        return None
                    total += 1 if item.into else inner * self._count(item)
                case _:
                    pass
        return total

    def _count(self, group: Group) -> int:
        if group.times is None:
            return 1
        said = group.times.number.whole(self.size)
        if not group.starred:
            return said + (1 if group.times.more else 0)
        if not group.times.more:
            self.loose = True
            if self.repeats_in_all:
                return said
        return said + 1

    def _into(self, group: Group) -> None:
        made = 0
        for item in group.items:
            if isinstance(item, Stitch):
                times = item.count.whole(self.size) if item.count else 1
                made += max(0, leaves_of(item.parts)) * times
        if not 2 <= made <= 9:
            self._stop(
                group.spot,
                f"works {made} {self._n(made)} into one, and 2 to 9 can be",
                "write which stitches go into the one",
            )
            return
        times = group.times.number.whole(self.size) if group.times else 1
        self._take(f"1 into {made}", times)

    def _group(self, group: Group, rest: Sequence[Item], after: int | None) -> None:
        if group.into:
            self._into(group)
            return
        only = group.items[0] if len(group.items) == 1 else None
        body = self._fixed(group.items)
        limit = group.limit
        if group.starred and not group.times and limit is None:
            limit = Limit(Until.LAST, None, at_least_all=True)
        if limit is None:
            self._repeat(group, only, self._count(group), body)
            return
        if body is None or body == 0:
            self._stop(
                group.spot,
                "repeats something that takes "
                + ("no loop" if body == 0 else "a number of loops that is not fixed"),
                "say how many times",
            )
            return
        room = self._room(limit, group.spot, rest, after)
        if room is None:
            return
        times, over = divmod(room, body)
        if over and group.ending and self._cut_short(group, times, over):
            return
        if over and not self._stalled:
            self._remainder(group.spot, body, over, times, "the repeat")
        self._repeat(group, only, times, body)

    def _repeat(self, group: Group, only: Item | None, times: int, body: int | None) -> None:
        if times > LOOPS_AT_MOST:
            raise TooMuch
        if isinstance(only, Stitch) and len(only.parts) == 1:
            each = only.count.whole(self.size) if only.count else 1
            each *= only.times.number.whole(self.size) if only.times else 1
            self._times(only.parts, each * times, self.place(only.at))
            return
        for _ in range(times):
            if self._stalled and body is None:
                return
            self._items(group.items, None)

    def _cut_short(self, group: Group, times: int, over: int) -> bool:
        """Whether the last repeat, broken off, leaves just the loops of the ending."""
        for index in range(1, len(group.items)):
            if self._fixed(group.items[:index]) == over:
                self._repeat(group, None, times, 0)
                self._items(group.items[:index], None)
                return True
        return False

    def _shape(self, item: Shape) -> None:
        left = self.live - self.done.takes
        count = item.count.whole(self.size) if item.count else 1
        decreasing = item.stitch in {"dec", "k2tog", "p2tog", "ssk", "ssp"}
        if item.where == "evenly":
            spread = decrease_evenly if decreasing else increase_evenly
            try:
                plain = spread(left, count, closed=self.in_round).plain
            except Refusal:
                self._stop(
                    item.spot,
                    f"spreads {count} over {left} {self._n(left)}, and they do not fit",
                    f"spread at most {left // 2 if decreasing else left}",
                )
                return
            change = item.stitch if decreasing or item.stitch != "inc" else "m1"
            for index, gap in enumerate(plain):
                self._take("k", gap)
                self._take(change, 1 if index < count else 0)
            return
        ends = 2 if item.where == "each end" else 1
        each = STITCHES[item.stitch].takes if item.stitch in STITCHES else 1
        over = left - ends * each * count
        if over < 0 or item.stitch not in STITCHES:
            self._stop(
                item.spot,
                f"shapes {ends * count} times, and {left} {self._n(left)} "
                f"{'is' if left == 1 else 'are'} too few for it",
                "shape fewer times",
            )
            return
        if item.where != "end":
            self._take(item.stitch, count)
        self._take("k", over)
        if item.where != "beginning":
            self._take(item.stitch, count)

    def _marker(self, item: Marker) -> None:
        at = self.place(item.at)
        place = self.done.leaves
        if item.number is not None:
            count = item.number.whole(self.size)
            left = self.live - self.done.takes
            place += left - count if item.before_end else count
            at = at or (
                f"{count} {self.words} before the end"
                if item.before_end
                else f"after {count} {self.words}"
            )
        self.done.marks.append(place)
        self._take_marker(at)

    def _take_marker(self, at: str) -> None:
        self.done.operations.append(Operation(stitch="pm", times=1, at=at))
        if len(self.done.operations) > OPERATIONS_AT_MOST:
            raise TooMuch

    def _as_row(self, item: AsRow) -> None:
        items = self.as_row(item)
        if items is None:
            self._stop(item.spot, "is as a row that is not written", "write that row first")
            return
        depth, self._depth = self._depth, 0
        self._as_depth += 1
        if self._as_depth > _AS_AT_MOST:
            raise TooMuch
        self._items(items, 0)
        self._as_depth -= 1
        self._depth = depth

    # ------------------------------------------------------------ resting loops
    def _hold(self, items: Sequence[Item]) -> None:
        """Move what is put to rest or taken up, which happens before the row is worked."""
        for item in items:
            if not isinstance(item, Hold):
                continue
            places = [self.place(p) for p in item.places]
            if item.stitch == "rest":
                count = item.number.whole(self.size) if item.number else self.live
                if count > self.live:
                    self._stop(
                        item.spot,
                        f"leaves {count} {self._n(count)} resting, {self.live} "
                        f"{'is' if self.live == 1 else 'are'} there",
                        f"leave {self.live}",
                        fixes=_fix(item.number, self.live),
                    )
                    continue
                self.live -= count
                self.rests[places[0]] = self.rests.get(places[0], 0) + count
            else:
                count = self._take_up(item, places)
            if count:
                self.done.operations.append(
                    Operation(stitch=item.stitch, times=count, at="|".join(places))
                )

    def _take_up(self, item: Hold, places: list[str]) -> int:
        count = item.number.whole(self.size) if item.number else self.rests.get(places[0], 0)
        for place in places:
            there = self.rests.get(place, 0)
            if there < count:
                waiting = ", ".join(f"{n} at {p}" for p, n in self.rests.items() if n) or "none"
                self._stop(
                    item.spot,
                    f"takes up {count} {self._n(count)} from {place}, {there} "
                    f"{'waits' if there == 1 else 'wait'} there",
                    f"take up what waits: {waiting}",
                    fixes=_fix(item.number, min(self.rests.get(p, 0) for p in places)),
                )
                return 0
        for place in places:
            self.rests[place] -= count
            self.live += count
        return count


def _fix(number: Number | None, value: int) -> tuple[tuple[Spot, int], ...]:
    """The repair of a number that is written, where another one can stand for it."""
    return ((number.spot, value),) if number is not None and number.said and value > 0 else ()


def _works(item: Item) -> bool:
    """Whether an item handles loops (a claim or a lone word does not)."""
    if isinstance(item, Stitch):
        return item.parts[0][0] not in _END
    return not isinstance(item, (Claim, Hold, Marker, Turn, Ending))


def work_row(
    items: Sequence[Item],
    live: int,
    size: int,
    *,
    word: str = "loop",
    marks: Sequence[int] = (),
    as_row: Callable[[AsRow], tuple[Item, ...] | None] = lambda _: None,
    strict: bool = True,
    in_round: bool = False,
    rests: dict[str, int] | None = None,
    place: Callable[[str], str] = str,
) -> tuple[Worked, int, dict[str, int]]:
    """The row worked, the loops that were there for it, and what rests after it.

    "Rep from * 3 times" is said for three more times and for three in all: the first is tried
    first, and the second where only it comes out. Raises TooMuch for a row without end.
    """
    told: tuple[Worked, int, dict[str, int]] | None = None
    for in_all in (False, True):
        hands = Hands(
            live,
            size,
            word=word,
            marks=marks,
            as_row=as_row,
            strict=strict,
            in_round=in_round,
            rests=dict(rests or {}),
            place=place,
            repeats_in_all=in_all,
        )
        done = hands.work(items)
        if told is None:
            told = (done, hands.live, hands.rests)
            if done.sound or not hands.loose:
                break
        elif done.sound:
            first = next(i for i in items if isinstance(i, Group) and i.starred)
            done.misfits.append(
                Misfit(
                    first.spot,
                    "its repeat only comes out if its times count the first one in",
                    "write how many times more",
                    warning=True,
                )
            )
            return done, hands.live, hands.rests
    assert told is not None  # the loop runs at least once
    return told


def number_of(number: Number | None, size: int, otherwise: int) -> int:
    """A number for one size, or what to take where none is said."""
    return number.whole(size) if number is not None else otherwise
