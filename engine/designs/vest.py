"""A vest: the cardigan's body, with a band round each armhole instead of a sleeve."""

from engine.craft.sizes import BODY_SIZES, EASE_CM
from engine.designs.design import Design
from engine.designs.openfront import armholes, body, edging
from engine.designs.openfront.counts import body_counts
from engine.designs.openfront.garment import Garment
from engine.designs.openfront.measures import BODY_MEASURES, body_defaults
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

_EDGING_ROWS = 3  # common practice, no source

INFO = DesignInfo(
    name="vest",
    title="Vest",
    blurb="Open at the front, without sleeves: a band round each armhole, one edging around it "
    "all.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=tuple(BODY_SIZES),
    measures=BODY_MEASURES,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm for a women's size; the armhole is deeper, to go over a sleeve."""
    of = BODY_SIZES[size]
    return body_defaults(
        of,
        ease=EASE_CM["classic"],
        below_waist=8,
        underarm=6.0 if of.bust < 122 else 8.0,  # 8 from 2X
        deeper=4,
    )


def build(plan: Plan) -> RowScript:
    """The vest's script. Raises Refusal where no sound one exists."""
    g = Garment.of(plan, body_counts(plan, _EDGING_ROWS))
    body.work_body(g)
    for which in ("right", "left"):
        armholes.work_band(g, which)
    edging.work_edging(g)
    edging.work_hem_and_ring(g)
    return g.b.finish(
        level=[body.LEVEL, armholes.BANDS],
        mirrored=[body.MIRRORED],
        finished_cm=g.finished_cm()
        | {"armhole around": g.n.around_armhole / plan.gauge.loops_per_cm},
    )


DESIGN = Design(INFO, defaults, build, usual="M")
