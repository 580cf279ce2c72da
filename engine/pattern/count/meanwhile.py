"""Shaping beside other shaping: each row asks what is due in it, and both are worked in one row.

What goes on beside is known before the statement that says it comes, from the row on in which it
begins; what is left of it when the text comes to it is worked with even rows between.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from engine.pattern.count.drafts import Template
from engine.pattern.count.edges import edge_of
from engine.pattern.count.measured import rows_of
from engine.pattern.text.numbers import Number, Spot, number_of
from engine.pattern.text.row_items import Claim, Item, Limit, Shape, Stitch, Toward, Until
from engine.pattern.text.statements import AtOnce, Heading, Note, ShapeRows, Statement, Talk, Turns
from models.stitch import STITCHES

if TYPE_CHECKING:
    from engine.pattern.count.ledger import Ledger
    from engine.pattern.count.travel import Way

_ENDS = {"beginning", "end", "each end"}
_EDGE = {"bo", "co"}


@dataclass
class Beside:
    """One such shaping, and how far it is."""

    said: AtOnce
    queue: list[tuple[ShapeRows, Turns, int | None]]
    """What is still to do: how often, or None for until so many loops remain."""
    begun: bool = False
    waited: int = 0

    @classmethod
    def of(cls, ledger: Ledger, said: AtOnce) -> Beside:
        """What a text says goes on beside, with nothing of it worked yet."""
        return cls(said, _queue(ledger, said))

    def comes(self, ledger: Ledger) -> bool:
        """Whether it can begin at all; a fault where it cannot."""
        when = self.said.when
        if when and when.kind == "remain":
            wanted = number_of(when.number, ledger.size, 0)
            if ledger.live > wanted:
                ledger.fault(
                    self.said.spot,
                    f"begins when {ledger.n(wanted)} remain, and there are {ledger.live}",
                    "say when it begins",
                )
                return False
        elif when and rows_of(ledger, when.of) is None:
            ledger.fault(
                self.said.spot,
                f"begins when the {when.of} measures so much, and no heading says where that "
                "begins",
                f"write 'Shape {when.of}s' above its first row",
            )
            return False
        return True

    def due(self, ledger: Ledger, way: Way) -> ShapeRows | None:
        """What it shapes in the row that is about to be worked."""
        if not self.begun and not self._begins(ledger, way):
            return None
        self.begun = True
        if not left(ledger, self):
            return None
        shape, turn, times = self.queue[0]
        if not self._comes(turn, way, ledger.size) or not _in_reach(ledger, shape, way):
            return None
        self.waited = 0
        self.queue[0] = (shape, turn, None if times is None else times - 1)
        return shape

    def _comes(self, turn: Turns, way: Way, size: int) -> bool:
        self.waited += 1
        if turn.first_now:
            return True
        return way.side == turn.side if turn.side else self.waited >= turn.every(size)

    def _begins(self, ledger: Ledger, way: Way) -> bool:
        when, side = self.said.when, self.said.side
        if side and way.side and way.side != side:
            return False
        if when is None:
            return True
        if when.kind == "remain":
            return ledger.live <= number_of(when.number, ledger.size, 0)
        worked = rows_of(ledger, when.of)
        if worked is None or when.number is None:
            return False
        cm = when.number.real(ledger.size) * when.unit
        return worked >= round(cm * ledger.gauge.rows_per_cm)


def _in_reach(ledger: Ledger, shape: ShapeRows, way: Way) -> bool:
    """Loops are bound off or laid on where a row begins."""
    if shape.stitch not in _EDGE:
        return True
    return _where(ledger, shape, way) == "beginning"


def _where(ledger: Ledger, shape: ShapeRows | Shape, way: Way) -> str:
    if shape.where.endswith("edge"):
        return edge_of(ledger.edge_part, shape.where, facing=way.side, going=way.direction)
    return shape.where


def _at_an_end(shape: Shape) -> bool:
    return shape.where in _ENDS or shape.where.endswith("edge")


def prepare(ledger: Ledger, statement: Statement) -> None:
    """Before a statement is worked: what the text says later, and begins beside it or before."""
    if isinstance(statement, (AtOnce, Heading, Note, Talk, Claim)):
        return
    near = True
    for later in ledger.following:
        if isinstance(later, Heading) and later.kind == "part" and "goes on" not in later.names:
            return
        if isinstance(later, AtOnce):
            if (near or later.when) and not any(b.said is later for b in ledger.beside):
                ledger.beside.append(Beside.of(ledger, later))
        elif not isinstance(later, (Heading, Note, Talk, Claim)):
            near = False
            if not ledger.begun_before:
                return


def _queue(ledger: Ledger, said: AtOnce) -> list[tuple[ShapeRows, Turns, int | None]]:
    out: list[tuple[ShapeRows, Turns, int | None]] = []
    for shape in said.said:
        for turn in shape.turns:
            kind = turn.span.kind
            if kind not in {"once", "times", "remain"}:
                ledger.fault(
                    shape.spot,
                    "does not say how many times",
                    "add '6 times', or 'until 20 sts rem'",
                )
                return []
            times = number_of(turn.span.number, ledger.size, 1) if kind == "times" else 1
            often = None if kind == "remain" else ledger.bounded(times, shape.spot)
            out.append((shape, turn, often))
    return out


def with_others(ledger: Ledger, template: Template, way: Way, spot: Spot) -> Template:
    """The row with what is shaped beside it."""
    for other in ledger.beside:
        shape = other.due(ledger, way)
        if shape is not None:
            template = _together(ledger, template, shape, way, spot)
    return template


def _together(
    ledger: Ledger, template: Template, shape: ShapeRows, way: Way, spot: Spot
) -> Template:
    ends = _ends_of(ledger, template, way)
    mine = _ends_of(ledger, replace(template, said=_items(shape), even=None), way)
    if ends is None or mine is None:
        ledger.fault(
            spot,
            "is written out, and a shaping at the same time falls on it",
            "write the rows out with both shapings in them",
        )
        return template
    begun = tuple(sorted((*ends[0], *mine[0]), key=lambda s: s.parts[0][0] not in _EDGE))
    last = (*ends[1], *mine[1])
    short = sum(number_of(s.count, ledger.size, 1) * STITCHES[s.parts[0][0]].takes for s in last)
    rest = Toward((("k", 1),), Limit(Until.LAST, Number((float(short),), spot)), spot)
    return Template((*begun, rest, *last), template.rounds, template.spot)


def _items(shape: ShapeRows) -> tuple[Item, ...]:
    return (Shape(shape.stitch, shape.number, shape.where, shape.spot),)


Ends = tuple[tuple[Stitch, ...], tuple[Stitch, ...]]


def _ends_of(ledger: Ledger, template: Template, way: Way) -> Ends | None:
    """What a row shapes at its beginning and at its end; None for a row with more to it."""
    if template.even is not None:
        return (), ()
    begun: list[Stitch] = []
    last: list[Stitch] = []
    for item in template.items:
        match item:
            case Claim():
                continue
            case Shape(stitch=name, count=count, spot=spot) if _at_an_end(item):
                worked = Stitch(((name, 1),), spot, count or Number((1.0,), spot))
                at = _where(ledger, item, way)
                begun += [worked] if at != "end" else []
                last += [worked] if at != "beginning" else []
            case Toward(limit=limit) if limit.until is Until.LAST:
                continue
            case Stitch(parts=((name, 1),)) if name in _EDGE and not last:
                begun.append(item)
            case _:
                return None
    return tuple(begun), tuple(last)


def left(ledger: Ledger, other: Beside) -> bool:
    """Whether something is still to be worked of it. A count that it passed by is a fault."""
    while other.queue:
        shape, turn, times = other.queue[0]
        wanted = number_of(turn.span.number, ledger.size, 0)
        if times or (times is None and ledger.live > wanted):
            return True
        if times is None and ledger.live < wanted:
            ledger.fault(
                shape.spot,
                f"goes on until {ledger.n(wanted)} remain, and passes by to {ledger.live}",
                "say how many times",
            )
        other.queue.pop(0)
        other.waited = 0
    return False
