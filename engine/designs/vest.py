"""A vest: the cardigan's body, with a band round each armhole instead of a sleeve.

Its armhole is deeper, to go over a sleeve.
"""

from engine.craft.sizes import BODY_SIZES, EASE_CM, MEN_SIZES
from engine.designs.openfront.style import Style
from engine.designs.openfront.work import design_of

STYLE = Style(
    name="vest",
    title="Vest",
    blurb="Open at the front, without sleeves: a band round each armhole, one edging around it "
    "all.",
    bodies=BODY_SIZES | MEN_SIZES,
    ease=EASE_CM["classic"],
    below_waist=8,
    deeper=4,
    edging_rows=3,  # common practice, no source
    edging_cm=2.5,
    sleeves=False,
)
DESIGN = design_of(STYLE, usual="M", ribbed_on_needles=5.0)
