"""Every movement of the hands, in two or three stages with a sentence each.

Described by us from what the hands do; nothing is copied from a picture. Which strand lies over
which is the z of its points, and `tests/draw/test_movement.py` holds it against the rule of the
stitch: a loop that is drawn through from behind goes under, over, over, under the loop below.
"""

from engine.draw.movement.loops import (
    BACK,
    FRONT,
    behind,
    below,
    line,
    moved,
    other_side,
    peeping,
    through,
)
from models.movement import Movement, Stage, Strand, Yarn


def _movement(key: str, title: str, *stages: tuple[str, tuple[Strand, ...]]) -> Movement:
    return Movement(
        key=key,
        title=title,
        stages=tuple(Stage(sentence=said, strands=strands) for said, strands in stages),
    )


def _laid_on(shift: float = 4.0) -> Strand:
    """The neighbour, pulled over: its feet stay beside, its head lies on the first loop's."""
    way = below().points
    leaning = tuple((x + shift * (1 - y / 12.0) + 0.5, y + 1.0, y / 12.0) for x, y, _ in way)
    return Strand(name="second", yarn=Yarn.OTHER, points=leaning)


_KNIT = _movement(
    "knit",
    "Knit: pull a loop through from behind",
    ("The working yarn lies behind. Its next loop stands behind the loop below.",
     (below(), behind())),
    ("Reach through the loop below and draw the working loop to the front.",
     (below(), peeping())),
    ("Draw it up until it is as large as its neighbours. It holds the loop below.",
     (below(), through())),
)  # fmt: skip
_PURL = _movement(
    "purl",
    "Purl: push a loop through from the front",
    ("The working yarn lies in front. Its next loop stands before the loop below.",
     (below(), other_side(behind()))),
    ("Push the working loop through the loop below, to the back.",
     (below(), other_side(peeping()))),
    ("Draw it up behind. The bar of the yarn stays in front.",
     (below(), other_side(through()))),
)  # fmt: skip
_DECREASE = _movement(
    "decrease",
    "Decrease: lay one loop on its neighbour, pull one through both",
    ("Two loops stand side by side.",
     (below(), below(12.0, "second", Yarn.OTHER))),
    ("Lay the second on the first, so that you see through both.",
     (below(), _laid_on())),
    ("Pull one working loop through both at once. Two have become one.",
     (below(), _laid_on(), through(1.0, narrow=True))),
)  # fmt: skip


def _two_through_one() -> Strand:
    """One yarn, drawn through the same loop twice."""
    first, then = through(-2.9, narrow=True).points, through(2.9, narrow=True).points
    lean = 0.16
    left = tuple((x - lean * max(0.0, y - 8.0), y, z) for x, y, z in first[:-1])
    right = tuple((x + lean * max(0.0, y - 8.0), y, z) for x, y, z in then[1:])
    return Strand(name="working", yarn=Yarn.WORKING, points=(*left, (0.0, 3.6, BACK), *right))


_INCREASE = _movement(
    "increase",
    "Increase: two loops through one",
    ("Pull the first loop through from behind, as always.",
     (below(wide=1.4),
      line("working", Yarn.WORKING, *through(-2.9, narrow=True).points, (11.9, 4.5, BACK)))),
    ("Pull the next working loop through the same loop, beside it.",
     (below(wide=1.4), _two_through_one())),
)  # fmt: skip


def _next_through_first(*, drawn: bool) -> Strand:
    """The neighbour on the left, its head drawn through the first loop from behind, or not yet."""
    if not drawn:
        return below(-13.0, "second", Yarn.OTHER)
    return line(
        "second", Yarn.OTHER,
        (-18.0, 0.0, 0.0), (-15.0, 1.0, 0.0), (-12.6, 6.0, -1.0), (-6.0, 8.4, BACK),
        (-2.0, 8.2, -0.6), (-2.0, 10.4, 1.2), (-3.0, 15.0, FRONT), (0.0, 18.4, FRONT),
        (3.0, 15.0, FRONT), (2.0, 9.0, 1.2), (0.6, 5.4, -0.6), (-4.0, 4.4, BACK),
        (-9.6, 4.4, -1.0), (-9.4, 1.0, 0.0), (-6.6, 0.0, 0.0),
    )  # fmt: skip


