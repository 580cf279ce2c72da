"""The published body sizes of women, children and men.

Source: Craft Yarn Council, Standard Body Measurements, in inches. A range is taken at its middle.
The women's chart is from memory, its bust row confirmed by a second publication. Of the
children's chart, cross back, upper arm, back waist length, armhole depth and sleeve length are
confirmed by a second publication (crochetkitten.com, "Measurements for Designers: Children");
chest and centre back neck to cuff are from memory. Neither chart has wrists and hands: those rows
are from memory, after designers' tables; the hands lie in the ranges that a second publication
gives (purlsandpixels.com, "Knitwear Size Guide": women 6 to 7½ in, children 3 to 14 years 5½ to 6,
both without the larger sizes).
"""

import re

from engine.base.numbers import CM_PER_INCH
from engine.base.refusal import Refusal
from models.size import BodySize

_Chart = dict[str, tuple[tuple[float, float] | float, ...]]

_WOMEN = ("XS", "S", "M", "L", "1X", "2X", "3X", "4X", "5X")
_WOMEN_INCHES: _Chart = {
    "bust": (
        (28, 30), (32, 34), (36, 38), (40, 42), (44, 46), (48, 50), (52, 54), (56, 58), (60, 62),
    ),
    "back_neck_to_cuff": (
        (27, 27.5), (28, 28.5), (29, 29.5), (30, 30.5), (31, 31.5), (31.5, 32), (32.5, 33),
        (32.5, 33), (33, 33.5),
    ),
    "back_waist_length": (16.5, 17, 17.25, 17.5, 17.75, 18, 18, 18.5, 18.5),
    "cross_back": (
        (14, 14.5), (14.5, 15), (15.5, 16), (16.5, 17), 17.5, 18, 18, 18.5, 18.5,
    ),
    "sleeve_to_underarm": (16.5, 17, 17, 17.5, 17.5, 18, 18, 18.5, 18.5),
    "upper_arm": (9.75, 10.25, 11, 12, 13.5, 15.5, 17, 18.5, 19.5),
    "armhole_depth": (
        (6, 6.5), (6.5, 7), (7, 7.5), (7.5, 8), (8, 8.5), (8.5, 9), (9, 9.5), (9.5, 10), (10, 10.5),
    ),
    "wrist": (5.5, 5.75, 6, 6.25, 6.5, 6.75, 7, 7.25, 7.5),
    "hand": (6.5, 6.75, 7, 7.25, 7.5, 7.75, 8, 8.25, 8.5),
}  # fmt: skip

_CHILDREN = ("2", "4", "6", "8", "10", "12", "14", "16")
_CHILDREN_INCHES: _Chart = {
    "bust": (21, 23, 25, 26.5, 28, 30, 31.5, 32.5),
    "back_neck_to_cuff": (18, 19.5, 20.5, 22, 24, 26, 27, 28),
    "back_waist_length": (8.5, 9.5, 10.5, 12.5, 14, 15, 15.5, 16),
    "cross_back": (9.25, 9.75, 10.25, 10.75, 11.25, 12, 12.25, 13),
    "sleeve_to_underarm": (8.5, 10.5, 11.5, 12.5, 13.5, 15, 16, 16.5),
    "upper_arm": (7, 7.5, 8, 8.5, 8.75, 9, 9.25, 9.5),
    "armhole_depth": (4.25, 4.75, 5, 5.5, 6, 6.5, 7, 7.5),
    "wrist": (4.5, 4.75, 5, 5.25, 5.5, 5.75, 6, 6),
    "hand": (5, 5.25, 5.5, 6, 6.25, 6.5, 6.75, 7),
}  # fmt: skip


def _middle(value: tuple[float, float] | float) -> float:
    inches = sum(value) / 2 if isinstance(value, tuple) else value
    return round(inches * CM_PER_INCH, 1)


def _bodies(names: tuple[str, ...], chart: _Chart) -> dict[str, BodySize]:
    return {
        name: BodySize(name=name, **{key: _middle(row[i]) for key, row in chart.items()})
        for i, name in enumerate(names)
    }


BODY_SIZES: dict[str, BodySize] = _bodies(_WOMEN, _WOMEN_INCHES)
"""The nine women's sizes, XS to 5X, in order."""

_MEN = ("men S", "men M", "men L", "men XL", "men XXL")
_MEN_INCHES: _Chart = {
    "bust": ((34, 36), (38, 40), (42, 44), (46, 48), (50, 52)),
    "back_neck_to_cuff": ((32, 32.5), (33, 33.5), (34, 34.5), (35, 35.5), (36, 36.5)),
    "back_waist_length": (17.25, 18.5, 19, 19.5, 20),
    "cross_back": ((15.5, 16), (16.5, 17), (17.5, 18), (18, 18.5), (18.5, 19)),
    "sleeve_to_underarm": (18, 18.5, 19.5, 20, 20.5),
    "upper_arm": (12, 13, 15, 16, 17),
    "armhole_depth": ((8.5, 9), (9, 9.5), (9.5, 10), (10, 10.5), (10.5, 11)),
    "wrist": (6.5, 6.75, 7, 7.25, 7.5),
    "hand": (8, 8.5, 9, 9.5, 10),
}
"""Craft Yarn Council, men's sizes (from memory). That chart has the back down to the hip, 25¼ in
and more; the waist is taken 8 in above it (common practice, no source). It has no wrists and hands:
those are from memory, after designers' tables."""

