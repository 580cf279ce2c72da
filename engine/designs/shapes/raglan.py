"""Four lines from the neck down, and where the sleeves part from the body."""

from dataclasses import dataclass

from engine.craft.spacing import over_rows
from engine.designs.design import handed
from engine.designs.shapes.cover import Cover
from engine.designs.shapes.rows import a_round, together
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
    def before(self) -> int:
        """Stitches of a sleeve's rounds before those of the yoke: they begin under the arm."""
        return self.underarm - self.underarm // 2

    @property
    def neck(self) -> tuple[int, int]:
        """Stitches of the back and of a sleeve at the neck."""
        return self.back - 2 * self.body_grows, self.sleeve - 2 * self.sleeve_grows


def raglan_yoke(b: ScriptBuilder, n: Raglan, body: Cover, sleeves: Cover) -> None:
    """Front, left sleeve, back, right sleeve: each grows at both its ends.

    The covers lie over the body and a sleeve with its underarm; the lines stay plain.
    """
    ends = (
        {sum(found[: i + 1]) for i in range(len(found))}
        for found in (over_rows(n.rounds, g) if g else () for g in (n.body_grows, n.sleeve_grows))
    )
    body_rows, sleeve_rows = ends
    back, sleeve = n.neck
    front = n.back + n.underarm + n.body_grows
    covers = [
        body.over(n.body_grows, back, 0),
        sleeves.over(n.before + n.sleeve_grows, sleeve, 0),
        body.over(front, back, 0),
        sleeves.over(n.before + n.sleeve_grows, sleeve, 0),
    ]
    if not b.plan.stitch:
        b.regular.append("yoke")
    for row in range(1, n.rounds + 1):
        worked: list[Operation] = []
        turns = ((back, row in body_rows), (sleeve, row in sleeve_rows)) * 2
        for cover, (wide, grows) in zip(covers, turns, strict=True):
            edges = [op("k"), op("m1l", grows)], [op("m1r", grows), op("k")]
            inner = [*edges[0], op("k", wide - 2), *edges[1]] if wide > 1 else [op("k", wide)]
            worked += cover.row(row, *inner)
        # Front and back are alike; seen with the neck below, the left sleeve follows the front.
        said = (
            f"From the join come the front with {back}, the left sleeve with {sleeve}, the back "
            f"with {back} and the right sleeve with {sleeve}; between them run four raglan lines"
            if row == 1
            else ""
        )
        back += 2 * (row in body_rows)
        sleeve += 2 * (row in sleeve_rows)
        note = together(handed(b.plan.hand, said), *(cover.said for cover in covers))
        a_round(b, "yoke", row, *worked, rows=n.rounds, note=note)


def part_sleeves(b: ScriptBuilder, n: Raglan, rounds: int, cover: Cover) -> None:
    """The body's first round: the sleeves are laid aside, the underarms cast on."""
    worked: list[Operation] = []
    notes = ["The sleeves wait; under each arm cast on over the gap"]
    for side, at in (("left", 0), ("right", n.back + n.underarm)):
        half = cover.over(at, n.back, cover.after)
        worked += half.row(1, op("k", n.back))
        notes.append(half.said)
        worked += [op("rest next", n.sleeve, f"{side} sleeve")]
        worked += [op("co", n.underarm)]
    a_round(b, "body", 1, *worked, planned=rounds, note=together(*notes))
