"""Pairs every `rep from` with its asterisk, and gathers what else goes across a row's items."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from lark import Token

from engine.pattern.text.tree import (
    AsRow,
    Claim,
    Ending,
    Group,
    Item,
    Limit,
    Marks,
    RepFrom,
    Row,
    Slip,
    Spot,
    Star,
    Stitch,
)


@dataclass(frozen=True)
class Run:
    """`k2, p2 across`: the last stitch of what is all repeated."""

    item: Item
    limit: Limit


@dataclass(frozen=True)
class YarnHeld:
    """Where the yarn is held for the slip that follows."""

    where: str


def fold(items: list[Any], slips: list[Slip]) -> tuple[Item, ...]:
    """Pair each `rep from` with its asterisk, and hang "end" on the repeat before it."""
    out: list[Any] = []
    held = ""
    for item in items:
        if isinstance(item, YarnHeld):
            held = item.where
        elif held and isinstance(item, Stitch) and item.parts == (("sl", 1),):
            out.append(replace(item, parts=((f"sl {held}", 1),)))
            held = ""
        elif isinstance(item, Run):
            run = (*out, item.item)
            counted = all(isinstance(i, Stitch) and i.count and not i.at for i in run)
            whole = run if counted else run[-1:]
            out[len(out) + 1 - len(whole) :] = [Group(whole, _spot(item.item), limit=item.limit)]
        elif isinstance(item, Star) and item.times and any(isinstance(o, Star) for o in out):
            first = max(i for i, o in enumerate(out) if isinstance(o, Star))
            out[first:] = [Group(tuple(out[first + 1 :]), item.spot, item.times)]
        elif isinstance(item, RepFrom):
            stars = [
                i
                for i, o in enumerate(out)
                if isinstance(o, Star) and (not item.mark or o.mark == item.mark)
            ]
            if not stars:
                slips.append(
                    Slip(
                        item.spot,
                        "this repeat goes back to an asterisk that is not there",
                        "put * where the repeat begins",
                        fault=True,
                    )
                )
                continue
            if len(stars) > 1 and (item.mark or stars[-1] == len(out) - 1):
                # "*k1, p1*; rep from * to *": the second asterisk closes the repeat.
                first, last = stars[-2], stars[-1]
                body, rest = tuple(out[first + 1 : last]), out[last + 1 :]
            else:
                first, body, rest = stars[-1], tuple(out[stars[-1] + 1 :]), []
            group = Group(body, item.spot, item.times, item.limit, starred=not rest)
            out[first:] = [*body, *rest, group] if rest else [group]
        elif isinstance(item, Ending):
            if out and isinstance(out[-1], Group) and out[-1].starred:
                out[-1] = replace(out[-1], ending=True)
        else:
            out.append(item)
    for item in out:
        if isinstance(item, Star):
            slips.append(
                Slip(
                    item.spot,
                    "nothing goes back to this asterisk",
                    "write 'rep from *' and how far, or take it out",
                )
            )
    for index, item in enumerate(out):
        if isinstance(item, Claim) and index < len(out) - 1:
            slips.append(
                Slip(
                    item.spot,
                    "a number stands here without a stitch",
                    "write the stitch before it, or put a count after the row's last stitch",
                    fault=True,
                )
            )
    return tuple(o for o in out if not isinstance(o, Star))


def _spot(item: Item) -> Spot:
    spot: Spot = item.spot
    return spot


def row_of(children: Iterable[Any], spot: Spot, slips: tuple[Slip, ...] = ()) -> Row:
    """A row of what the grammar found in it, with the slips in its writing."""
    found, marks = list(slips), None
    said: list[Any] = []
    for child in children:
        if isinstance(child, Marks):
            marks = child
        elif not isinstance(child, Token):
            said.append(child)
    if any(isinstance(i, AsRow) for i in said[1:]):
        # "Purl. Rep rows 1 and 2 twice more.": two sentences, and the reader takes them apart.
        raise ValueError("a row that is as another one is nothing else besides")
    items = fold(said, found)
    for item in items:
        if isinstance(item, Group):
            found.extend(item.slips)
    return Row(items, spot, tuple(found), marks)
