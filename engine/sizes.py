"""The published women's body sizes.

Source: Craft Yarn Council, Standard Body Measurements, "Women's size chart", in inches (from
memory; the bust row is confirmed by a second publication). A range is taken at its middle.
"""

from engine.refusal import Refusal
from models.size import BodySize

CM_PER_INCH = 2.54

_NAMES = ("XS", "S", "M", "L", "1X", "2X", "3X", "4X", "5X")
_INCHES: dict[str, tuple[tuple[float, float] | float, ...]] = {
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
}  # fmt: skip


def _middle(value: tuple[float, float] | float) -> float:
    inches = sum(value) / 2 if isinstance(value, tuple) else value
    return round(inches * CM_PER_INCH, 1)


BODY_SIZES: dict[str, BodySize] = {
    name: BodySize(name=name, **{key: _middle(row[i]) for key, row in _INCHES.items()})
    for i, name in enumerate(_NAMES)
}
"""The nine sizes, XS to 5X, in order."""

EASE_CM: dict[str, float] = {"close": 3.8, "classic": 7.6, "loose": 12.7, "oversized": 15.2}
"""Ease by intent, cm. Source: Craft Yarn Council, "Fit" guidelines (from memory): close 1–2 in,
classic 2–4 in, loose 4–6 in, oversized 6 in or more; the middle, or the least for the last."""


def body_size(name: str) -> BodySize:
    """The size of that name, in any case. Raises Refusal for another."""
    try:
        return BODY_SIZES[name.upper()]
    except KeyError:
        raise Refusal(
            f"There is no size {name!r}; the sizes are {', '.join(BODY_SIZES)}."
        ) from None