MEN_SIZES: dict[str, BodySize] = _bodies(_MEN, _MEN_INCHES)
"""The five men's sizes, S to XXL, in order."""

CHILD_SIZES: dict[str, BodySize] = _bodies(_CHILDREN, _CHILDREN_INCHES)
"""The eight children's sizes, 2 to 16, in order. None is made for infants."""

EVERYONE: dict[str, BodySize] = BODY_SIZES | CHILD_SIZES | MEN_SIZES
"""Women's, children's and men's sizes together."""


def table_of(size: str) -> dict[str, BodySize]:
    """The women's, the children's or the men's sizes, whichever has it; empty for another."""
    tables = (BODY_SIZES, CHILD_SIZES, MEN_SIZES)
    return next((table for table in tables if size in table), {})


def below_waist(size: str, usual: float) -> float:
    """How far below the waist a garment ends, cm: the `usual`, a man's no higher than his hip."""
    return max(usual, _HIP_CM) if size in MEN_SIZES else usual


_HIP_CM = 8 * CM_PER_INCH
"""From the waist down to the hip: so a man's garment is as long as the chart's back down to the
hip, 25¼ to 28 in (Craft Yarn Council, men's sizes, from memory)."""

HEAD_CM: dict[str, float] = {"child": 49.5, "S": 53.3, "M": 55.9, "L": 58.4, "XL": 61.0}
"""Head circumference, cm: 19½, 21, 22, 23 and 24 in. Published: children of 3 to 10 years 19 to
20½, women 21 to 23½, men 22 to 24½ in (thedietdiary.com/knittingfiend, "Typical Head Sizes"); up to
23 in for grown-ups, from 23 in for large heads (purlsandpixels.com, "Knitwear Size Guide")."""

_CHART = dict[str, tuple[float, float]]

FOOT_CM: _CHART = {
    "child": (17.8, 18.4), "S": (20.3, 22.9), "M": (22.9, 25.4), "L": (25.4, 27.9),
    "XL": (26.7, 29.2),
}  # fmt: skip
"""Around the foot and its length, cm: 7 and 7¼, 8 and 9, 9 and 10, 10 and 11, 10½ and 11½ in
(Craft Yarn Council, foot sizes, from memory; the tape decides). Men's are L and XL."""

HAND_CM: _CHART = {
    "child": (15.2, 14.0), "S": (17.8, 17.1), "M": (19.1, 18.4), "L": (20.3, 19.7),
    "XL": (22.9, 20.3),
}  # fmt: skip
"""Around the hand without the thumb and its length from wrist to fingertip, cm: 6, 7, 7½, 8, 9 in
around (Craft Yarn Council, hand sizes, from memory). Women's are 6 to 7½ in, men's 7½ to 9
(purlsandpixels.com, "Knitwear Size Guide")."""

EASE_CM: dict[str, float] = {"close": 3.8, "classic": 7.6, "loose": 12.7, "oversized": 15.2}
"""Ease by intent, cm. Source: Craft Yarn Council, "Fit" guidelines (from memory): close 1–2 in,
classic 2–4 in, loose 4–6 in, oversized 6 in or more; the middle, or the least for the last."""


def body_size(name: str) -> BodySize:
    """The women's size of that name, in any case. Raises Refusal for another."""
    return BODY_SIZES[named_size(name, tuple(BODY_SIZES))]


_MENS = re.compile(r"^men['’]?s?\b[ -]+")


def named_size(name: str, names: tuple[str, ...]) -> str:
    """The one of `names` that is meant, in any case; `mens l` is `men L`. Raises Refusal for
    another."""
    said = _MENS.sub("men ", name.strip().casefold())
    try:
        return next(size for size in names if size.casefold() == said)
    except StopIteration:
        raise Refusal(f"There is no size {name!r}; the sizes are {', '.join(names)}.") from None


HALF_SIZE_CM = 2 * CM_PER_INCH
"""Half the step between two women's sizes of the table, 4 in around the bust."""


def ease_of(intent: str) -> float:
    """Ease in cm for close, classic, loose or oversized. Raises Refusal for another word."""
    return EASE_CM[named_size(intent, tuple(EASE_CM))]


def nearest_size(bust: float, sizes: dict[str, BodySize] | None = None) -> BodySize:
    """The size whose bust lies nearest to `bust` cm, the smaller one of two as near.

    Looks among the women's sizes unless others are given.
    """
    table = sizes or BODY_SIZES
    return min(table.values(), key=lambda size: (abs(size.bust - bust), size.bust))
