"""What pullovers ask of a body alike, and what they take where nothing is said."""

from engine.craft.sizes import EASE_CM, EVERYONE, table_of
from engine.designs.design import spec

AROUND = (
    spec("bust", "Bust or chest", "Around the fullest part.", 40, 180),
    spec("ease", "Ease", "Wider than the body.", -10, 40),
)
RIB_CM, BAND_CM = 5.0, 2.5
"""Ribbing at hem and cuffs, and of a neckband (common practice, no source)."""
CUFF = spec("cuff", "Cuff", "Around the wrist; the hand must pass.", 10, 50)


def body_defaults(size: str, below_waist: float) -> dict[str, float]:
    """Bust, ease and height to the underarm, in cm; no size is lower than the one before it.

    How far below the waist it reaches is common practice, no source.
    """
    heights = []
    for name, of in table_of(size).items():
        heights.append(of.back_waist_length - of.armhole_depth + below_waist)
        if name == size:
            break
    high = round(max(heights), 1)
    return {"bust": EVERYONE[size].bust, "ease": EASE_CM["classic"], "body_height": high}


def cuff_default(size: str) -> float:
    """A cuff that the hand goes through, cm."""
    of = EVERYONE[size]
    return round(max(of.wrist + 3, of.hand), 1)
