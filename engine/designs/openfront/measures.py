"""The measurements that a garment which opens at the front asks for."""

from engine.designs.bodies import EDGES
from engine.designs.design import spec
from models.plan import MeasureSpec

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
    spec("neck_width", "Back neck", "Across the finished back neck, inside the edging.", 4, 40),
    spec(
        "cross_back",
        "Cross back",
        "Across your back from arm to arm; the garment's back is never narrower.",
        15,
        80,
    ),
    spec("underarm", "Underarm", "The flat strip bound off under each arm.", 0, 30),
    spec("upper_arm", "Upper arm", "Around the fullest part of the upper arm.", 8, 70),
    spec("overlap", "Overlap", "How far one front lies over the other when closed.", 0, 20),
    *EDGES,
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
