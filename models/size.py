"""Body sizes: what the tape finds on the body, in centimetres."""

from models.frozen import Frozen


class BodySize(Frozen):
    """Middle of the published range of one size, in cm."""

    name: str
    bust: float
    back_neck_to_cuff: float
    back_waist_length: float
    cross_back: float
    sleeve_to_underarm: float
    upper_arm: float
    armhole_depth: float
    wrist: float
    hand: float
    """Around the knuckles, the thumb laid in: what a cuff must let through."""
