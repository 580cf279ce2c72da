"""The counts across a garment that opens at the front, solved together on the *finished* garment.

What is asked for is what the tape will find when all is done: around with edging and overlap, the
neck's opening between the edgings, the underarm; a back that is at least as wide as the cross back
with its half of the ease, and fronts that are as wide as the back, edging and overlap counted.
In whole loops not all of it can be had, since

    N = 2F + 2(K - 1) + B    and    B = 2S + neck,

so that N, B and the neck are all even or all odd. Every set of counts near what is asked is tried,
and the one that gives way least is taken. What gives way first is in `_cost`: where the sum does
not come out the fronts do, not the back (common practice, no source).
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from models.gauge import Gauge

_SHOULDER = 2
"""Loops of a shoulder that carries, its edging not counted (common practice, no source)."""


@dataclass(frozen=True)
class Asked:
    """What the finished garment is to measure, in cm, and the rows that are decided already."""

    gauge: Gauge
    around: float
    overlap: float
    neck: float
    """Between the edgings."""
    underarm: float
    cross_back: float
    """Of the body; 0 where it is not known."""
    ease: float
    armhole_rows: int
    edging_rows: int
    """As usual; fewer where they would leave no shoulder."""

    @property
    def back_least(self) -> float:
        """Width of a back that the body's moves in, cm."""
        return self.cross_back + self.ease / 2 if self.cross_back else 0.0


@dataclass(frozen=True, order=True)
class Across:
    """Loops across the body. N, F, B of the package's formula, with the strip K - 1."""

    foundation: int
    front: int
    back: int
    strip: int
    neck: int
    edging_rows: int

    @property
    def shoulder(self) -> int:
        """S, loops of one shoulder."""
        return (self.back - self.neck) // 2

    @property
    def decreases(self) -> int:
        """D, loops that a front loses at its neck edge."""
        return self.front - self.shoulder

    def cm(self, gauge: Gauge, overlap: float) -> dict[str, float]:
        """What these counts measure on the finished garment, in cm."""
        across, edging = gauge.loops_per_cm, self.edging_rows / gauge.rows_per_cm
        return {
            "around": self.foundation / across + 2 * edging - overlap,
            "fronts": 2 * (self.front / across + edging) - overlap,
            "back width": self.back / across,
            "back neck": self.neck / across - 2 * edging,
            "shoulder": self.shoulder / across + edging,
            "underarm": self.strip / across,
        }


_NOTHING = Across(0, 0, 0, 0, 0, 0)
_GRADED = ("around", "fronts", "back width", "back neck", "shoulder", "underarm")
"""Measures that no larger size has smaller."""
_EPSILON = 1e-6


def solve(
    asked: Asked, fixed: Mapping[str, int] | None = None, smaller: Across | None = None
) -> Across | None:
    """The counts that come nearest to what is asked; None where no garment comes of it.

    `fixed` holds counts that are decided: foundation, front, back, underarm (loops of the strip),
    neck, edging rows. `smaller` are the counts of the next smaller size: no measure goes back
    behind its own, as long as nothing is fixed.
    """
    fixed = fixed or {}
    least = smaller.cm(asked.gauge, asked.overlap) if smaller and not fixed else {}
    best: tuple[float, int, int, Across] | None = None
    for edging in _edgings(asked.edging_rows, fixed):
        if best and ("foundation" in fixed or best[0] <= _fewer(asked, edging)):
            break  # fewer rows alone cost more than that
        for across in _near(asked, edging, fixed, smaller):
            if _never_less(asked, across, least):
                found = (_cost(asked, across), across.foundation, across.back, across)
                best = min(best, found) if best else found
    if best is None:
        return solve(asked, fixed) if least else None
    return best[3]


def _edgings(usual: int, fixed: Mapping[str, int]) -> Iterable[int]:
    return [fixed["edging rows"]] if "edging rows" in fixed else range(usual, 0, -1)


def _never_less(asked: Asked, across: Across, least: Mapping[str, float]) -> bool:
    if not least:
        return True
    cm = across.cm(asked.gauge, asked.overlap)
    return all(cm[name] >= least[name] - _EPSILON for name in _GRADED)


_EDGING_ROW = 4.0
"""What each edging row fewer costs, squared: as much as two loops off."""


def _fewer(asked: Asked, edging: int) -> float:
    return _EDGING_ROW * (asked.edging_rows - edging) ** 2


