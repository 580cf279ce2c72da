"""Which edge of the fabric a pick-up means, from its words, and whether it lies where they say.

Three ways of saying it are exact:

- `the right edge of the back`, `…, rows 3 to 8`: where a part's rows end, as seen from the right
  side of the work;
- `the foundation of the body`, or `the foundation` where there is but one;
- `the bound-off edge of the left armhole`.

An edge of a hole (`the left armhole, back`) lies on that hole's rim, and beside what was picked up
before it.

A part's name alone (`the left armhole`), picked up all around, is the whole rim of its hole, from
its bound-off edge on. Other words are compared with the names of the parts: an edge that shares a
word and lies where the hand has come to is the one that is meant. What no words decide is taken as
the script has it, and nothing is proven of it.
"""

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from engine.base.plural import some
from engine.script.fabric import Fabric, Unworkable
from engine.script.rim import (
    Live,
    Node,
    Side,
    Strands,
    around,
    remove,
    replace,
    split_side,
    split_strands,
)
from models.script import Hand

_SIDE = re.compile(r"(?:the )?(right|left) edge of the (.+?)(?:, rows? (\d+)(?: to (\d+))?)?")
_FOUNDATION = re.compile(r"(?:the )?foundation(?: of the (.+))?")
_OF_A_HOLE = re.compile(r"the (.+), (.+)")
_BOUND_OFF = re.compile(r"(?:the )?bound-off edge of the (.+)")
_PASSED_BY = 2
"""Rows whose end a pick-up may leave out (common practice, no source)."""
_NO_NAMES = frozenset({"the", "of", "and", "to", "its", "a", "along", "edge", "row", "rows"})
_CALLED = {
    "foundation": frozenset({"foundation", "hem", "cast"}),
    "bound off": frozenset({"bound", "off", "underarm"}),
}


class Stretch(NamedTuple):
    """A piece of the rim, in the order of the walk."""

    first: Node
    last: Node


class Place(NamedTuple):
    """A stretch of live loops in a row, in the order of the hand."""

    node: Live
    at: str | None
    """The edge along which they were picked up; None for loops that come from elsewhere."""
    fresh: bool
    """New loops, which lie wherever they are put."""


def side_words(part: str, side: str, rows: tuple[int, int] | None = None) -> str:
    """The exact words for where rows of a part end, at its `right` or `left`."""
    told = "" if rows is None else rows_told(*rows)
    return f"the {side} edge of the {part}{told}"


def rows_told(first: int, last: int) -> str:
    """Which of a part's rows: `, rows 3 to 8`, `, row 9`."""
    return f", row {first}" if first == last else f", rows {first} to {last}"


def mirrored(words: str) -> str:
    """The words for a left-handed maker: the edge at the other side. Others are left alone."""
    found = _SIDE.fullmatch(words)
    if not found:
        return words
    other = "left" if found[1] == "right" else "right"
    return words[: found.start(1)] + other + words[found.end(1) :]


def lay(fabric: Fabric, row: Sequence[Place], *, leftward: bool, ring: bool) -> None:
    """Lay loops that were picked up where their edges lay.

    `row` comes in the order of the hand. Raises Unworkable where two stretches that follow each
    other in the row do not lie side by side.
    """
    known: list[Place | None] = []
    for index, place in enumerate(row):
        before = known[-1] if known else None
        if place.at is None:
            found = None if place.fresh else place
        else:
            follows = row[index + 1] if index + 1 < len(row) else None
            told = [earlier.at for earlier in row[:index] if earlier.at]
            found = _laid(fabric, place, before, follows, told, leftward=leftward, ring=ring)
        if found and before and (found.at is not None or before.at is not None):
            later = " ".join(after.at or "" for after in row[index + 1 :])
            _check(before, found, later, leftward=leftward)
        known.append(found)
    first, last = known[0], known[-1]
    if ring and first and last and first is not last:
        _close(fabric, last, first, leftward=leftward)


