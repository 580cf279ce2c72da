"""Rows of the plain fabrics that a pattern calls by name, on any number of loops."""

from collections.abc import Sequence
from itertools import groupby

from models.script import Operation
from models.stitch import STITCHES

_OTHER = {"k": "p", "p": "k"}


def _front(style: str, count: int, row: int, rib: tuple[int, int]) -> list[str]:
    """Stitches as seen from the front, from the right end to the left."""
    if style == "seed":
        return ["kp"[(i + row) % 2] for i in range(count)]
    cycle = "k" * rib[0] + "p" * rib[1] or "k"
    return [cycle[i % len(cycle)] for i in range(count)]


def patterned(
    style: str,
    count: int,
    row: int,
    *,
    rib: tuple[int, int] = (1, 1),
    back: bool,
    turned: bool,
    rounds: bool,
) -> list[Operation]:
    """A row of stockinette, garter, seed or rib, or of one stitch.

    `row` counts from 0 since the fabric began. `back`: the row is worked from the left end;
    `turned`: and from the wrong side, where a purl shows as a knit.
    """
    if style in {"k", "p"}:
        return _runs([style] * count)
    if style == "stockinette":
        return _runs(["p" if back and turned else "k"] * count)
    if style == "garter":
        return _runs(["p" if rounds and row % 2 else "k"] * count)
    stitches = _front(style, count, row, rib)
    if back and not rounds:
        stitches.reverse()
        if turned:
            stitches = [_OTHER[s] for s in stitches]
    return _runs(stitches)


def established(before: Sequence[Operation] | None, count: int, *, purl: bool) -> list[Operation]:
    """The next row without shaping: as the last one on this side, where that comes out.

    Else its one plain stitch all across; of several, "work in pattern"; with no row before, knit,
    or purl on the wrong side.
    """
    if before is None:
        return _runs(["p" if purl else "k"] * count)
    stitches = [o for o in before if STITCHES[o.stitch].takes or STITCHES[o.stitch].leaves]
    level = all(STITCHES[o.stitch].takes == STITCHES[o.stitch].leaves for o in stitches)
    if level and sum(o.takes for o in stitches) == count:
        return list(stitches)
    plain = {o.stitch for o in stitches if o.stitch in {"k", "p", "work"}}
    return _runs([plain.pop() if len(plain) == 1 else "work" if plain else "k"] * count)


def _runs(stitches: Sequence[str]) -> list[Operation]:
    return [Operation(stitch=stitch, times=len(list(run))) for stitch, run in groupby(stitches)]
