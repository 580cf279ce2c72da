"""What pieces are made of, in either craft: panels, tubes, tapers, crowns, gussets, edgings.

A design says how many loops and rows; these put them into steps, with the way and side of every
row, the looks at the back in between, a stitch pattern over them, and their stripes.
"""

from engine.designs.shapes.closing import (
    PULL,
    close_flat,
    close_foundation,
    crown,
    draw_together,
    graft,
    graft_pair,
    spread,
    tip,
    tip_losses,
)
from engine.designs.shapes.colours import Colours
from engine.designs.shapes.cover import Cover, cover_for, stitch_of
from engine.designs.shapes.grading import never_less
from engine.designs.shapes.gussets import (
    Heel,
    begin_later,
    part_thumb,
    thumb_gusset,
    work_foot,
    work_gusset,
    work_heel,
    work_thumb,
)
from engine.designs.shapes.necks import (
    SIDES,
    Neck,
    armhole_sleeve,
    front_with_neck,
    join_shoulders,
    neckband,
    part_at_armholes,
)
from engine.designs.shapes.parts import (
    edged,
    measured,
    panel,
    rectangle,
    ribbing,
    ridges,
    taper,
    tube,
)
from engine.designs.shapes.raglan import Raglan, part_sleeves, raglan_yoke
from engine.designs.shapes.round_yoke import SLEEVES, round_yoke, waiting_sleeve
from engine.designs.shapes.rows import (
    a_round,
    flat_row,
    lay_aside,
    lean,
    loops_for,
    rows_for,
    taken_out,
    worn,
)
from engine.designs.shapes.sleeves import grow, narrowing, picked_up_sleeve, ribbed_cuff

__all__ = [
    "PULL",
    "SIDES",
    "SLEEVES",
    "Colours",
    "Cover",
    "Heel",
    "Neck",
    "Raglan",
    "a_round",
    "armhole_sleeve",
    "begin_later",
    "close_flat",
    "close_foundation",
    "cover_for",
    "crown",
    "draw_together",
    "edged",
    "flat_row",
    "front_with_neck",
    "graft",
    "graft_pair",
    "grow",
    "join_shoulders",
    "lay_aside",
    "lean",
    "loops_for",
    "measured",
    "narrowing",
    "neckband",
    "never_less",
    "panel",
    "part_at_armholes",
    "part_sleeves",
    "part_thumb",
    "picked_up_sleeve",
    "raglan_yoke",
    "rectangle",
    "ribbed_cuff",
    "ribbing",
    "ridges",
    "round_yoke",
    "rows_for",
    "spread",
    "stitch_of",
    "taken_out",
    "taper",
    "thumb_gusset",
    "tip",
    "tip_losses",
    "tube",
    "waiting_sleeve",
    "work_foot",
    "work_gusset",
    "work_heel",
    "work_thumb",
    "worn",
]
