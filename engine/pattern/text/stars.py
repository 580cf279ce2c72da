"""Puts a row's items together: asterisks and what goes back to them, runs "to end", held yarn."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from lark import Token

from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.row_items import (
    Across,
    AsRow,
    Claim,
    Doubt,
    Ending,
    Group,
    Item,
    Limit,
    Marks,
    RepFrom,
    Row,
    Shape,
    Slip,
    Star,
    Stitch,
    Times,
    Toward,
    Turn,
    Until,
)
from models.stitch import STITCHES, crossing

_TO_END = Limit(Until.LAST, None, at_least_all=True)
NO_RUN = {
    "bo",
    "co",
    "pick up",
    "tail",
    "join",
    "fasten",
    "pm",
    "sm",
    "rm",
    "colour",
    "seam",
    "3nbo",
    "graft",
}
"""Stitches with which no repeat goes back past them: `BO 3, k2tog to end`."""


@dataclass(frozen=True)
class Run:
    """The last stitch of a run that says how far it goes: `k2tog to end`."""

    item: Stitch
    limit: Limit


@dataclass(frozen=True)
class YarnHeld:
    """Where the yarn is held for the slip that follows; `back` after one."""

    where: str


@dataclass(frozen=True)
class RibWord:
    """The word rib: after "k2, p2" what is repeated, else worked as it is."""

    toward: Toward


@dataclass(frozen=True)
class CableNeedle:
    """Loops slipped to a cable needle, held before or behind the work."""

    spot: Spot
    number: Number | None
    front: bool


@dataclass(frozen=True)
class FromCable:
    """They are worked from it."""

    stitch: Stitch


@dataclass(frozen=True)
class Claims:
    """`(18 sts; 2 sts decreased)`: brackets around counts alone."""

    claims: tuple[Item, ...]


def fold(items: Sequence[Any], slips: list[Slip]) -> tuple[Item, ...]:
    """Pair each `rep from` with its asterisk, gather runs, and hang "end" on the repeat before."""
    folding = _Folding(slips)
    settled = _laid_over(_yarn_forward(_over_another(items)))
    for index, item in enumerate(settled):
        folding.add(item, settled[index + 1 :])
    return folding.finished()


def _yarn_forward(items: Sequence[Any]) -> list[Any]:
    """`yf` before a slip makes a loop where the slipped one is passed over, none before a `yb`."""
    out = list(items)
    for index, item in enumerate(items):
        after = items[index + 1 : index + 5]
        if not (isinstance(item, Stitch) and item.doubt is Doubt.FORWARD):
            continue
        over = _passed_over(after[1:])
        if after and isinstance(after[0], Turn):
            # "yb, sl 1, yf, turn" wraps it; after no yb it may be a loop that closes the gap later
            back = items[max(0, index - 2) : index]
            if any(isinstance(b, YarnHeld) and b.where != "wyif" for b in back):
                out[index] = YarnHeld("wyif")
            continue
        if over or not (after and _slips(after[0])):
            out[index] = replace(item, doubt=Doubt.NONE)
        elif any(isinstance(a, YarnHeld) and a.where != "wyif" for a in after):
            out[index] = YarnHeld("wyif")
    return out


def _laid_over(items: Sequence[Any]) -> list[Any]:
    """`sl 1 wyif, yo`: brioche counts both as one, other lace as two, where none is passed over."""
    out = list(items)
    for index, (slip, over) in enumerate(pairwise(items)):
        if (
            _slips(slip)
            and (slip.parts[0][0] == "sl wyif" or _in_front(items[max(0, index - 1)]))
            and number_of(slip.count, 0, 1) == 1
            and not slip.times
            and isinstance(over, Stitch)
            and over.parts == (("yo", 1),)
            and number_of(over.count, 0, 1) == 1
            and not over.times
            and not _passed_over(items[index + 2 :])
        ):
            out[index + 1] = replace(over, doubt=Doubt.LAID_OVER)
    return out


def _in_front(item: Any) -> bool:
    return isinstance(item, YarnHeld) and item.where == "wyif"


def _over_another(items: Sequence[Any]) -> list[Any]:
    """`k1, pass sl st over p1`: what was worked is a k1, so the p1 is the next stitch."""
    out: list[Any] = []
    for item in items:
        if not isinstance(item, Stitch) or not item.over:
            out.append(item)
            continue
        worked = next((o for o in reversed(out) if _worked(o)), None)
        stitch, loops = item.over[0], int(item.over[1])
        out.append(replace(item, over=""))
        if worked is not None and not _is_worked(worked, stitch, loops):
            out.append(Stitch(((stitch, 1),), item.spot, Number((float(loops),), item.spot)))
    return out


def _worked(item: Any) -> bool:
    """A stitch over which one may be passed: no slipped one, and no loop of the yarn alone."""
    return isinstance(item, Stitch) and item.parts[0][0][0] in "kp" and item.parts[0][0] != "psso"


def _is_worked(worked: Stitch, stitch: str, loops: int) -> bool:
    """`k2` is worked by `k2`, and a `k1` by `k2tog`."""
    count = number_of(worked.count, 0, 1)
    return worked.parts[0][0][0] == stitch and (loops == count or (loops == 1 and count > 1))


def _passed_over(after: Sequence[Any]) -> bool:
    """Whether a slipped loop is passed over by what follows it, and not a later one."""
    for item in after:
        if _slips(item):
            return False
        if isinstance(item, Stitch) and item.parts[0][0] == "psso":
            return True
    return False


def _is_verb(item: Any) -> bool:
    """`work (k1, p1) 3 times`: the word before a bracket is no stitch."""
    return isinstance(item, Stitch) and item.bare and item.parts[0][0] == "work"


def _slips(item: Any) -> bool:
    return isinstance(item, Stitch) and item.parts[0][0].startswith("sl") and len(item.parts) == 1


def _is_cn(item: Any) -> bool:
    return isinstance(item, CableNeedle)


def _crossing(held: Any, worked: Any, last: Stitch) -> str | None:
    """The crossing of loops held on a cable needle and those worked before them."""
    if not isinstance(held, CableNeedle) or not isinstance(worked, Stitch) or worked.times:
        return None
    on_needle, between, back = (
        int(n.real(0)) if n else 1 for n in (held.number, worked.count, last.count)
    )
    hands = (worked.parts[0][0], last.parts[0][0])
    if on_needle != back or not {*hands} <= {"k", "p"}:
        return None
    front, behind = (last, worked) if held.front else (worked, last)
    if front.parts[0][0] == "p":
        return None
    over, under = (back, between) if held.front else (between, back)
    purl = behind.parts[0][0] == "p"
    return crossing(over, under, "left" if held.front else "right", purl=purl)


def _ends(first: Shape, last: Shape) -> list[Item]:
    """`ssk at beg and k2tog at end of row`: what lies between is plain."""
    left = last.count or Number((1.0,), last.spot)
    short = Number(tuple((v or 0) * STITCHES[last.stitch].takes for v in left.values), last.spot)
    return [
        Stitch(((first.stitch, 1),), first.spot, first.count),
        Toward((("k", 1),), Limit(Until.LAST, short), first.spot),
        Stitch(((last.stitch, 1),), last.spot, last.count),
    ]


class _Folding:
    """The items so far; what a later one goes back to is taken off their end again."""

    def __init__(self, slips: list[Slip]) -> None:
        self.slips = slips
        self.out: list[Any] = []
        self.held = ""

    def add(self, item: Any, later: Sequence[Any]) -> None:
        match item:
            case Claims():
                self.out.extend(item.claims)
            case YarnHeld():
                self.held = "" if item.where == "back" else item.where
            case Stitch(parts=(("sl", 1),)) if self.held:
                self.out.append(replace(item, parts=((f"sl {self.held}", 1),)))
                self.held = ""
            case Run():
                self._run(item, later)
            case RibWord():
                self._rib(item.toward)
            case FromCable():
                self._crossed(item.stitch)
            case Shape():
                self._shape(item)
            case Toward(limit=Limit(until=Until.LAST, short=None)) if self._shaped():
                self.out[-1] = replace(self.out[-1], plain=item.parts[0][0])
            case Star() if item.times or item.limit or item.into:
                self._close(item)
            case RepFrom():
                self._rep_from(item)
            case Ending():
                last = self.out[-1] if self.out else None
                if isinstance(last, Group) and (last.starred or last.limit):
                    self.out[-1] = replace(last, ending=True)
            case Group():
                if self.out and _is_verb(self.out[-1]):
                    self.out.pop()
                self.out.append(item)
            case _:
                self.out.append(item)

    def _tail(self) -> int:
        """How many of the last items a run may go back over."""
        count = 0
        for item in reversed(self.out):
            if isinstance(item, Stitch):
                fits = not item.at and item.parts[0][0] not in NO_RUN
            else:
                fits = isinstance(item, Group) and not item.limit and not item.starred
            if not fits:
                break
            count += 1
        return count

    def _cut(self, count: int) -> tuple[Any, ...]:
        """Take the last items off."""
        cut = tuple(self.out[len(self.out) - count :])
        del self.out[len(self.out) - count :]
        return cut

    def _run(self, run: Run, later: Sequence[Any]) -> None:
        item, tail = run.item, self._tail()
        star = len(self.out) > tail and isinstance(self.out[-tail - 1], Star)
        if star and not any(isinstance(i, (RepFrom, Star)) for i in later):
            # "*k2, k2tog to end": the asterisk says where the repeat begins.
            body = (*self._cut(tail), item)
            self.out[-1] = Group(body, item.spot, limit=run.limit, starred=True)
        elif tail:
            first = self.out[-tail]
            self.out.append(Across((*self._cut(tail), item), run.limit, first.spot))
        elif item.count is None and item.times is None:
            self.out.append(Toward(item.parts, run.limit, item.spot))
        elif item.parts[0][0] in {"inc", "dec"} and run.limit.until is Until.LAST:
            self._spread(item)
        else:
            self.out.append(Group((item,), item.spot, limit=run.limit))

    def _rib(self, toward: Toward) -> None:
        """`k2, p2 rib to last 3 sts`."""
        pair = self.out[-2:]
        if len(pair) == 2 and all(
            isinstance(i, Stitch) and i.count and not i.times and i.parts == ((hand, 1),)
            for i, hand in zip(pair, "kp", strict=True)
        ):
            body = self._cut(2)
            self.out.append(Group(body, body[0].spot, limit=toward.limit, ragged=True))
        else:
            self.out.append(toward)

    def _shaped(self) -> bool:
        """Whether the last thing was shaping at an end, which takes in the rest of the row."""
        last = self.out[-1] if self.out else None
        return isinstance(last, Shape) and last.where != "evenly"

    def _shape(self, shape: Shape) -> None:
        """`purl across, dec 4 sts evenly`: the word before it is what the others are."""
        last = self.out[-1] if self.out else None
        if isinstance(last, Shape) and (last.where, shape.where) == ("beginning", "end"):
            self.out[-1:] = _ends(last, shape)
            return
        plain = isinstance(last, Stitch) and last.bare
        if isinstance(last, Toward) and last.limit.at_least_all:
            plain = last.parts[0][0] in {"k", "p", "work"}
        if plain:
            shape = replace(shape, plain=self.out.pop().parts[0][0])
        self.out.append(shape)

    def _crossed(self, last: Stitch) -> None:
        """`sl 2 to cn, hold in front, k2, k2 from cn`: a crossing, if it all fits."""
        at = next((i for i in reversed(range(len(self.out))) if _is_cn(self.out[i])), None)
        held: Any = self.out[at] if at is not None else None
        between = self.out[at + 1 :] if at is not None else []
        worked = between[0] if len(between) == 1 else None
        key = _crossing(held, worked, last)
        if key is None or at is None:
            self._slip(
                last.spot,
                "takes from the cable needle what does not lie there",
                "write how many go to it, how many are worked, and how many come from it",
                fault=True,
            )
            return
        self.out[at:] = [Stitch(((key, 1),), held.spot)]

    def _spread(self, item: Stitch) -> None:
        """`inc 5 sts across`: spread evenly; a single one does not say where."""
        if item.count is not None and item.count.real(0) == 1 == item.count.real(-1):
            self._slip(
                item.spot,
                "shapes 1 across the row, and does not say where",
                "say in which stitch, or 'in each st'",
                fault=True,
            )
        self.out.append(Shape(item.parts[0][0], item.count, "evenly", item.spot))

    def _close(self, star: Star) -> None:
        """`*k4, p4* to end`: a second asterisk that says how often; or one behind a bracket."""
        opens = [i for i, o in enumerate(self.out) if isinstance(o, Star)]
        if opens:
            body = tuple(self.out[opens[-1] + 1 :])
            group = Group(body, star.spot, star.times, star.limit, into=star.into)
            self.out[opens[-1] :] = [group]
        elif not self._again(star.times, star.limit):
            self.out.append(star)

    def _again(self, times: Times | None, limit: Limit | None) -> bool:
        """Whether the last thing was a bracket, which is now said to repeat."""
        last = self.out[-1] if self.out else None
        if not isinstance(last, Group) or last.times or last.limit or last.into or last.starred:
            return False
        self.out[-1] = replace(last, times=times, limit=limit)
        return True

    def _rep_from(self, said: RepFrom) -> None:
        if said.whole:
            body = tuple(self.out)
            limit = said.limit or (None if said.times else _TO_END)
            self.out = [Group(body, said.spot, said.times, limit, starred=True)]
            return
        stars = [
            i
            for i, o in enumerate(self.out)
            if isinstance(o, Star) and (not said.mark or o.mark == said.mark)
        ]
        if not stars:
            self._rep_alone(said)
            return
        if len(stars) > 1 and (said.mark or stars[-1] == len(self.out) - 1):
            # "*k1, p1*; rep from * to *": the second asterisk closes the repeat.
            first, last = stars[-2], stars[-1]
            body, rest = tuple(self.out[first + 1 : last]), self.out[last + 1 :]
        else:
            first, body, rest = stars[-1], tuple(self.out[stars[-1] + 1 :]), []
        group = Group(body, said.spot, said.times, said.limit, starred=not rest)
        self.out[first:] = [*body, *rest, group] if rest else [group]

    def _rep_alone(self, said: RepFrom) -> None:
        """`k1, p1, rep to end`: with no asterisk, what stands there is repeated."""
        tail = self._tail()
        if not said.mark and (said.times or said.limit):
            if self._again(said.times, said.limit):
                return
            if tail:
                body = self._cut(tail)
                self.out.append(Group(body, body[0].spot, said.times, said.limit, starred=True))
                return
        self._slip(
            said.spot,
            "this repeat goes back to an asterisk that is not there",
            "put * where the repeat begins",
            fault=True,
        )

    def _slip(self, spot: Spot, what: str, repair: str, *, fault: bool = False) -> None:
        self.slips.append(Slip(spot, what, repair, fault=fault))

    def finished(self) -> tuple[Item, ...]:
        """All items, with the asterisks that nothing went back to."""
        self._pair_of_stars()
        for item in self.out:
            if isinstance(item, CableNeedle):
                self._slip(
                    item.spot,
                    "leaves loops on the cable needle",
                    "write which stitches are worked from it",
                    fault=True,
                )
            if isinstance(item, Star):
                self._slip(
                    item.spot,
                    "nothing goes back to this asterisk",
                    "write 'rep from *' and how far, or take it out",
                )
        for index, item in enumerate(self.out):
            last = all(isinstance(i, (Claim, Turn)) for i in self.out[index:])
            if isinstance(item, Claim) and not last:
                self._slip(
                    item.spot,
                    "a number stands here without a stitch",
                    "write the stitch before it, or put a count after the row's last stitch",
                    fault=True,
                )
        return tuple(o for o in self.out if not isinstance(o, (Star, CableNeedle)))

    def _pair_of_stars(self) -> None:
        """`*k2, p2*`, `(Kfb)*`: nothing says how often, so as often as it goes."""
        stars = [i for i, o in enumerate(self.out) if isinstance(o, Star)]
        if len(stars) == 2 and stars[1] - stars[0] > 1:
            body = tuple(self.out[stars[0] + 1 : stars[1]])
            spot = self.out[stars[0]].spot
            group = Group(body, spot, limit=_TO_END, starred=True)
            self.out[stars[0] : stars[1] + 1] = [group]
        elif len(stars) == 1 and stars[0]:
            before = self.out[stars[0] - 1]
            if isinstance(before, Group) and not (before.times or before.limit or before.into):
                self.out[stars[0] - 1 : stars[0] + 1] = [replace(before, limit=_TO_END)]


def row_of(children: Iterable[Any], spot: Spot, slips: tuple[Slip, ...] = ()) -> Row:
    """A row of what the grammar found in it, with the slips in its writing."""
    found, marks = list(slips), None
    said: list[Any] = []
    for child in children:
        if isinstance(child, Marks):
            marks = child
        elif not isinstance(child, Token):
            said.append(child)
    if any(isinstance(i, AsRow) and not i.of for i in said[1:]):
        # "Purl. Rep rows 1 and 2 twice more.": two sentences, and the reader takes them apart.
        raise ValueError("a row that is as another one is nothing else besides")
    items = fold(said, found)
    for item in items:
        if isinstance(item, Group):
            found.extend(item.slips)
    return Row(items, spot, tuple(found), marks)