_BIND_OFF = _movement(
    "bind off",
    "Bind off: chain each loop through its neighbour",
    ("Two open loops. No yarn is used.",
     (below(), _next_through_first(drawn=False))),
    ("Reach through the first loop and draw the second through it, from behind.",
     (below(), _next_through_first(drawn=True))),
)  # fmt: skip


def _edge() -> tuple[Strand, ...]:
    """The edge of the fabric: two strands along it, of which only the near one is used."""
    return (
        line("edge", Yarn.BELOW, (-10.0, 7.2, 0.0), (-4.0, 8.0, 0.0), (4.0, 8.0, 0.0),
             (10.0, 7.2, 0.0)),
        line("second strand", Yarn.OTHER, (-10.0, 3.4, 0.0), (-4.0, 2.6, 0.0), (4.0, 2.6, 0.0),
             (10.0, 3.4, 0.0)),
    )  # fmt: skip


def _picked(*, drawn: bool) -> Strand:
    if not drawn:
        return line("working", Yarn.WORKING, (-9.0, 12.0, BACK), (-2.0, 12.6, BACK),
                    (-2.6, 16.0, BACK), (0.0, 18.0, BACK), (2.6, 16.0, BACK), (2.0, 12.6, BACK),
                    (9.0, 12.0, BACK))  # fmt: skip
    return line("working", Yarn.WORKING, (-9.0, 12.0, BACK), (-2.6, 11.0, BACK),
                (-2.2, 6.4, -1.0), (-2.9, 5.4, 1.0), (-3.9, 8.0, FRONT), (-3.6, 14.6, FRONT),
                (0.0, 17.6, FRONT), (3.6, 14.6, FRONT), (3.9, 8.0, FRONT), (2.9, 5.4, 1.0),
                (2.2, 6.4, -1.0), (2.6, 11.0, BACK), (9.0, 12.0, BACK))  # fmt: skip


_PICK_UP = _movement(
    "pick up",
    "Pick up: a loop through one strand of the edge",
    ("The edge has two strands. The working yarn lies behind.",
     (*_edge(), _picked(drawn=False))),
    ("Reach under one strand only and draw a loop to the front.",
     (*_edge(), _picked(drawn=True))),
)  # fmt: skip


def _chained(name: str, yarn: Yarn, x: float) -> Strand:
    """A loop whose feet are at the bottom and whose head is drawn through the one on its right."""
    return Strand(
        name=name,
        yarn=yarn,
        points=moved(_next_through_first(drawn=True).points, x),
    )


_SHOULDER = _movement(
    "shoulder",
    "Close a shoulder: front and back loops in turn",
    ("Right sides together: a loop of the front, then one of the back.",
     (below(name="front"), below(-13.0, "back", Yarn.OTHER))),
    ("Draw the back loop through the front loop, from behind.",
     (below(name="front"), _chained("back", Yarn.OTHER, 0.0))),
    ("Draw the next front loop through the back loop, and so on in turn.",
     (below(name="front"), _chained("back", Yarn.OTHER, 0.0),
      line("next front", Yarn.BELOW,
           (-18.0, 16.5, 0.0), (-12.0, 16.4, -1.0), (-5.0, 15.6, 0.0), (-1.2, 15.2, 1.0),
           (-1.4, 17.6, 3.0), (-2.8, 22.0, 3.4), (0.0, 25.4, 3.4), (2.8, 22.0, 3.4),
           (1.6, 16.8, 3.0), (0.8, 13.2, 1.0), (-4.0, 12.2, 0.0), (-11.0, 12.4, -1.0),
           (-16.0, 11.6, 0.0)))),
)  # fmt: skip

_ABOVE = 30.0
"""Where the feet of the loops stand that hang down from the other edge."""


def _hanging(x: float, name: str) -> Strand:
    """A live loop of the other edge, its head downward."""
    points = tuple((px, _ABOVE - y, z) for px, y, z in below(x).points)
    return Strand(name=name, yarn=Yarn.OTHER, points=points)


