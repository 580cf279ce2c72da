"""Sleeves: grown from the cuff up, or picked up at an armhole and narrowed to the cuff."""

from engine.base.plural import some
from engine.craft.spacing import over_rows
from engine.designs.fabric import LOWEST, bind_off, look, rounds_begin
from engine.designs.shapes.cover import Cover
from engine.designs.shapes.parts import measured, ribbing, taper
from engine.designs.shapes.rows import a_round
from engine.script.builder import ScriptBuilder, op
from models.script import Kind


def grow(
    b: ScriptBuilder,
    part: str,
    rounds: int,
    gaps: tuple[int, ...],
    *,
    open_end: bool = False,
    cover: Cover | None = None,
) -> None:
    """Rounds that grow by two at their beginning, `gaps` rounds from one growth to the next."""
    due = {sum(gaps[: i + 1]) for i in range(len(gaps))}
    for row in range(1, rounds + 1):
        grown = row in due
        worked = [op("k"), op("m1l", grown), op("k", b.live - 2), op("m1r", grown), op("k")]
        shown = None if open_end else rounds
        a_round(b, part, row, *worked, rows=shown, planned=rounds, cover=cover)
        look(b, part, row, rounds)


def narrowing(rounds: int, loops: int) -> dict[int, int]:
    """So many loops lost, by the round: in pairs, evenly spread, never in the first.

    Where there are more pairs than rounds several go in one. An odd loop goes in the second.
    """
    pairs = loops // 2
    slots = rounds - 1
    at_once = -(-pairs // slots) if pairs else 1
    found: dict[int, int] = {}
    due, left = 1, pairs
    for gap in over_rows(slots, -(-pairs // at_once)) if pairs else ():
        due += gap
        found[due] = 2 * min(at_once, left)
        left -= at_once
    if loops % 2:
        found[2] = found.get(2, 0) + 1
    return found


def picked_up_sleeve(
    b: ScriptBuilder,
    part: str,
    *,
    loops: int,
    under: int,
    rounds: int,
    changes: dict[int, int],
    length: float,
    cover: Cover | None = None,
) -> None:
    """A sleeve of `loops` that wait under its name and `under` picked up along the body's gap.

    Narrowed by `changes`, loops by the round; `length` in cm. The right one is as long as the left.
    """
    first = part.startswith("left")
    b.step(part, Kind.MARKER, op("resume", loops, part), note="Put them back on the needles")
    a_round(
        b,
        part,
        1,
        op("join"),
        op("pick up", under - under // 2, "the foundation of the body"),
        op("k", loops),
        op("pick up", under // 2, "the foundation of the body"),
        rows=None if first else rounds,
        planned=rounds,
        cover=cover,
        note="Begin at the lowest point, the middle of the underarm, and pick up one for each "
        "stitch laid on there",
    )
    rounds_begin(b, part, LOWEST)
    taper(b, part, rounds, changes, open_end=first, first=2, cover=cover)
    if first:
        measured(b, part, length, "Measure from the underarm")
    else:
        as_long(b, part, rounds)


def as_long(b: ScriptBuilder, part: str, rounds: int, rib: int = 0) -> None:
    """The second sleeve beside the first; `rib`: rounds of a cuff below, which are measured too."""
    cm = (rounds + rib) / b.plan.gauge.rows_per_cm
    said = f"the same {some(rounds, 'round')}, about {cm:.0f} cm{' with the cuff' * (rib > 0)}"
    b.step(part, Kind.FIT_CHECK, note=f"Lay both sleeves together and measure them: {said}")


def ribbed_cuff(b: ScriptBuilder, part: str, rounds: int) -> None:
    """The ribbing at the end of a sleeve whose rounds begin at the lowest point."""
    ribbing(b, f"{part} cuff", rounds)
    bind_off(b, f"{part} cuff", note="Bind off loosely, so that the hand passes", marker=LOWEST)
