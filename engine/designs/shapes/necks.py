"""A front whose neck is shaped, shoulders chained to the back, and what is picked up there."""

from dataclasses import dataclass

from engine.craft.pickup import edge_words, straight_loops
from engine.designs.design import handed
from engine.designs.fabric import LOWEST, bind_off, look, rounds_begin, smooth, way
from engine.designs.shapes.closing import PULL
from engine.designs.shapes.cover import Cover, cover_for
from engine.designs.shapes.parts import taper
from engine.designs.shapes.rows import a_round, flat_row, lay_aside, lean
from engine.designs.shapes.sleeves import as_long
from engine.script.builder import ScriptBuilder, op
from engine.script.edges import side_words
from engine.script.wording import loop_word
from models.script import Craft, Direction, Kind

_BAND = 2
"""Rounds of the neckband (common practice, no source)."""
SIDES = ("right side of the neck", "left side of the neck")
"""As worn: the right one lies at the left as seen, and is worked first."""


@dataclass(frozen=True)
class Neck:
    """Front and back above the underarms, in loops and rows."""

    back: int
    under: int
    rows: int
    """Of the back, from underarm to shoulder."""
    before: int
    """Of the front, up to the row that parts the neck; an odd number."""
    neck: int
    narrowed: int
    """Loops lost at the neck's edge on either side."""

    @property
    def shoulder(self) -> int:
        """Loops of a shoulder."""
        return (self.back - self.neck) // 2

    @property
    def side(self) -> int:
        """Rows of either side of the neck."""
        return self.rows - self.before


def front_with_neck(b: ScriptBuilder, n: Neck, cover: Cover) -> None:
    """The front up to its neck, whose middle is bound off, and both sides one after the other."""
    wide = n.shoulder + n.narrowed
    begins = {SIDES[0]: cover.right + n.back - wide, SIDES[1]: cover.right}
    covers = {part: cover.over(at, wide, cover.after + n.before) for part, at in begins.items()}
    for row in range(1, n.before + 1):
        on = [op("resume", n.back, "front"), op("join")] if row == 1 else []
        stitch = smooth(b.plan.craft, way(b.plan.craft, row))
        middle = n.back - 2 * wide
        worked = [op(stitch, n.back)]
        if row == n.before:
            worked = [op(stitch, wide), op("bo", middle), op(stitch, wide)]
        flat_row(b, "front", row, *on, *worked, rows=n.before, cover=cover)
        look(b, "front", row, n.before)
    for part in SIDES:
        first = part == SIDES[0]
        for row in range(1, n.side + 1):
            begin = []
            if row == 1 and first:
                begin = [op("rest", wide, SIDES[1])]
            elif row == 1:
                begin = [op("resume", wide, part), op("join")]
            live = wide if row == 1 else b.live
            clock = n.before + row
            stitch = smooth(b.plan.craft, way(b.plan.craft, clock))
            worked = [op(stitch, live)]
            if row % 2 == 0 and row <= 2 * n.narrowed:
                narrow = op(lean(b.plan.craft, left=first))
                worked = [narrow, op(stitch, live - 2)]
                worked = worked if first else worked[::-1]
            over = covers[part]
            flat_row(b, part, row, *begin, *worked, rows=n.side, clock=clock, cover=over)
        b.step(part, Kind.MARKER, op("tail"), op("rest", n.shoulder, f"{part}, shoulder"))


def join_shoulders(b: ScriptBuilder, n: Neck) -> None:
    """Both shoulders chained to the back; the back's neck loops wait."""
    needles, s = b.plan.craft is Craft.NEEDLES, n.shoulder
    # A chain of loops takes no yarn; its last loop is fastened either way.
    chain = [op("seam", 2 * s - 1), op("fasten")]
    if needles:
        whole = [op("3nbo", s - 1)] if s > 1 else []
        chain = [*whole, op("k2tog"), op("fasten"), op("tail")]
    for part in SIDES:
        join = [op("join")] if needles else []
        b.step(
            "shoulders",
            Kind.SEAM,
            op("pair", n.shoulder, f"{part}, shoulder|back"),
            *join,
            *chain,
            note=f"Right sides together, from the armhole to the neck. {PULL[b.plan.craft]}",
        )
        if part == SIDES[0]:
            b.step("shoulders", Kind.MARKER, op("resume", n.neck, "back"))
            b.step("shoulders", Kind.MARKER, op("rest", n.neck, "back neck"))


