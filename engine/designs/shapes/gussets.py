"""Where a tube turns a corner: a heel with its gusset, and the gusset of a thumb."""

from dataclasses import dataclass

from engine.craft.spacing import over_rows
from engine.designs.shapes.rows import a_round, flat_row
from engine.script.builder import ScriptBuilder, op
from engine.script.edges import side_words
from models.script import Direction, Kind


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


def work_heel(b: ScriptBuilder, n: Heel) -> None:
    """The flap, its edges slipped, and the short rows that turn it."""
    for row in range(1, n.heel + 1):
        away = [op("rest", n.loops - n.heel, "instep")] if row == 1 else []
        plain = op("k" if row % 2 else "p", n.heel - 1)
        flat_row(b, "heel flap", row, *away, op("sl"), plain, rows=n.heel)
    turns = n.beyond + 2
    for row in range(1, turns + 1):
        stitch, narrow = ("k", "ssk") if row % 2 else ("p", "p2tog")
        over = n.gusset + n.past - 1 if row == 1 else 2 * n.past + row - 1
        last = row > turns - 2
        ends = [] if last and n.beyond % 2 else [op(stitch)]
        turn = [] if last else [op("turn")]
        worked = [op("sl"), op(stitch, over), op(narrow), *ends, *turn]
        flat_row(b, "heel turn", row, *worked, rows=turns)


def work_gusset(b: ScriptBuilder, n: Heel, rounds: int) -> None:
    """Picked up beside the flap in its first round, and lost again, a pair every other round."""
    instep, half = n.loops - n.heel, n.turned // 2
    a_round(
        b,
        "gusset",
        1,
        op("resume", instep, "instep"),
        op("k", n.turned),
        op("pick up", n.gusset, side_words("heel flap", "left")),
        op("k", instep),
        op("pick up", n.gusset, side_words("heel flap", "right")),
        rows=rounds,
        note="Across the heel, one for each slipped edge of the flap, across the instep",
    )
    begin_later(b, "gusset", half, "the middle of the heel")
    for row in range(2, rounds + 1):
        on = [op("resume", half, "the middle of the heel")] if row == 2 else []
        sole = b.live + (half if on else 0) - instep
        one, other = sole - sole // 2, sole // 2
        worked = (op("k", one - 2), op("k2tog"), op("k", instep), op("ssk"), op("k", other - 2))
        plain = (op("k", b.live),)
        a_round(b, "gusset", row, *on, *(plain if row % 2 else worked), rows=rounds)


def thumb_gusset(b: ScriptBuilder, loops: int, rounds: int, pairs: int) -> None:
    """It grows at both sides of the stitch that is a quarter around, evenly up to the thumb."""
    before, wide, due = loops // 4, 1, 0
    grows = set()
    for gap in over_rows(rounds, pairs):
        due += gap
        grows.add(due)
    for row in range(1, rounds + 1):
        after = b.live - before - wide
        worked = [op("k", b.live)]
        if row in grows:
            worked = [op("k", before), op("m1r"), op("k", wide), op("m1l"), op("k", after)]
            wide += 2
        a_round(b, "gusset", row, *worked, rows=rounds)


def begin_later(b: ScriptBuilder, part: str, loops: int, where: str) -> None:
    """Knit on over so many loops of a ring: its rounds begin behind them from now on.

    They wait under the name `where`, and the next round takes them up.
    """
    b.step(part, Kind.MARKER, op("k", loops), note=f"Knit on to {where}")
    b.step(
        part,
        Kind.MARKER,
        op("rest", loops, where),
        op("pm", 1, where),
        # Seen from the left the far end is where the rounds began.
        direction=Direction.LEFT_TO_RIGHT,
        note="Every round begins here from now on; those just knit come at its end",
    )
