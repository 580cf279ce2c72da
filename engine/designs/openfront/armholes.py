"""What is worked round an armhole: a sleeve, or the narrow band of a garment without sleeves.

Where a chained shoulder ends at the left armhole one loop is left over. It rests while the right
armhole is worked, lies between the two sides when the left one is picked up, and becomes one with
its neighbour in the first round, so that both armholes count the same.
"""

from engine.designs.fabric import bind_off, look
from engine.designs.openfront.counts import SleeveCounts
from engine.designs.openfront.garment import SPARE, Garment, per
from engine.script.builder import op
from models.script import Direction, Kind, Operation

SLEEVES = ("right sleeve", "left sleeve")
BANDS = ("right armband", "left armband")
BAND_ROUNDS = 2  # common practice, no source


def _pick_up(g: Garment, part: str, which: str) -> None:
    n, b, where = g.n, g.b, f"the {which} armhole"
    first, last = ("back", "front") if which == "right" else ("front", "back")
    away = [op("rest", 1, SPARE)] if which == "right" and not g.needles else []
    spare = [op("resume", 1, SPARE)] if which == "left" and not g.needles else []
    extra = "; between the two lies the spare loop of the shoulder" if spare else ""
    b.step(
        part,
        Kind.PICK_UP,
        *away,
        op("join"),
        op("pick up", n.bound_off - 1, f"{where}, underarm"),
        op("pick up", n.side, f"{where}, {first}"),
        *spare,
        op("pick up", n.side, f"{where}, {last}"),
        direction=Direction.AROUND,
        note=f"Through one strand of the edge, from the lowest point: {n.bound_off - 1} along "
        f"the underarm, then {first} and {last} alike, {per(n.side, n.armhole_rows)}{extra}",
    )
    b.step(part, Kind.MARKER, op("pm", 1, "the lowest point"), note="Every round begins here")


def _round_1_with_spare(g: Garment) -> list[Operation]:
    """The spare loop comes after the underarm and one side."""
    before = g.n.bound_off - 1 + g.n.side
    return [op("k", before), op("dec", 1, SPARE), op("k", g.n.side - 1)]


def work_sleeve(g: Garment, which: str, s: SleeveCounts) -> None:
    """One sleeve, to a measured length; the left one is as long as the right."""
    n, b, part = g.n, g.b, f"{which} sleeve"
    right = which == "right"
    _pick_up(g, part, which)
    live = n.around_armhole
    for row in range(1, s.rounds + 1):
        decrease = row % 2 == 0 and row // 2 <= s.decreases
        note = ""
        if row == 1 and not right and not g.needles:
            operations = _round_1_with_spare(g)
            note = "Work the spare loop together with its neighbour"
        elif decrease:
            operations = [g.lean(left=False), op("k", live - 2)]
        else:
            operations = [op("k", live)]
        live -= decrease
        b.step(
            part,
            Kind.ROUND,
            *operations,
            row=row,
            rows=None if right else s.rounds,
            planned=s.rounds,
            direction=Direction.AROUND,
            note=note,
        )
        look(b, part, row, s.rounds)
    if right:
        wanted = round(s.length_cm, 1)
        b.step(
            part,
            Kind.MEASURE,
            target_cm=wanted,
            note=f"Measure from the pick-up to the live {'stitches' if g.needles else 'loops'}: "
            f"{wanted:g} cm is wanted",
        )
    else:
        length = s.rounds / g.plan.gauge.rows_per_cm
        b.step(
            part,
            Kind.FIT_CHECK,
            note=f"Lay both sleeves together: the same {s.rounds} rounds, about {length:.0f} cm",
        )
    b.back_check(part, "before the cuff is bound off")
    bind_off(b, part)


def band_rounds(g: Garment) -> int:
    """Rounds of an armhole's band, decided or usual."""
    return max(1, g.plan.rows.get(BANDS[0], BAND_ROUNDS))


def work_band(g: Garment, which: str) -> None:
    """The band of one armhole. On needles its last round is purled, so that it does not curl."""
    n, b, part, rounds = g.n, g.b, f"{which} armband", band_rounds(g)
    _pick_up(g, part, which)
    for row in range(1, rounds + 1):
        note = ""
        operations = [op("p" if g.needles and row % 2 == 0 else "k", n.around_armhole)]
        if row == 1 and which == "left" and not g.needles:
            operations = _round_1_with_spare(g)
            note = "Work the spare loop together with its neighbour"
        b.step(
            part,
            Kind.ROUND,
            *operations,
            row=row,
            rows=rounds,
            direction=Direction.AROUND,
            note=note,
        )
    b.back_check(part, "before the band is bound off")
    bind_off(b, part, note="Loosely, so that the armhole does not pull")
    b.step(part, Kind.FIT_CHECK, note="Try it on: the armhole lies flat and does not pinch")


def sleeve_finished_cm(g: Garment, s: SleeveCounts) -> dict[str, float]:
    """What the counts of a sleeve come to, in cm."""
    gauge, around = g.plan.gauge, g.n.around_armhole
    return {
        "sleeve length": s.rounds / gauge.rows_per_cm,
        "upper sleeve": around / gauge.loops_per_cm,
        "cuff": (around - s.decreases) / gauge.loops_per_cm,
    }
