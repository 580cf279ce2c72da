"""The front-opening cardigan, worked in one piece to the armholes (see `openfront`)."""

from engine.craft.sizes import BODY_SIZES, EASE_CM
from engine.designs.design import Design
from engine.designs.openfront import armholes, body, edging
from engine.designs.openfront.counts import body_counts, sleeve_counts
from engine.designs.openfront.garment import Garment
from engine.designs.openfront.measures import (
    BODY_MEASURES,
    SLEEVE_MEASURES,
    body_defaults,
    sleeve_defaults,
)
from models.plan import DesignInfo, Plan
from models.script import Craft, RowScript

_EDGING_ROWS = 3  # common practice, no source

INFO = DesignInfo(
    name="cardigan",
    title="Cardigan",
    blurb="Open at the front, in one piece to the armholes, sleeves in the round, one edging "
    "around it all.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=tuple(BODY_SIZES),
    measures=BODY_MEASURES + SLEEVE_MEASURES,
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm for a women's size; see `body_defaults` for what is practice."""
    of = BODY_SIZES[size]
    return body_defaults(
        of,
        ease=EASE_CM["classic"],
        below_waist=10,
        underarm=6.0 if of.bust < 122 else 8.0,  # 8 from 2X
        deeper=3,
    ) | sleeve_defaults(of)


def work(plan: Plan, edging_rows: int, caution: str = "") -> RowScript:
    """A cardigan's script. Raises Refusal where no sound one exists."""
    n = body_counts(plan, edging_rows)
    s = sleeve_counts(plan, n)
    g = Garment.of(plan, n)
    body.work_body(g)
    for which in ("right", "left"):
        armholes.work_sleeve(g, which, s)
    edging.work_edging(g)
    edging.work_hem_and_ring(g, caution)
    return g.b.finish(
        level=[body.LEVEL, armholes.SLEEVES],
        mirrored=[body.MIRRORED],
        finished_cm=g.finished_cm() | armholes.sleeve_finished_cm(g, s),
    )


def build(plan: Plan) -> RowScript:
    """The cardigan's script. Raises Refusal where no sound one exists."""
    return work(plan, _EDGING_ROWS)


DESIGN = Design(INFO, defaults, build, usual="M")
