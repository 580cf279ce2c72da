"""What is worked round an armhole: a sleeve, or the narrow band of a garment without sleeves.

Rounds begin in the middle of the underarm, the armhole's lowest point. Seen from outside, with
the right side towards her, a right-handed maker comes up the back of the right armhole and down its
front, and up the front of the left one; a left-handed maker does it mirrored.

Where a chained shoulder ends at the second armhole one loop is left over. It rests while the first
one is worked; when the second is picked up it comes between its two sides, and in the first round
it becomes one with its neighbour there, so that both armholes count the same.
"""

from engine.craft.pickup import edge_words
from engine.designs.design import decided
from engine.designs.fabric import LOWEST, bind_off, look
from engine.designs.openfront.border import edge_round
from engine.designs.openfront.garment import Garment
from engine.designs.shapes import a_round, cover_for
from engine.script.builder import op
from engine.script.wording import loop_word
from models.script import Direction, Kind, Operation

SLEEVES = ("right sleeve", "left sleeve")
CUFFS = ("right cuff", "left cuff")
BANDS = ("right armband", "left armband")
BAND_ROUNDS = 2  # common practice, no source


def _halves(g: Garment) -> tuple[int, int]:
    """The underarm's loops before and after its middle."""
    return (g.across.strip + 1) // 2, g.across.strip // 2


def _pick_up(g: Garment, part: str, told: str) -> None:
    n, b = g.n, g.b
    first, rest = _halves(g)
    hole = f"the {g.named(f'{told} armhole')}"
    up, down = ("back", "front") if told == "right" else ("front", "back")
    resting = [op("resume", 1, g.shoulder_loop)] if told == "left" and not g.needles else []
    away = [op("rest", 1, g.shoulder_loop)] if told == "right" and not g.needles else []
    extra = ""
    if resting:
        extra = "; at the shoulder the loop that rests there comes in between"
    b.step(
        part,
        Kind.PICK_UP,
        *away,
        op("join"),
        op("pick up", first, f"{hole}, underarm"),
        op("pick up", n.side, f"{hole}, {up}"),
        *resting,
        op("pick up", n.side, f"{hole}, {down}"),
        op("pick up", rest, f"{hole}, underarm"),
        direction=Direction.AROUND,
        note=f"Begin at the lowest point, the middle of the underarm, and go from "
        f"{g.named('right')} to {g.named('left')}, drawing each {loop_word(g.craft, 1)} through "
        f"one strand of the edge: along the underarm one for one; up the {up}, "
        f"{edge_words(n.side, n.armhole_rows)}{extra}; down the {down} the same in reverse",
    )
    b.step(
        part,
        Kind.MARKER,
        op("pm", 1, LOWEST),
        note=f"Every round begins here and goes from {g.named('right')} to {g.named('left')}, the "
        "right side towards you",
    )


def _round_1_with_shoulder(g: Garment) -> list[Operation]:
    """The loop that rested at the shoulder comes after the underarm's half and one side."""
    first, rest = _halves(g)
    return [op("k", first + g.n.side), op("dec", 1, g.shoulder_loop), op("k", g.n.side - 1 + rest)]


def _shaped(g: Garment, live: int, lost: int) -> list[Operation]:
    """A round that loses one loop after the marker, or one on either side of it."""
    before, after = g.lean(left=True), g.lean(left=False)
    if lost == 0:
        return [op("k", live)]
    if lost == 1:
        return [after, op("k", live - 2)]
    if g.needles and live >= 8:  # a stitch between the decreases and the marker, for the look
        return [op("k", 1), after, op("k", live - 6), before, op("k", 1)]
    return [after, op("k", live - 4), before]


def work_sleeve(g: Garment, told: str) -> None:
    """One sleeve, to a measured length; the second one is as long as the first."""
    n, b, part, s = g.n, g.b, g.named(f"{told} sleeve"), g.sleeve
    first = told == "right"
    _pick_up(g, part, told)
    live, new = n.around_armhole, set() if g.needles else {1, 2}
    cover = cover_for(g.plan, live, rounds=True, part="sleeve")
    for row, lost in enumerate(s.losses, 1):
        note = ""
        if row == 1 and not first and not g.needles:
            operations = _round_1_with_shoulder(g)
            note = "At the shoulder work the loop that rested there together with its neighbour"
        else:
            operations = _shaped(g, live, lost)
        if lost in new:
            note = _stacked(lost, first=len(new) == 2)
            new.discard(lost)
        live -= lost
        shown = None if first else s.rounds
        a_round(b, part, row, *operations, rows=shown, planned=s.rounds, cover=cover, note=note)
        look(b, part, row, s.rounds)
    _measured(g, part, first=first)
    b.back_check(part, "before the cuff" if s.cuff_rounds else "before the cuff is bound off")
    if live % 2 == 0:
        b.regular.append(g.named(f"{told} cuff"))
    for row in range(1, s.cuff_rounds + 1):
        b.step(
            g.named(f"{told} cuff"),
            Kind.ROUND,
            *edge_round(g, row, live),
            row=row,
            rows=s.cuff_rounds,
            direction=Direction.AROUND,
        )
    last = g.named(f"{told} cuff") if s.cuff_rounds else part
    bind_off(b, last, "Bind off loosely, so that the hand goes through", marker=LOWEST)


def _stacked(lost: int, *, first: bool) -> str:
    """Which loop lies on which, where a sleeve first decreases so."""
    before = "the last loop before the marker on the one before it"
    if lost == 1 or first:
        said = "Lay the first loop after the marker on its neighbour and pull one loop through both"
        return f"{said}; the same with {before}" if lost > 1 else said
    return f"Decrease on both sides of the marker: now also lay {before}"


def _measured(g: Garment, part: str, *, first: bool) -> None:
    b, s = g.b, g.sleeve
    word = loop_word(g.craft)
    cuff = f" before the cuff of {s.cuff_rounds} rounds" if s.cuff_rounds else ""
    if first:
        wanted = round(s.length_cm, 1)
        b.step(
            part,
            Kind.MEASURE,
            target_cm=max(0.1, wanted),
            note=f"Measure from the pick-up to the {word} in work: {wanted:g} cm is wanted{cuff}",
        )
    else:
        length = s.rounds / g.plan.gauge.rows_per_cm
        b.step(
            part,
            Kind.FIT_CHECK,
            note=f"Lay both sleeves together and measure them: the same {s.rounds} rounds, about "
            f"{length:.0f} cm",
        )


def band_rounds(g: Garment) -> int:
    """Rounds of an armhole's band, decided or usual."""
    return max(1, decided(g.plan, BANDS[0]) or BAND_ROUNDS)


def work_band(g: Garment, told: str) -> None:
    """The band of one armhole. Its last round is purled on needles, so that it does not curl."""
    n, b, part, rounds = g.n, g.b, g.named(f"{told} armband"), band_rounds(g)
    _pick_up(g, part, told)
    for row in range(1, rounds + 1):
        note = ""
        operations = [op("p" if g.needles and row % 2 == 0 else "k", n.around_armhole)]
        if row == 1 and told == "left" and not g.needles:
            operations = _round_1_with_shoulder(g)
            note = "At the shoulder work the loop that rested there together with its neighbour"
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
    bind_off(b, part, "Bind off loosely, so that the armhole does not pull", marker=LOWEST)
    b.step(part, Kind.FIT_CHECK, note="Try it on: the armhole lies flat and does not pinch")