def neckband(b: ScriptBuilder, n: Neck) -> None:
    """Over the back's waiting loops, down one side, across the front, up the other."""
    part, down = "neckband", straight_loops(n.side, b.plan.gauge)
    middle = n.back - 2 * (n.shoulder + n.narrowed)
    b.step(
        part,
        Kind.PICK_UP,
        op("join"),
        op("resume", n.neck, "back neck"),
        op("pick up", down, side_words(SIDES[1], "left")),
        op("pick up", middle, "the bound-off edge of the front"),
        op("pick up", down, side_words(SIDES[0], "right")),
        direction=Direction.AROUND,
        note=f"Turn the right side out. {_begins(b, 'at the right shoulder')}: the back's "
        f"{loop_word(b.plan.craft)}, down one side {edge_words(down, n.side)}; one for one across "
        f"the front; up the other side the same in reverse, {_drawn(b)}",
    )
    rounds_begin(b, part, "the shoulder")
    for row in range(1, _BAND + 1):
        a_round(b, part, row, op("p" if row % 2 else "k", b.live), rows=_BAND)
    bind_off(b, part, note="Bind off loosely, so that it goes over the head", marker="the shoulder")
    b.step(part, Kind.FIT_CHECK, note="Try it on: it goes over the head, the shoulders lie flat")


def _begins(b: ScriptBuilder, where: str) -> str:
    """Where a ring that is picked up begins, and the way it goes."""
    hand = b.plan.hand
    way_on = f"from {handed(hand, 'right')} to {handed(hand, 'left')}"
    return f"Begin {handed(hand, where)}, the right side towards you, and go {way_on}"


def _drawn(b: ScriptBuilder) -> str:
    return f"each {loop_word(b.plan.craft, 1)} drawn through one strand of the edge"


def _underarm_halves(side: str, loops: int) -> dict[str, int]:
    """Where the loops under an arm wait, and how many at each place.

    In the order of the sleeve's rounds: the half after its beginning, then the one before it.
    """
    front, back = f"{side} underarm, front half", f"{side} underarm, back half"
    first, last = (front, back) if side == "left" else (back, front)
    return {first: loops - loops // 2, last: loops // 2}


def part_at_armholes(b: ScriptBuilder, n: Neck) -> None:
    """The front of a tube and what lies under the arms wait; the back stays in work."""
    # From the far end on: the back half of the right underarm lies beside the back.
    right, left = _underarm_halves("right", n.under), _underarm_halves("left", n.under)
    lay_aside(b, "body", {**right, "front": n.back, **left})


def armhole_sleeve(
    b: ScriptBuilder, part: str, n: Neck, *, side: int, rounds: int, changes: dict[int, int]
) -> None:
    """A sleeve around an armhole, from the middle of the underarm: up one edge, down the other."""
    left = part.startswith("left")
    first, last = _underarm_halves("left" if left else "right", n.under)
    front, back = ("right", "left") if left else ("left", "right")
    shoulder = SIDES[1] if left else SIDES[0]
    # Neither of the two stretches of its front is left out, however few loops there are.
    upper = min(max(round(side * n.side / n.rows), 1), side - 1)
    of_front = [
        op("pick up", side - upper, side_words("front", front)),
        op("pick up", upper, side_words(shoulder, front)),
    ]
    of_back = [op("pick up", side, side_words("back", back))]
    picked = of_front + of_back if left else of_back + of_front[::-1]
    front_told = [edge_words(side - upper, n.before), edge_words(upper, n.side)]
    back_told = edge_words(side, n.rows)
    if left:
        told = f"up the front {front_told[0]}; on to the shoulder {front_told[1]}"
        told += f"; down the back {back_told}"
    else:
        told = f"up the back {back_told}; down the front {front_told[1]}"
        told += f"; on to the underarm {front_told[0]}"
    b.step(
        part,
        Kind.PICK_UP,
        op("join"),
        op("resume", n.under - n.under // 2, first),
        *picked,
        op("resume", n.under // 2, last),
        direction=Direction.AROUND,
        note=f"{_begins(b, 'at the lowest point, the middle of the underarm')}: the first half of "
        f"its {loop_word(b.plan.craft)}; {told}; then the second half, {_drawn(b)}",
    )
    rounds_begin(b, part, LOWEST)
    over = cover_for(b.plan, b.live, rounds=True, part="sleeve")
    taper(b, part, rounds, changes, open_end=left, cover=over)
    if not left:
        as_long(b, part, rounds)