def _close(fabric: Fabric, last: Place, first: Place, *, leftward: bool) -> None:
    """See that a ring ends beside where it began, or a row or two before it."""
    one, other = (last, first) if leftward else (first, last)
    if one.node.next is other.node or (last.at is None and first.at is None):
        return
    on = _over(fabric, _beside(last.node, leftward=leftward), last, leftward=leftward)
    back = _over(fabric, _beside(first.node, leftward=not leftward), first, leftward=not leftward)
    if on is not first.node and back is not last.node:
        raise Unworkable(f"{last.at or 'what is taken up last'} does not end where the ring began")


def _check(before: Place, place: Place, later: str, *, leftward: bool) -> None:
    """See that two stretches lie side by side; `later` are the words for what comes after them."""
    one, other = (before, place) if leftward else (place, before)
    between = one.node.next
    if between is other.node:
        return
    passed: list[Node] = []
    if before.at is not None:
        passed = _short_sides(between, other.node, _rows_passed(before.at))
    if passed and not any(side.part in later for side in passed):
        for side in passed:
            remove(side)
        return
    told = f"the loops along {place.at}" if place.at else "loops that are taken up"
    if isinstance(between, Live) and between is not other.node:
        raise Unworkable(
            f"between {before.at or 'the loops before'} and {place.at or 'the next'} "
            f"{some(between.count, 'loop')} still waiting would be left out"
        )
    raise Unworkable(f"{told} do not lie beside those before them")


def _rows_passed(words: str) -> int:
    """Rows of an edge that a pick-up passes by: beside a heel's flap lie the last of its turn."""
    return _PASSED_BY if _names(words) & {"heel", "flap"} else 1


def _short_sides(node: Node, until: Node, rows: int) -> list[Node]:
    """The ends of a row or so each that lie before a stretch, as of a heel's turn; else none."""
    found: list[Node] = []
    while isinstance(node, Side) and len(node.rows) <= rows and len(found) < _PASSED_BY:
        found.append(node)
        node = node.next
    return found if node is until else []


def _laid(
    fabric: Fabric,
    place: Place,
    before: Place | None,
    follows: Place | None,
    told: Sequence[str],
    *,
    leftward: bool,
    ring: bool,
) -> Place | None:
    """The loops in the place of the edge that the words mean; None where none is told.

    `told` are the words for what the row picked up before.
    """
    words = place.at or ""
    beside = _beside(before.node, leftward=leftward) if before else None
    # A round may begin with what lies before loops that are already there.
    ahead: Node | None = None
    if follows and before is None and follows.at is None and not follows.fresh:
        ahead = _beside(follows.node, leftward=not leftward)
    over = _over(fabric, beside, before, leftward=leftward)
    turned = isinstance(over, Side) and len(over.rows) <= _PASSED_BY
    further = _beside(over, leftward=leftward) if over and turned else None
    exact = _exact(fabric, words)
    if exact is None and ring and not before:
        whole = _whole_rim(fabric, words, alone=follows is None)
        if whole:
            _put(whole, place.node)
            return place
    found: Stretch | None = None
    if exact is not None:
        if not exact:
            raise Unworkable(f"there is no edge to pick up along {words}")
        near = [_nearest(exact, node, leftward=leftward) for node in (beside, over) if node]
        if ahead:
            near = [_nearest(exact, ahead, leftward=not leftward)]
        found = next(filter(None, near), exact[0])
    else:
        _at_its_hole(fabric, words, before, told)
        found = _told(fabric, words, before, [n for n in (beside, over, further) if n])
    if found is None:
        return None
    if exact is None and further and over and further in {found.first, found.last}:
        remove(over)
        over = further
    if over and beside and over in {found.first, found.last}:
        remove(beside)
    if isinstance(found.first, Strands) and found.first is found.last:
        # One for one: of a longer edge the loops beside those before them, or before the next.
        at_end = leftward is (before is None)
        piece = split_strands(found.first, place.node.count, at_end=at_end)
        if exact is not None and words in told and piece.loops < place.node.count:
            raise Unworkable(f"only {piece.loops} of {words} are left to pick up")
        fabric.edges.extend(n for n in (piece, piece.next, piece.prev) if n not in fabric.edges)
        found = Stretch(piece, piece)
    _put(found, place.node)
    return place


