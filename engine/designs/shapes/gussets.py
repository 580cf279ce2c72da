"""Where a tube turns a corner: a heel with its gusset, and the gusset of a thumb."""

from dataclasses import dataclass

from engine.craft.spacing import over_rows
from engine.designs.fabric import look
from engine.designs.shapes.closing import draw_together
from engine.designs.shapes.cover import Cover
from engine.designs.shapes.parts import measured, tube
from engine.designs.shapes.rows import a_round, flat_row, taken_out, together
from engine.script.builder import ScriptBuilder, op
from engine.script.edges import side_words
from models.script import Direction, Kind, Operation


@dataclass(frozen=True)
class Heel:
    """A sock's heel, in stitches and rows, from the stitches around the foot."""

    loops: int

    @property
    def heel(self) -> int:
        """Stitches of the flap, and its rows: a square over half of all."""
        return self.loops // 2

    @property
    def gusset(self) -> int:
        """Picked up on each side: one for each slipped edge, a quarter of all."""
        return self.heel // 2

    @property
    def past(self) -> int:
        """Stitches worked past the middle of the heel before its first turn."""
        return 2 if self.gusset % 2 else 1

    @property
    def beyond(self) -> int:
        """Stitches left beyond the first turn, on each side; two go in every row."""
        return self.gusset - self.past - 3

    @property
    def turned(self) -> int:
        """Stitches of the turned heel."""
        return self.gusset + self.past + 1


_TURN = {
    1: "What lies beyond the turn stays on the needle",
    3: "Of the two that are worked together one lies before the gap that the last turn left here, "
    "and one behind it",
}
"""What there is to say of the rows that turn a heel."""


def work_heel(b: ScriptBuilder, n: Heel) -> None:
    """The flap, its edges slipped, and the short rows that turn it."""
    for row in range(1, n.heel + 1):
        away = [op("rest", n.loops - n.heel, "instep")] if row == 1 else []
        plain = op("k" if row % 2 else "p", n.heel - 1)
        said = "Slip as if to purl, the yarn on the wrong side: the edge becomes a chain"
        note = said if row == 1 else ""
        flat_row(b, "heel flap", row, *away, op("sl"), plain, rows=n.heel, note=note)
    turns = n.beyond + 2
    for row in range(1, turns + 1):
        stitch, narrow = ("k", "ssk") if row % 2 else ("p", "p2tog")
        over = n.gusset + n.past - 1 if row == 1 else 2 * n.past + row - 1
        last = row > turns - 2
        ends = [] if last and n.beyond % 2 else [op(stitch)]
        turn = [] if last else [op("turn")]
        worked = [op("sl"), op(stitch, over), op(narrow), *ends, *turn]
        flat_row(b, "heel turn", row, *worked, rows=turns, note=_TURN.get(row, ""))


def work_gusset(b: ScriptBuilder, n: Heel, rounds: int, cover: Cover) -> None:
    """Picked up beside the flap in its first round, and lost again, a pair every other round.

    The cover lies over the instep alone.
    """
    instep, half = n.loops - n.heel, n.turned // 2
    a_round(
        b,
        "gusset",
        1,
        op("resume", instep, "instep"),
        op("k", n.turned),
        op("pick up", n.gusset, side_words("heel flap", "left")),
        *cover.row(1, op("k", instep)),
        op("pick up", n.gusset, side_words("heel flap", "right")),
        rows=rounds,
        note=together(
            "Turn the right side to you; from here in rounds again. Across the heel, one for each "
            "slipped edge of the flap, across the instep",
            cover.said,
        ),
    )
    begin_later(b, "gusset", half, "the middle of the heel")
    for row in range(2, rounds + 1):
        on = [op("resume", half, "the middle of the heel")] if row == 2 else []
        sole = b.live + (half if on else 0) - instep
        one, other = sole - sole // 2, sole // 2
        top = cover.row(row, op("k", instep))
        worked = (op("k", one - 2), op("k2tog"), *top, op("ssk"), op("k", other - 2))
        plain = (op("k", one), *top, op("k", other))
        shaped = plain if row % 2 else worked
        last = f"The {half} that you knitted on come last in the round" if on else ""
        note = together(last, cover.said)
        a_round(b, "gusset", row, *on, *shaped, rows=rounds, note=note)