def _cost(asked: Asked, across: Across) -> float:
    """How far it is from what is asked: squares of loops, each weighed by what it does to the fit.

    The weights are common practice, no source: around and neck alike, the underarm half as much,
    the fronts beside the back a quarter; a back too narrow for its ease nine times, one too narrow
    for the body a hundred times.
    """
    loops, cm = asked.gauge.loops_per_cm, across.cm(asked.gauge, asked.overlap)
    back = cm["back width"]
    cost = (cm["around"] - asked.around) ** 2 + (cm["back neck"] - asked.neck) ** 2
    cost += 0.5 * (cm["underarm"] - asked.underarm) ** 2
    cost += 9 * min(0.0, back - asked.back_least) ** 2
    cost += 100 * min(0.0, back - min(asked.cross_back, asked.back_least)) ** 2
    cost *= loops**2
    # No square far out: fronts that cannot be as wide as the back do not pull the rest along.
    beside = abs(back - cm["fronts"]) * loops
    cost += 0.25 * beside**2 / (1 + beside)
    cost += _fewer(asked, across.edging_rows)
    return cost


def _around(value: float, *more: int, reach: int = 1, least: int = 1) -> list[int]:
    """Whole numbers about a value, those given beside it."""
    whole = range(math.floor(value) - reach + 1, math.floor(value) + reach + 1)
    return sorted({n for n in (*whole, *more) if n >= least})


def _near(
    asked: Asked, edging: int, fixed: Mapping[str, int], smaller: Across | None
) -> Iterator[Across]:
    """Every set of counts about what is asked that can be knitted at all."""
    loops, width = asked.gauge.loops_per_cm, 2 * edging / asked.gauge.rows_per_cm
    beside = (width - asked.overlap) * loops
    """Loops by which the fronts grow through edging and overlap."""
    before = smaller or _NOTHING
    # A wide underarm gives way where the back would be narrower than the body.
    room = asked.around / 2 - min(asked.cross_back, asked.back_least)
    strips = {
        *_around(asked.underarm * loops, before.strip),
        *_around(min(asked.underarm, room) * loops),
    }
    for strip in _given(fixed.get("underarm"), strips):
        wanted = asked.around * loops - beside
        for foundation in _foundations(wanted, strip, fixed, before.foundation):
            body = foundation - 2 * strip
            fronts = {
                *_around((body - beside) / 4, before.front, least=2),
                *_around((body - asked.back_least * loops) / 2, least=2),
            }
            for front in _fronts(fixed, body, fronts):
                back = body - 2 * front
                if "back" in fixed and back != fixed["back"]:
                    continue
                necks = _necks(asked, front, back, (asked.neck + width) * loops, before.neck)
                if "neck" in fixed:
                    necks = _possible(asked, front, back, fixed["neck"])
                for neck in necks:
                    if neck > width * loops or "neck" in fixed:  # the edgings do not meet
                        yield Across(foundation, front, back, strip, neck, edging)


def _given(fixed: int | None, tried: Iterable[int]) -> list[int]:
    return [fixed] if fixed is not None else sorted(set(tried))


def _foundations(wanted: float, strip: int, fixed: Mapping[str, int], smaller: int) -> list[int]:
    if "foundation" in fixed:
        return [fixed["foundation"]]
    if "front" in fixed and "back" in fixed:
        return [2 * fixed["front"] + 2 * strip + fixed["back"]]
    return _around(wanted, smaller, reach=2)


def _fronts(fixed: Mapping[str, int], body: int, tried: Iterable[int]) -> list[int]:
    if "front" in fixed:
        return [fixed["front"]]
    if "back" in fixed:
        return [(body - fixed["back"]) // 2]
    return sorted(set(tried))


def _span(asked: Asked, front: int, back: int, shoulder: int = _SHOULDER) -> tuple[int, int]:
    """The fewest and the most loops of a back neck that the front can be shaped to.

    One decrease in every other row at most, within the armhole's rows, and one at least; and a
    shoulder of so many loops.
    """
    most = (asked.armhole_rows + 1) // 2
    return max(back - 2 * (front - 1), 2 - back % 2), back - 2 * max(shoulder, front - most)


def _necks(asked: Asked, front: int, back: int, wanted: float, smaller: int) -> set[int]:
    """Loops of the back neck near what is wanted, of the back's parity."""
    narrow, wide = _span(asked, front, back)
    if narrow > wide:
        return set()
    below = back - 2 * math.ceil((back - wanted) / 2)
    tried = {below, below + 2, smaller + (smaller - back) % 2}
    return {min(max(neck, narrow), wide) for neck in tried}


def _possible(asked: Asked, front: int, back: int, neck: int) -> set[int]:
    narrow, wide = _span(asked, front, back, 1)  # as somebody has decided
    return {neck} if narrow <= neck <= wide and (back - neck) % 2 == 0 else set()
