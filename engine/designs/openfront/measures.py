"""The measurements of a garment that opens at the front, and what a body's size makes of them."""

from engine.designs.design import spec
from models.plan import MeasureSpec
from models.size import BodySize

BODY_MEASURES: tuple[MeasureSpec, ...] = (
    spec("bust", "Bust", "Around the fullest part of the chest.", 40, 200),
    spec("ease", "Ease", "How much wider than the body the garment is.", -10, 60),
    spec(
        "body_height",
        "Body height",
        "From the lower edge to the underarm; the tape decides it as you work.",
        5,
        90,
    ),
    spec(
        "armhole_depth",
        "Armhole depth",
        "Straight down from the shoulder to the underarm, with room to move.",
        6,
        45,
    ),
    spec("neck_width", "Back neck", "Across the back neck, shoulder to shoulder.", 4, 40),
    spec("underarm", "Underarm", "The flat strip bound off under each arm.", 0, 20),
    spec("upper_arm", "Upper arm", "Around the fullest part of the upper arm.", 8, 70),
    spec("overlap", "Overlap", "How far one front lies over the other when closed.", 0, 20),
)
SLEEVE_MEASURES: tuple[MeasureSpec, ...] = (
    spec(
        "back_neck_to_cuff",
        "Centre back to cuff",
        "From the middle of the back neck over the shoulder to the wrist.",
        15,
        110,
    ),
    spec("cuff", "Cuff", "Around the sleeve's end.", 6, 60),
)


def body_defaults(
    body: BodySize, *, ease: float, below_waist: float, underarm: float, deeper: float
) -> dict[str, float]:
    """Measurements in cm of the body for a body of that size.

    What the size table does not hold is common practice, no source: how far the body ends below
    the waist, the width of the underarm strip, how much deeper than the body's the armhole is
    (and never too tight for the upper arm), the back neck at two fifths of the cross back.
    """
    depth = max(body.armhole_depth + deeper, (body.upper_arm + 5 - underarm) / 2)
    return {
        "bust": body.bust,
        "ease": ease,
        "body_height": round(body.back_waist_length + below_waist - body.armhole_depth, 1),
        "armhole_depth": round(depth, 1),
        "neck_width": round(body.cross_back * 0.4, 1),
        "underarm": underarm,
        "upper_arm": body.upper_arm,
        "overlap": 0.0,
    }


def sleeve_defaults(body: BodySize) -> dict[str, float]:
    """Measurements in cm of the sleeves; the cuff is common practice, no source."""
    return {
        "back_neck_to_cuff": body.back_neck_to_cuff,
        "cuff": round(body.upper_arm * 0.6 + 8, 1),
    }
