"""A cowl: a tube in the round, with an edge at either end that does not curl."""

from engine.base.refusal import Refusal
from engine.designs.design import Design, scaled, spec, told_of
from engine.designs.fabric import JOIN, bind_off, finish, foundation
from engine.designs.shapes import cover_for, ridges, tube
from engine.script.builder import ScriptBuilder
from engine.script.wording import counted
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

_EDGE_ROUNDS = 2  # common practice, no source
EDGES = ("lower edge", "upper edge")

INFO = DesignInfo(
    name="cowl",
    title="Cowl",
    blurb="A tube in the round for the neck: an edge, the cowl to the height you like, an edge.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=(),
    measures=(
        spec("around", "Around", "It must slip over the head: measure that, and add.", 30, 200),
        spec("height", "Height", "From edge to edge; the tape decides it as you work.", 6, 100),
    ),
    stitches=True,
)


def defaults(_size: str) -> dict[str, float]:
    """A cowl that slips over a grown-up's head (common practice, no source)."""
    return {"around": 64.0, "height": 28.0}


def build(plan: Plan) -> RowScript:
    """The script of a cowl. Raises Refusal for one too narrow to close, or too low."""
    cm, gauge, craft = scaled(plan), plan.gauge, plan.craft
    loops = plan.count("foundation") or round(cm["around"] * gauge.loops_per_cm)
    if loops < 3:
        raise Refusal(
            f"{cm['around']:g} cm around is only {counted(loops, craft)} at this gauge: "
            "make the cowl wider around."
        )
    edge = max(1, plan.row_counts.get("lower edge", _EDGE_ROUNDS))
    between = cm["height"] - 2 * edge / gauge.rows_per_cm
    rounds = plan.row_counts.get("cowl", round(between * gauge.rows_per_cm))
    if rounds < 1:
        raise Refusal(
            f"A height of {cm['height']:g} cm is no more than its two edges of {edge} rounds at "
            "this gauge: make the cowl higher."
        )
    b = ScriptBuilder(plan)
    foundation(b, "lower edge", loops, in_the_round=True)
    ridges(b, "lower edge", edge, around=True)
    tube(b, "cowl", rounds, open_end=True, cover=cover_for(plan, loops, rounds=True))
    b.step(
        "cowl",
        Kind.MEASURE,
        target_cm=round(between, 1),
        note=f"Measure from the end of the lower edge to the loops in work: {between:.1f} "
        "cm is wanted before the upper edge",
    )
    b.back_check("cowl", "before the upper edge")
    b.step("cowl", Kind.FIT_CHECK, note="Slip it over the head: it should go over with room")
    ridges(b, "upper edge", edge, around=True)
    bind_off(
        b, "upper edge", note="Bind off loosely, so that it still goes over the head", marker=JOIN
    )
    finish(b, "upper edge")
    wide, high = loops / gauge.loops_per_cm, (rounds + 2 * edge) / gauge.rows_per_cm
    return b.finish(
        level=[EDGES],
        finished_cm={"around": wide, "height": high},
    )


_TOLD = told_of(across={"around": lambda cm: cm["around"]}, up={"height": lambda cm: cm["height"]})
DESIGN = Design(INFO, defaults, build, told=_TOLD)
