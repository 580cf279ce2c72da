"""Four lines from the neck down, and where the sleeves part from the body."""

from dataclasses import dataclass

from engine.craft.spacing import over_rows
from engine.designs.shapes.rows import a_round
from engine.script.builder import ScriptBuilder, op
from models.script import Operation


@dataclass(frozen=True)
class Raglan:
    """What grows along the lines, in stitches and rounds."""

    back: int
    underarm: int
    sleeve: int
    rounds: int
    body_grows: int
    """Times that back and front each grow by two."""
    sleeve_grows: int

    @property
    def neck(self) -> tuple[int, int]:
        """Stitches of the back and of a sleeve at the neck."""
        return self.back - 2 * self.body_grows, self.sleeve - 2 * self.sleeve_grows


def raglan_yoke(b: ScriptBuilder, n: Raglan) -> None:
    """Back, left sleeve, front, right sleeve: each grows at both its ends."""
    ends = (
        {sum(found[: i + 1]) for i in range(len(found))}
        for found in (over_rows(n.rounds, g) if g else () for g in (n.body_grows, n.sleeve_grows))
    )
    body_rows, sleeve_rows = ends
    back, sleeve = n.neck
    for row in range(1, n.rounds + 1):
        worked: list[Operation] = []
        for wide, grows in ((back, row in body_rows), (sleeve, row in sleeve_rows)) * 2:
            inner = [op("k"), op("m1l"), op("k", wide - 2), op("m1r"), op("k")]
            worked += inner if grows else [op("k", wide)]
        back += 2 * (row in body_rows)
        sleeve += 2 * (row in sleeve_rows)
        said = "Four raglan lines: before and after each sleeve" if row == 1 else ""
        a_round(b, "yoke", row, *worked, rows=n.rounds, note=said)


def part_sleeves(b: ScriptBuilder, n: Raglan, rounds: int) -> None:
    """The body's first round: the sleeves are laid aside, the underarms cast on."""
    worked = []
    for side in ("left", "right"):
        worked += [op("k", n.back), op("rest next", n.sleeve, f"{side} sleeve")]
        worked += [op("co", n.underarm)]
    said = "The sleeves wait; under each arm cast on over the gap"
    a_round(b, "body", 1, *worked, planned=rounds, note=said)