def work_foot(b: ScriptBuilder, n: Heel, rounds: int, cover: Cover) -> None:
    """Rounds from the gusset to the toe; the cover lies over the instep alone."""
    instep = n.loops - n.heel
    for row in range(1, rounds + 1):
        sole = b.live - instep
        top = cover.row(row, op("k", instep))
        worked = (op("k", sole - sole // 2), *top, op("k", sole // 2))
        a_round(b, "foot", row, *worked, planned=rounds, note=cover.said)
        look(b, "foot", row, rounds)


def thumb_gusset(b: ScriptBuilder, loops: int, rounds: int, pairs: int, cover: Cover) -> None:
    """It grows at both sides of the stitch that is a quarter around, evenly up to the thumb.

    The cover lies over the hand, the gusset stays plain.
    """
    wide, due = 1, 0
    grows = set()
    for gap in over_rows(rounds, pairs):
        due += gap
        grows.add(due)
    beside = _Beside(cover, loops)
    for row in range(1, rounds + 1):
        palm, hand = beside.round(row)
        grown = row in grows
        middle = op("m1r", grown), op("k", wide), op("m1l", grown)
        wide += 2 * grown
        a_round(b, "gusset", row, *palm, *middle, *hand, rows=rounds, note=beside.said)


def part_thumb(b: ScriptBuilder, loops: int, thumb: int, rounds: int, cover: Cover) -> None:
    """The hand's first round: the thumb's stitches wait, and one is cast on over the gap."""
    beside = _Beside(cover, loops)
    palm, hand = beside.round(1)
    away = (op("rest next", thumb, "thumb"), op("co", 1))
    note = together("Over the gap cast on one", beside.said)
    a_round(b, "hand", 1, *palm, *away, *hand, planned=rounds, note=note)


class _Beside:
    """What lies over the hand before and after the stitch that is a quarter around."""

    def __init__(self, cover: Cover, loops: int) -> None:
        before = loops // 4
        self.counts = before, loops - before - 1
        self.covers = (
            cover.over(0, before, cover.after),
            cover.over(before + 1, self.counts[1], cover.after),
        )

    def round(self, row: int) -> list[tuple[Operation, ...]]:
        """Round `row` of either."""
        pairs = zip(self.covers, self.counts, strict=True)
        return [cover.row(row, op("k", count)) for cover, count in pairs]

    @property
    def said(self) -> str:
        """What there is to say of it."""
        return together(*(cover.said for cover in self.covers))


def work_thumb(b: ScriptBuilder, loops: int, rounds: int, cm: float) -> None:
    """Taken up, one picked up over the gap, worked up to so many cm and drawn together."""
    b.step("thumb", Kind.MARKER, op("resume", loops, "thumb"), note="Put them back on the needles")
    picked = op("pick up", 1, "the foundation of the hand")
    said = "The last one comes out of the stitch cast on over the gap; every round ends there"
    a_round(b, "thumb", 1, op("join"), op("k", loops), picked, planned=rounds, note=said)
    tube(b, "thumb", rounds, open_end=True, first=2)
    measured(b, "thumb", cm, "Measure from where it was taken up")
    half = b.live // 2
    for row, lost in ((1, half), (2, (b.live - half) // 2)):
        pairs = [op("k2tog", lost), op("k", b.live - 2 * lost)]
        a_round(b, "thumb tip", row, *pairs, rows=2)
    draw_together(b, "thumb tip")


def begin_later(b: ScriptBuilder, part: str, loops: int, where: str) -> None:
    """Knit on over so many loops of a ring: its rounds begin behind them from now on.

    They wait under the name `where`, and the next round takes them up.
    """
    b.step(part, Kind.MARKER, op("k", loops), note=f"Knit on to {where}")
    b.step(
        part,
        Kind.MARKER,
        *taken_out(b),
        op("rest", loops, where),
        op("pm", 1, where),
        # Seen from the left the far end is where the rounds began.
        direction=Direction.LEFT_TO_RIGHT,
        note="Nothing is put on a holder: every round begins here from now on, and those just knit "
        "are its end",
    )
