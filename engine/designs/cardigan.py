"""The front-opening cardigan, worked in one piece to the armholes (see `openfront`)."""

from engine.craft.sizes import BODY_SIZES, EASE_CM, MEN_SIZES
from engine.designs.openfront.style import Style
from engine.designs.openfront.work import design_of

STYLE = Style(
    name="cardigan",
    title="Cardigan",
    blurb="Open at the front, in one piece to the armholes, sleeves in the round, one edging "
    "around it all.",
    bodies=BODY_SIZES | MEN_SIZES,
    ease=EASE_CM["classic"],
    below_waist=10,
    deeper=3,
    edging_rows=3,  # common practice, no source
    edging_cm=2.5,
    sleeves=True,
)
DESIGN = design_of(STYLE, usual="M", ribbed_on_needles=5.0)
