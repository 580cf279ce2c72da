"""Rows made up as trees, without a word of how they are written."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from tests.pattern.apart.hands import needs


@dataclass(frozen=True)
class One:
    """A stitch, `times` times; some names are several stitches worked one after the other."""

    name: str
    times: int = 1


@dataclass(frozen=True)
class Repeat:
    """A body worked so many times."""

    body: tuple["Node", ...]
    times: int
    open: bool = False
    """It goes as far as the row allows: to the end, or to what follows it."""


Node = One | Repeat

SEVERAL = {
    "skp": ("sl", "k", "psso"),
    "sk2p": ("sl", "k2tog", "psso"),
    "s2kp": ("sl", "sl", "k", "psso", "psso"),
}
PLAIN = ("k", "p")
EVEN = ("k tbl", "p tbl", "sl")
FEWER = ("k2tog", "p2tog", "ssk", "ssp", "k3tog", "p3tog", "sssk", "skp", "sk2p", "s2kp")
MORE = ("yo", "m1", "m1l", "m1r", "m1p", "kfb", "pfb", "kfbf", "3 in 1", "5 in 1")


def stitches(nodes: Sequence[Node]) -> list[str]:
    """Every stitch in the order of the hand."""
    found: list[str] = []
    for node in nodes:
        if isinstance(node, One):
            found += list(SEVERAL.get(node.name, (node.name,))) * node.times
        else:
            found += stitches(node.body) * node.times
    return found


def takes(nodes: Sequence[Node]) -> int:
    return needs(stitches(nodes))


def one(chance: Random) -> One:
    kind = chance.random()
    if kind < 0.55:
        return One(chance.choice(PLAIN), min(chance.randint(1, 12), chance.randint(1, 12)))
    if kind < 0.63:
        return One(chance.choice(EVEN), chance.choice((1, 1, 1, 2, 3)))
    name = chance.choice(FEWER if kind < 0.83 else MORE)
    return One(name, chance.choice((1, 1, 1, 1, 1, 2, 3)))


def run(chance: Random, depth: int, most: int = 5) -> tuple[Node, ...]:
    """A few stitches or brackets in a row, no two neighbours the same plain stitch."""
    found: list[Node] = []
    for _ in range(chance.randint(1, most)):
        if depth and chance.random() < 0.2:
            node: Node = Repeat(run(chance, depth - 1, 3), chance.randint(2, 5))
        else:
            node = one(chance)
        last = found[-1] if found else None
        if isinstance(node, One) and isinstance(last, One) and node.name == last.name:
            continue
        found.append(node)
    return tuple(found)


def row(chance: Random) -> tuple[Node, ...]:
    """A row as print has them: an edge, what repeats or stretches, an edge."""
    kind = chance.random()
    before = run(chance, 1, 3) if chance.random() < 0.6 else ()
    after = run(chance, 1, 3) if chance.random() < 0.6 else ()
    if kind < 0.2:
        return run(chance, 2, 7)
    if kind < 0.4:  # k to last 3 sts
        stretch = One(chance.choice(PLAIN), 1)
        return (*before, Repeat((stretch,), chance.randint(1, 30), open=True), *after)
    body = run(chance, 1, 5)
    while not takes(body):
        body = run(chance, 1, 5)
    if len(body) == 1 and isinstance(body[0], One) and body[0].name in PLAIN:
        body = (One(body[0].name),)  # "k to end" is as good on any number of loops
    times = chance.randint(1, 9)
    if kind < 0.6:
        return (*before, Repeat(body, max(2, times)), *after)
    return (*before, Repeat(body, times, open=True), *after)