_GRAFTED = (
    (0.0, _ABOVE - 5.5, BACK),
    (2.6, _ABOVE - 5.6, BACK / 2),
    (3.7, _ABOVE - 8.0, FRONT / 2),
    (3.9, _ABOVE - 11.5, FRONT),
    (3.4, 14.0, FRONT),
    (2.6, 7.5, FRONT / 2),
    (2.6, 4.6, BACK / 2),
    (9.0, 4.5, BACK),
)
"""From behind the upper loops down into the lower one, and on behind it to the right."""
_COMING = tuple((-x, y, z) for x, y, z in reversed(_GRAFTED))
_EDGES = (below(), _hanging(-6.0, "above"), _hanging(6.0, "next above"))
_GRAFT = _movement(
    "graft",
    "Graft: sew a row between two edges",
    ("The edges lie head to head, all loops open. The threaded yarn lies behind the lower one.",
     (*_EDGES, line("working", Yarn.WORKING, (-9.0, 4.5, BACK), (0.0, 5.2, BACK),
                    (9.0, 4.5, BACK)))),
    ("Bring it up through a lower loop from behind, and down into the loop above from the front.",
     (*_EDGES, line("working", Yarn.WORKING, *_COMING, (1.0, _ABOVE + 3.0, BACK)))),
    ("Out of the next loop above, and down into the lower loop it came from.",
     (*_EDGES, line("working", Yarn.WORKING, *_COMING[:-1], *_GRAFTED))),
)  # fmt: skip
_JOIN = _movement(
    "join",
    "Join a new ball",
    ("Leave the last two loops of the old ball at the back.",
     (below(-13.0, "last"), line("old end", Yarn.END, (-18.0, 5.0, -3.0), (-8.0, 4.0, -3.0),
                                 (-2.0, 1.0, -3.0), (-4.0, -5.0, -3.0)))),
    ("Leave two loops of the new ball there too and pull its third through.",
     (below(-13.0, "last"), line("old end", Yarn.END, (-18.0, 5.0, -3.0), (-8.0, 4.0, -3.0),
                                 (-2.0, 1.0, -3.0), (-4.0, -5.0, -3.0)),
      below(),
      line("working", Yarn.WORKING, (-7.0, -5.0, BACK), (-6.0, 2.0, BACK),
           *through().points[1:]))),
)  # fmt: skip
_TAIL = _movement(
    "tail",
    "Cut and fasten",
    ("Leave two loops and cut. Mind the scissors; keep loops away from infants.",
     (below(), line("end", Yarn.END, (-18.0, 4.0, BACK), (-8.0, 4.6, BACK), (8.0, 6.0, BACK),
                    (16.0, 5.0, BACK)))),
    ("Cut the two loops open and draw the end through the last live loop.",
     (below(), line("end", Yarn.END, (-18.0, 4.0, BACK), (-8.0, 5.4, BACK), (-1.2, 6.6, -1.0),
                    (0.6, 8.0, 1.2), (2.0, 12.0, FRONT), (6.0, 16.0, FRONT),
                    (12.0, 17.0, FRONT)))),
)  # fmt: skip
_FOUNDATION = _movement(
    "foundation",
    "Lay the foundation",
    ("Lay the yarn with all loops upward and none twisted. The first two are the tail.",
     (line("tail", Yarn.END, (-22.0, 0.0, 0.0), *below(-16.0).points[1:-1],
           (-10.0, 0.0, 0.0), *below(-4.0).points[1:-1], (2.0, 0.0, 0.0)),
      line("below", Yarn.BELOW, (2.0, 0.0, 0.0), *below(8.0).points[1:-1], (14.0, 0.0, 0.0),
           *below(20.0).points[1:-1], (26.0, 0.0, 0.0)))),
    ("Count the loops from the third on. The working yarn goes on behind them.",
     (line("tail", Yarn.END, (-22.0, 0.0, 0.0), *below(-16.0).points[1:-1],
           (-10.0, 0.0, 0.0), *below(-4.0).points[1:-1], (2.0, 0.0, 0.0)),
      line("below", Yarn.BELOW, (2.0, 0.0, 0.0), *below(8.0).points[1:-1], (14.0, 0.0, 0.0),
           *below(20.0).points[1:-1], (26.0, 0.0, 0.0), (31.0, 2.5, -1.0)),
      line("working", Yarn.WORKING, (31.0, 2.5, -1.0), (30.0, 4.6, BACK),
           *reversed(through(20.0).points[1:-1]), (14.0, 4.8, BACK)))),
)  # fmt: skip

MOVEMENTS: dict[str, Movement] = {
    one.key: one
    for one in (
        _FOUNDATION, _KNIT, _PURL, _DECREASE, _INCREASE, _PICK_UP, _BIND_OFF, _SHOULDER, _GRAFT,
        _JOIN, _TAIL,
    )
}  # fmt: skip
"""By key, in the order in which a garment needs them."""
