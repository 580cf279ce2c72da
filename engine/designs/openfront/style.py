"""What one garment of the family is: its sizes, its ease, its edging, whether it has sleeves."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import accumulate

from engine.craft.sizes import below_waist, table_of
from engine.designs.openfront.measures import BODY_MEASURES, SLEEVE_MEASURES
from models.gauge import Gauge
from models.plan import DesignInfo
from models.script import Craft
from models.size import BodySize

_NARROWEST, _WIDEST = 2.0, 0.12
"""An underarm in cm at least, and as a share of the garment's circumference at most (common
practice, no source)."""
_BEYOND, _GIVES = 6.0, 0.4
"""An underarm wider than so many cm makes room to move itself: the armhole need not be as deep, by
this share of what is over (common practice, no source)."""
_NECK = 0.4
"""Back neck as a share of the cross back (common practice, no source)."""
_CUFF_EASE = 5.1
"""Ease of a cuff over the wrist, cm: an inch is the least (30daysweater.com, "Sleeve Math"), and
two make it a fifth of a medium body (the percentage system's wrist)."""
_HAND_EASE = 2.5
"""What a cuff has over the hand that goes through it, cm (common practice, no source)."""


@dataclass(frozen=True)
class Style:
    """A garment that opens at the front."""

    name: str
    title: str
    blurb: str
    bodies: Mapping[str, BodySize]
    ease: float
    below_waist: float
    """How far the body ends below the waist, cm."""
    deeper: float
    """How much deeper than the body's the armhole is, cm."""
    edging_rows: int
    edging_cm: float
    """An edging is at least so wide where rows are low."""
    sleeves: bool
    caution: str = ""

    @property
    def info(self) -> DesignInfo:
        """What it is called and what it asks for."""
        return DesignInfo(
            name=self.name,
            title=self.title,
            blurb=self.blurb,
            crafts=(Craft.LOOP, Craft.NEEDLES),
            sizes=tuple(self.bodies),
            measures=BODY_MEASURES + (SLEEVE_MEASURES if self.sleeves else ()),
            stitches=True,
        )

    def edging(self, gauge: Gauge) -> int:
        """Rows of the usual edging."""
        return max(self.edging_rows, round(self.edging_cm * gauge.rows_per_cm))

    def defaults(self, size: str) -> dict[str, float]:
        """Measurements in cm for one of the sizes. None is smaller than the size before has it.

        What the size tables do not hold is common practice, no source, but where a source stands
        beside it. The underarm takes what half the bust has over the cross back, so that the back
        grows no faster than backs do.
        """
        of, below = self.bodies[size], below_waist(size, self.below_waist)
        measures = {
            "bust": of.bust,
            "ease": self.ease,
            "body_height": self._graded(
                size, lambda b: b.back_waist_length + below - b.armhole_depth
            ),
            "armhole_depth": self._graded(size, self._depth),
            "neck_width": self._graded(size, lambda b: b.cross_back * _NECK),
            "cross_back": of.cross_back,
            "underarm": self._graded(size, self._underarm),
            "upper_arm": of.upper_arm,
            "overlap": 0.0,
            "ribbed_hem": 0.0,
            "garter_hem": 0.0,
        }
        if self.sleeves:
            measures["back_neck_to_cuff"] = of.back_neck_to_cuff
            measures["cuff"] = self._graded(size, _cuff)
        return measures

    def _underarm(self, body: BodySize) -> float:
        widest = _WIDEST * (body.bust + self.ease)
        return max(_NARROWEST, min(body.bust / 2 - body.cross_back, widest))

    def _depth(self, body: BodySize) -> float:
        over = max(0.0, self._underarm(body) - _BEYOND)
        return max(body.armhole_depth, body.armhole_depth + self.deeper - _GIVES * over)

    def _graded(self, size: str, of: Callable[[BodySize], float]) -> float:
        table = table_of(size)
        running = accumulate((of(body) for body in table.values()), max)
        return round(dict(zip(table, running, strict=True))[size], 1)


def _cuff(body: BodySize) -> float:
    return max(body.wrist + _CUFF_EASE, body.hand + _HAND_EASE)