def _put(stretch: Stretch, node: Live) -> None:
    node.part = stretch.last.part
    replace(stretch.first, stretch.last, node)


def _beside(node: Node, *, leftward: bool) -> Node:
    return node.next if leftward else node.prev


def _over(
    fabric: Fabric, node: Node | None, before: Place | None, *, leftward: bool
) -> Node | None:
    """What lies behind a little that a pick-up may pass by.

    That is a chain's last loop, and a row or two: those just worked, or those of the part whose
    edge comes before or after, as at either end of loops bound off within a row.
    """
    if node is None or before is None:
        return None
    beyond = _beside(node, leftward=leftward)
    if isinstance(node, Side) and len(node.rows) <= _PASSED_BY:
        latest = before.at is None and node in fabric.edges[-2:]
        return beyond if latest or node.part in {before.node.part, beyond.part} else None
    chain = isinstance(node, Strands) and node.loops == 1 and not node.foundation
    return beyond if chain else None


def _free(fabric: Fabric) -> Iterator[Side | Strands]:
    fabric.edges = [node for node in fabric.edges if not node.gone]
    for node in fabric.edges:
        if isinstance(node, Side | Strands):
            yield node


def _exact(fabric: Fabric, words: str) -> list[Stretch] | None:
    """The stretches that exact words mean; None for other words."""
    if found := _SIDE.fullmatch(words):
        side, part, low, high = found.groups()
        first = (side == "right") is (fabric.hand is Hand.RIGHT)
        sides = [n for n in _free(fabric) if isinstance(n, Side)]
        mine = [n for n in sides if n.part == part and n.first is first]
        if low is None:
            return [_chain(n) for n in mine]
        bounds = sorted((int(low), int(high or low)))
        cut = [split_side(n, range(bounds[0], bounds[1] + 1)) for n in mine]
        _note(fabric, mine)
        return [Stretch(n, n) for n in cut if n is not None]
    if found := _FOUNDATION.fullmatch(words):
        part = found[1]
        return [
            Stretch(n, n)
            for n in _free(fabric)
            if isinstance(n, Strands) and n.foundation and part in {None, n.part}
        ]
    if found := _BOUND_OFF.fullmatch(words):
        return [
            Stretch(n, n)
            for n in _free(fabric)
            if isinstance(n, Strands) and not n.foundation and n.part == found[1]
        ]
    return None


def _note(fabric: Fabric, sides: Sequence[Side]) -> None:
    """Write down the pieces into which edges were cut."""
    for side in sides:
        for node in around(side):
            if not isinstance(node, Live) and node not in fabric.edges:
                fabric.edges.append(node)


def _chain(side: Side) -> Stretch:
    """An edge with what of it lies beyond a step: loops bound off where a row began."""
    last: Node = side
    at = side.next
    while at is not side and not isinstance(at, Live) and at.part == side.part:
        if isinstance(at, Side):
            if at.first is not side.first:
                break
            last = at
        at = at.next
    return Stretch(side, last)


def _nearest(
    stretches: Sequence[Stretch], beside: Node | None, *, leftward: bool
) -> Stretch | None:
    """The stretch that begins where the hand has come to."""
    return next(
        (s for s in stretches if (s.first if leftward else s.last) is beside),
        None,
    )


