"""A cap in the round, from the brim up, closed by crown decreases.

A flat circle grows by 2π times its radius, so a round that lies 1/R further in has 2π·L/R loops
fewer (plane geometry; L and R are loops and rows per cm). A crown that loses as many lies flat on
the head. Where that is too few to divide by, decreasing and plain rounds take turns and each
decreasing round loses twice as many. The first decreasing round takes off what is left over, so
that the others divide evenly.
"""

import math
from dataclasses import dataclass

from engine.base.refusal import Refusal
from engine.craft.sizes import HEAD_CM
from engine.designs.design import Design, even, scaled, spec, told_of
from engine.designs.fabric import finish, foundation
from engine.designs.shapes import crown, draw_together, ribbing, tube
from engine.script.builder import ScriptBuilder
from engine.script.wording import loop_word
from models.plan import DesignInfo, Plan
from models.script import Craft, Kind, RowScript

_FEWEST, _MOST = 5, 10
"""Loops lost in a decreasing round, which are also those left to draw together at the top
(common practice, no source)."""

INFO = DesignInfo(
    name="cap",
    title="Cap",
    blurb="In the round from a ribbed brim up, closed by crown decreases.",
    crafts=(Craft.LOOP, Craft.NEEDLES),
    sizes=tuple(HEAD_CM),
    measures=(
        spec("head", "Head", "Around the head, just above the ears.", 30, 75),
        spec("ease", "Ease", "Wider than the head; less than nothing makes it hold.", -12, 20),
        spec("height", "Height", "From the edge over the crown to its middle.", 10, 45),
        spec("brim", "Brim", "Height of the ribbed brim; 0 for none.", 0, 20),
    ),
)


def defaults(size: str) -> dict[str, float]:
    """Measurements in cm; all but the head are common practice, no source."""
    head = HEAD_CM[size]
    return {"head": head, "ease": -3.0, "height": round(head * 0.42, 1), "brim": 4.0}


@dataclass(frozen=True)
class Counts:
    """The cap in loops and rounds."""

    loops: int
    brim: int
    rounds: int
    spokes: int
    """Decreases in a decreasing round."""
    every: int
    """1 to decrease in every round of the crown, 2 in every other."""
    wanted_cm: float
    """Height of the part between brim and crown."""

    @property
    def crown(self) -> list[int]:
        """Decreases in each round of the crown; 0 for a plain one."""
        first = self.loops % self.spokes
        losses = ([first] if first else []) + [self.spokes] * (self.loops // self.spokes - 1)
        plain = [0] * (self.every - 1)
        return [d for loss in losses for d in (loss, *plain)][
            : len(losses) * self.every - len(plain)
        ]


def counts(plan: Plan) -> Counts:
    """Loops and rounds from centimetres. Raises Refusal, naming the measurement to change."""
    cm, gauge, word = scaled(plan), plan.gauge, loop_word(plan.craft)
    around = cm["head"] + cm["ease"]
    loops = plan.count("foundation") or even(max(0.0, around) * gauge.loops_per_cm)
    flat = 2 * math.pi * gauge.loops_per_row
    every = 1 if flat >= _FEWEST else 2
    spokes = min(_MOST, max(_FEWEST, round(flat * every)))
    if loops < 2 * spokes:
        spokes = _FEWEST
    if loops < 2 * spokes:
        raise Refusal(
            f"A head of {cm['head']:g} cm with {cm['ease']:g} cm of ease is only {loops} {word} "
            "at this gauge, too few for a crown: give a larger head or ease, or work a finer "
            "gauge."
        )
    brim = plan.row_counts.get("brim", round(cm["brim"] * gauge.rows_per_cm))
    shape = Counts(loops, brim, 0, spokes, every, 0.0)
    wanted = cm["height"] - (brim + len(shape.crown)) / gauge.rows_per_cm
    rounds = plan.row_counts.get("cap", round(wanted * gauge.rows_per_cm))
    if rounds < 1:
        raise Refusal(
            f"A height of {cm['height']:g} cm is taken up by the brim ({brim} rounds) and the "
            f"crown ({len(shape.crown)} rounds): make the cap higher or the brim narrower."
        )
    return Counts(loops, brim, rounds, spokes, every, wanted)


def build(plan: Plan) -> RowScript:
    """The cap's script. Raises Refusal where no sound one exists."""
    n, gauge = counts(plan), plan.gauge
    b = ScriptBuilder(plan)
    foundation(b, "brim" if n.brim else "cap", n.loops, in_the_round=True)
    ribbing(b, "brim", n.brim)
    if n.brim:
        b.back_check("brim")
    tube(b, "cap", n.rounds, open_end=True)
    wanted, word = round(n.wanted_cm, 1), loop_word(plan.craft)
    b.step(
        "cap",
        Kind.MEASURE,
        target_cm=max(0.1, wanted),
        note=f"Measure from the {'brim' if n.brim else 'foundation'} to the {word} in work: "
        f"{wanted:g} cm is wanted before the crown",
    )
    b.back_check("cap", "before the crown")
    b.step(
        "cap",
        Kind.FIT_CHECK,
        note="Try it on: it holds without pressing, and the crown still has to be added",
    )
    crown(b, "crown", n.crown)
    b.back_check("crown", "before it is closed")
    draw_together(b, "crown")
    finish(b, "crown")
    loop, row_cm = 1 / gauge.loops_per_cm, 1 / gauge.rows_per_cm
    around, high = n.loops * loop, (n.brim + n.rounds + len(n.crown)) * row_cm
    return b.finish(
        finished_cm={"around": around, "height": high},
    )


_TOLD = told_of(
    across={"around": lambda cm: cm["head"] + cm["ease"]}, up={"height": lambda cm: cm["height"]}
)
DESIGN = Design(INFO, defaults, build, told=_TOLD, usual="M")
