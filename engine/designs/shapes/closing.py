"""How a piece ends: crowns and tips, chains and grafts."""

from collections.abc import Sequence

from engine.craft.spacing import gaps
from engine.designs.shapes.rows import a_round, lean, taken_out
from engine.script.builder import ScriptBuilder, op
from models.script import Craft, Direction, Kind, Operation

PULL = {
    Craft.LOOP: "Chain a front loop, a back loop, each through the one before",
    Craft.NEEDLES: "Knit a front and a back stitch as one, binding off as you go",
}
"""How two halves are chained together."""
SEWN = (
    "To begin go through the first in front as if to purl and the first behind as if to knit, and "
    "leave both on. Then in front through one as if to knit, off with it, and through the next as "
    "if to purl; behind through one as if to purl, off with it, and through the next as if to knit"
)
"""How two halves are grafted (common practice, no source)."""
THREADED = "Leave it four times as long as the seam, and thread it: the seam is sewn with it"
"""The yarn is cut before it can be threaded (common practice, no source)."""

SIDES_TOLD = "At either side two stitches stay between the decreases"


def spread(b: ScriptBuilder, lost: int) -> list[Operation]:
    """A round over all live loops with `lost` decreases, evenly."""
    decrease = lean(b.plan.craft, left=False)
    plain = gaps(b.live - 2 * lost, lost)
    return [o for before in plain for o in (op("k", before), op(decrease))]


def crown(b: ScriptBuilder, part: str, losses: Sequence[int]) -> None:
    """Rounds that lose so many loops each, evenly; 0 is a plain one."""
    b.regular.append(part)
    for row, lost in enumerate(losses, 1):
        worked = spread(b, lost) if lost else [op("k", b.live)]
        a_round(b, part, row, *worked, rows=len(losses))


def draw_together(b: ScriptBuilder, part: str) -> None:
    """Cut the yarn and draw it through all that is live."""
    b.step(
        part,
        Kind.BIND_OFF,
        *taken_out(b),
        op("tail"),
        op("fasten", b.live),
        note="Pull it tight, the tail through all of them, and fasten on the wrong side",
    )


def tip_losses(loops: int) -> tuple[int, ...]:
    """Loops lost in each round of a toe or a tip: four in every other round down to half, then four
    in every round down to a quarter (common practice, no source)."""
    found: list[int] = []
    live = loops
    while live - 4 >= max(8, loops // 4):
        found.append(4)
        live -= 4
        if live > loops / 2:
            found.append(0)
    return tuple(found)


def tip(b: ScriptBuilder, part: str, losses: Sequence[int]) -> None:
    """A toe or a tip of a ring that begins in the middle of its lower half: narrowed at both
    sides, then grafted."""
    b.regular.append(part)
    for row, lost in enumerate(losses, 1):
        upper, first = b.live // 2, b.live // 4
        last = b.live - upper - first
        worked = [op("k", b.live)]
        if lost:
            worked = [op("k", first - 3), op("k2tog"), op("k", 2), op("ssk"), op("k", upper - 6)]
            worked += [op("k2tog"), op("k", 2), op("ssk"), op("k", last - 3)]
        note = SIDES_TOLD if row == 1 else ""
        a_round(b, part, row, *worked, rows=len(losses), note=note)
    b.back_check(part, "before it is closed")
    graft(b, part)


def graft(b: ScriptBuilder, part: str) -> None:
    """Close a ring whose rounds begin in the middle of its lower half: sewn from loop to loop, so
    that no seam shows."""
    first, top = b.live // 4, b.live // 2
    last = b.live - top - first
    upper, lower = f"upper half of the {part}", f"lower half of the {part}"
    said = "The rounds begin in the middle of the lower half: these lie between there and the side"
    # Seen from the left the far end is where the rounds begin.
    back = Direction.LEFT_TO_RIGHT
    b.step(part, Kind.MARKER, *taken_out(b), op("rest", first, lower), direction=back, note=said)
    beside = "These come last in the round and lie beside those: the lower half is on one needle"
    b.step(part, Kind.MARKER, op("rest", last, lower), note=beside)
    b.step(part, Kind.MARKER, op("tail"), note=THREADED)
    b.step(
        part,
        Kind.SEAM,
        op("rest", top, upper),
        op("pair", top, f"{upper}|{lower}"),
        op("graft", top),
        note=f"Wrong sides together. {SEWN}",
    )


def close_flat(
    b: ScriptBuilder, part: str, loops: int, front: str, back: str, *, note: str
) -> None:
    """Close all that is live, 2 x `loops`, by a chain: the first half is laid on the second."""
    needles = b.plan.craft is Craft.NEEDLES
    b.step(
        part,
        Kind.SEAM,
        *taken_out(b),
        op("rest", loops, back),
        op("rest", loops, front),
        op("pair", loops, f"{front}|{back}"),
        *([op("3nbo", loops - 1), op("k2tog")] if needles else [op("seam", 2 * loops - 1)]),
        note=note,
    )
    b.step(part, Kind.BIND_OFF, op("fasten"), op("tail"))


def close_foundation(
    b: ScriptBuilder, part: str, of: str, loops: int, *, note: str, first: str = ""
) -> None:
    """Close the foundation of a tube of 2 x `loops`: picked up around, and chained together.

    `first` is what is done with the tube before, a sentence.
    """
    b.step(
        part,
        Kind.PICK_UP,
        op("join"),
        op("pick up", 2 * loops, f"the foundation of the {of}"),
        direction=Direction.AROUND,
        note=f"{first}One for one along the foundation, beginning at the tail, the right side "
        "towards you",
    )
    close_flat(b, part, loops, f"lower front of the {of}", f"lower back of the {of}", note=note)


def graft_pair(b: ScriptBuilder, part: str, loops: int, one: str, other: str) -> None:
    """Graft so many loops that wait under one name to as many under another."""
    b.step(part, Kind.MARKER, op("join"), op("tail"), note=THREADED)
    b.step(
        part,
        Kind.SEAM,
        op("pair", loops, f"{one}|{other}"),
        op("graft", loops),
        note=f"{SEWN}. Close the corners with the ends",
    )
