"""From a strand's points to a smooth curve, and where curves cross.

The curve is a centripetal-free Catmull-Rom spline: it goes through every point (E. Catmull, R. Rom,
"A class of local interpolating splines", 1974). What crosses what is found in the plane of the
picture; who lies over whom is the greater z of the two at that place.
"""

from functools import lru_cache
from itertools import combinations, pairwise

from models.movement import Meeting, Point, Stage, Strand

SAMPLES = 12
"""Pieces between two points of a strand."""
_APART = 2
"""Pieces of one strand that are neighbours and cannot cross."""


@lru_cache(maxsize=512)
def curve(strand: Strand) -> tuple[Point, ...]:
    """The strand as `SAMPLES` short pieces between any two of its points."""
    points = (strand.points[0], *strand.points, strand.points[-1])
    out: list[Point] = []
    for i in range(1, len(points) - 2):
        a, b, c, d = points[i - 1 : i + 3]
        out.extend(_between(a, b, c, d, step / SAMPLES) for step in range(SAMPLES))
    return (*out, strand.points[-1])


def _between(a: Point, b: Point, c: Point, d: Point, t: float) -> Point:
    x, y, z = (
        0.5
        * (
            2 * b[i]
            + (c[i] - a[i]) * t
            + (2 * a[i] - 5 * b[i] + 4 * c[i] - d[i]) * t**2
            + (3 * b[i] - a[i] - 3 * c[i] + d[i]) * t**3
        )
        for i in range(3)
    )
    return x, y, z


@lru_cache(maxsize=128)
def meetings(stage: Stage) -> tuple[Meeting, ...]:
    """Every place where two strands, or a strand and itself, cross in the picture."""
    found = []
    for a, b in combinations(stage.strands, 2):
        found += _crossings(a, b)
    for a in stage.strands:
        found += _crossings(a, a)
    return tuple(found)


def word(stage: Stage, strand: str, other: str) -> str:
    """How a strand meets another from its beginning on: `o` over it, `u` under it."""
    met = sorted(
        (m.over_at, "o") if m.over == strand else (m.under_at, "u")
        for m in meetings(stage)
        if {m.over, m.under} == {strand, other}
    )
    return "".join(how for _, how in met)


def _crossings(a: Strand, b: Strand) -> list[Meeting]:
    found = []
    for i, (p, q) in enumerate(pairwise(curve(a))):
        for j, (r, s) in enumerate(pairwise(curve(b))):
            if a is b and j <= i + _APART:
                continue
            at = _cut(p, q, r, s)
            if at is None:
                continue
            t, u = at
            over = p[2] + (q[2] - p[2]) * t >= r[2] + (s[2] - r[2]) * u
            mine, theirs = (a.name, i + t), (b.name, j + u)
            above, beneath = (mine, theirs) if over else (theirs, mine)
            found.append(
                Meeting(
                    x=p[0] + (q[0] - p[0]) * t,
                    y=p[1] + (q[1] - p[1]) * t,
                    over=above[0],
                    under=beneath[0],
                    over_at=above[1],
                    under_at=beneath[1],
                )
            )
    return found


def _cut(p: Point, q: Point, r: Point, s: Point) -> tuple[float, float] | None:
    """Where two pieces cut each other, as shares of both; the end of a piece is the next one's."""
    if max(p[0], q[0]) < min(r[0], s[0]) or max(r[0], s[0]) < min(p[0], q[0]):
        return None
    dx, dy, ex, ey = q[0] - p[0], q[1] - p[1], s[0] - r[0], s[1] - r[1]
    by = dx * ey - dy * ex
    if not by:
        return None
    t = ((r[0] - p[0]) * ey - (r[1] - p[1]) * ex) / by
    u = ((r[0] - p[0]) * dy - (r[1] - p[1]) * dx) / by
    return (t, u) if 0 <= t < 1 and 0 <= u < 1 else None