def _whole_rim(fabric: Fabric, words: str, *, alone: bool) -> Stretch | None:
    """The rim of a part's hole. Raises Unworkable where live loops lie on it."""
    name = words.removeprefix("the ")
    strands = next((n for n in _free(fabric) if isinstance(n, Strands) and n.part == name), None)
    if strands is None or not alone:
        waiting = [n for n in around(strands) if isinstance(n, Live)] if strands else []
        if waiting:
            count = sum(n.count for n in waiting)
            lie = some(count, "loop that is still open lies", "loops that are still open lie")
            raise Unworkable(f"{lie} on {words}: say how many are picked up before and after")
        return None
    if any(isinstance(n, Live) for n in around(strands)):
        return None
    return Stretch(strands, strands.prev)


def _told(
    fabric: Fabric, words: str, before: Place | None, beside: Sequence[Node]
) -> Stretch | None:
    """The edge that shares a word with these and lies where the hand is."""
    shared = list(_sharing(fabric, words))
    hole = _OF_A_HOLE.fullmatch(words)
    bound = hole is not None and hole[1] in fabric.parts
    if not shared:
        if bound:
            raise Unworkable(f"there is no edge to pick up along {words}")
        return None
    if before is None:
        most = max(score for score, _ in shared)
        best = _of_the_hole(fabric, words, [node for score, node in shared if score == most])
        return Stretch(best[0], best[0]) if len(best) == 1 else None
    near = [(score, node) for score, node in shared if node in beside]
    if near:
        # Of a heel's turn and its flap, both beside the hand, "the heel flap" is the flap.
        nearest = max(near, key=lambda told: told[0])[1]
        return Stretch(nearest, nearest)
    if bound:
        raise Unworkable(f"{words} does not lie beside the loops before it")
    on_rim = set(map(id, around(before.node)))
    named = [n for _, n in shared if n.part in words and id(n) in on_rim]
    return Stretch(named[0], named[0]) if named else None


def _at_its_hole(fabric: Fabric, words: str, before: Place | None, told: Sequence[str]) -> None:
    """See that an edge of a hole is picked up at that hole: at one that was picked up along
    before, or whose bound-off edge is still there. Raises Unworkable."""
    found = _OF_A_HOLE.fullmatch(words)
    if not found or found[1] not in fabric.parts:
        return
    part = found[1]
    holes = {other[1] for other in map(_OF_A_HOLE.fullmatch, told) if other}
    here = around(before.node) if before else _free(fabric)
    if part not in holes and (
        holes or not any(isinstance(n, Strands) and n.part == part for n in here)
    ):
        raise Unworkable(f"there is nothing to pick up along {words} here")


def _of_the_hole(
    fabric: Fabric, words: str, nodes: Sequence[Side | Strands]
) -> Sequence[Side | Strands]:
    """Of several edges those at the hole whose part is named: of `the left armhole, back` not the
    back's edge at the other arm."""
    named = [n for n in _free(fabric) if isinstance(n, Strands) and n.part in words]
    if len(nodes) == 1 or not named:
        return nodes
    rims = {id(node) for strands in named for node in around(strands)}
    return [node for node in nodes if id(node) in rims] or nodes


def _sharing(fabric: Fabric, words: str) -> Iterator[tuple[int, Side | Strands]]:
    """Edges that share a word, and how well each fits.

    Of `the left armhole, back` the part's name says which hole, the rest which of its edges.
    """
    free = list(_free(fabric))
    part = max((part for part in fabric.parts if part in words), key=len, default="")
    rest = _names(words.replace(part, " ") if part else words)
    for node in free:
        shares = len((rest or _names(words)) & _called(node))
        if shares:
            yield 2 * shares + (node.part == part), node


def _names(words: str) -> set[str]:
    return set(re.findall(r"[a-z]+", words.lower())) - _NO_NAMES


def _called(node: Side | Strands) -> set[str]:
    """The words by which an edge may be meant."""
    names = _names(node.part)
    if isinstance(node, Strands):
        names |= _CALLED["foundation" if node.foundation else "bound off"]
    return names
