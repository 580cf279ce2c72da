"""A child's cardigan: the cardigan in children's sizes, with room to grow and a narrow edging.

In a thick yarn three rows on either side would leave a small body no fronts (common practice, no
source).
"""

from engine.craft.sizes import CHILD_SIZES
from engine.designs.openfront.style import Style
from engine.designs.openfront.work import design_of

STYLE = Style(
    name="child-cardigan",
    title="Child's cardigan",
    blurb="The cardigan in children's sizes, 2 to 16, with a narrow edging. Not for infants.",
    bodies=CHILD_SIZES,
    ease=10.0,
    below_waist=6,
    deeper=2.5,
    edging_rows=1,
    edging_cm=1.5,
    sleeves=True,
    caution="Small fingers catch in loose loops and long ends: pull every end firm, add no cords "
    "at the neck, and follow the safety advice for children's clothing where you live",
)
DESIGN = design_of(STYLE, usual="6", ribbed_on_needles=3.0)
