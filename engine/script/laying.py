"""Lays the rim anew once a step is worked: what became of every stretch, and where it lies."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from itertools import pairwise

from engine.script import edges
from engine.script.fabric import Fabric
from engine.script.rim import Live, Node, Run, Side, Strands, absorb, insert, join, link, remove
from models.script import Direction, Kind, Step


class Fate(Enum):
    """What has become of a stretch of loops."""

    LIVE = auto()
    TOP = auto()
    REST = auto()
    GONE = auto()


class Item:
    """A stretch of loops with one fate, in the order of the hand."""

    __slots__ = ("at", "node", "runs", "what")

    def __init__(self, what: Fate, node: Live, at: str = "") -> None:
        self.what = what
        self.node = node
        """Where the loops came from; new loops have a node of their own."""
        self.at = at
        """A resting place, or the edge along which they were picked up."""
        self.runs: list[Run] = []

    @property
    def count(self) -> int:
        """Loops."""
        return sum(len(run.ids) for run in self.runs)


@dataclass(frozen=True)
class WorkedStep:
    """How a step was worked, as far as it matters for what lies where."""

    fabric: Fabric
    step: Step
    leftward: bool
    turned_before: bool
    """It began within the row, where the one before it turned."""
    turns: bool
    """It turned before its end."""
    ring: bool
    """The loops were a ring before."""
    new: frozenset[Live]
    """Stretches that come from no other loops."""
    picked: tuple[Item, ...]


def laid(row: WorkedStep, order: list[Item]) -> None:
    """Lay the stretches, which come in the order of the hand.

    Raises Unworkable where what was picked up does not lie as the step has it.
    """
    if not row.leftward:
        order.reverse()
        for item in order:
            item.runs = [run.reversed() for run in reversed(item.runs)]
    _lay(row, order)
    items = [item for item in order if item.what in {Fate.LIVE, Fate.TOP}]
    if row.picked:
        _find_edges(row, items)
    _join(row, items)
    row.fabric.nodes = _merged([item.node for item in items if item.what is Fate.LIVE])


def _lay(row: WorkedStep, order: Sequence[Item]) -> None:
    """Put the stretches that a node has become where the node lay."""
    by_node: dict[Live, list[Item]] = {}
    for item in order:
        by_node.setdefault(item.node, []).append(item)
    resting: list[Item] = []
    closed: list[Strands] = []
    for node, items in by_node.items():
        chain_of: list[Node] = []
        for item in items:
            if item.what is Fate.GONE or not item.runs:
                continue
            if item.what is Fate.TOP:
                strands = Strands(row.step.part, item.count, foundation=False)
                row.fabric.edges.append(strands)
                closed.append(strands)
                chain_of.append(strands)
                continue
            kept = node if node not in chain_of else Live(node.part, [])
            kept.runs, item.node = item.runs, kept
            chain_of.append(kept)
        if chain_of != [node]:
            _splice(node, chain_of)
        resting += [item for item in items if item.what is Fate.REST]
    for edge in closed:
        absorb(edge)
    names = dict.fromkeys(item.at for item in resting)
    for name in names:
        nodes = [item.node for item in resting if item.at == name]
        row.fabric.put_aside(name, nodes if row.leftward else nodes[::-1], leftward=row.leftward)


def _find_edges(row: WorkedStep, items: Sequence[Item]) -> None:
    """Lay what was picked up where its edge lay."""
    places = [
        edges.Place(item.node, item.at if item in row.picked else None, item.node in row.new)
        for item in (items if row.leftward else reversed(items))
        if item.what is Fate.LIVE and item.runs
    ]
    ring = row.step.direction is Direction.AROUND
    edges.lay(row.fabric, places, leftward=row.leftward, ring=ring)


def _join(row: WorkedStep, items: Sequence[Item]) -> None:
    """The yarn runs from loop to loop: neighbours of a row lie side by side from now on."""
    step = row.step
    groups: list[list[Live]] = [[]]
    for item in items:
        if item.what is Fate.TOP:
            groups.append([])
        elif item.runs:
            groups[-1].append(item.node)
    groups = [group for group in groups if group]
    for group in groups:
        for one, other in pairwise(group):
            if one.next is other:
                continue
            fresh = one in row.new or other in row.new
            if step.counts_row or fresh:
                join(one, other)
    if not groups:
        return
    if step.kind is Kind.ROUND and not row.turns:
        first, last = items[0], items[-1]
        if first.what is Fate.LIVE and last.what is Fate.LIVE:
            join(last.node, first.node)
    elif step.kind is Kind.ROW:
        _sides(row, groups)


def _sides(row: WorkedStep, groups: Sequence[Sequence[Live]]) -> None:
    """The ends of a flat row are edges, but where it was turned on the way."""
    if row.ring and (row.turns or row.turned_before):
        return
    at_right, at_left = (
        (not row.turned_before, not row.turns)
        if row.leftward
        else (not row.turns, not row.turned_before)
    )
    for index, group in enumerate(groups):
        if index or at_right:
            row_ends(row.fabric, group[0], row.step.part, first=True)
        if index < len(groups) - 1 or at_left:
            row_ends(row.fabric, group[-1], row.step.part, first=False)


def _splice(node: Live, chain_of: Sequence[Node]) -> None:
    """Put other nodes where a node lay; it may be one of them."""
    if not chain_of:
        remove(node)
        return
    before, after = node.prev, node.next
    alone = before is node
    for one, other in pairwise(chain_of):
        link(one, other)
    first, last = chain_of[0], chain_of[-1]
    if alone:
        link(last, first)
    else:
        link(before, first)
        link(last, after)


def _merged(nodes: Sequence[Live]) -> list[Live]:
    """Neighbours on the rim become one stretch."""
    out: list[Live] = []
    for node in nodes:
        if not node.runs:
            continue
        if out and out[-1].next is node and out[-1] is not node:
            last = out[-1]
            last.runs = last.runs + node.runs
            if node.next is last:
                link(last, last)
            else:
                link(last, node.next)
            node.gone = True
        else:
            out.append(node)
    return out


def row_ends(fabric: Fabric, node: Live, part: str, *, first: bool) -> None:
    """A flat row ends in an edge, at its right or at its left."""
    row = fabric.rows[part]
    beside = node.prev if first else node.next
    if isinstance(beside, Side) and (beside.part, beside.first) == (part, first):
        beside.rows.insert(len(beside.rows) if first else 0, row)
        return
    side = Side(part, first, [row])
    insert(node.prev if first else node, side)
    fabric.edges.append(side)
