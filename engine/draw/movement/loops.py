"""The strands that the movements are put together from.

All are as the maker sees them with the right side towards her, the row below at the bottom. A
loop stands with its feet on y = 0 and its head at y = 12.
"""

from models.movement import Point, Strand, Yarn

PITCH = 12.0
"""From one loop to the next."""
BACK, FRONT = -2.0, 2.0
"""Behind the work, and in front of it."""


def moved(points: tuple[Point, ...], x: float, y: float = 0.0, z: float = 0.0) -> tuple[Point, ...]:
    """The same way elsewhere."""
    return tuple((px + x, py + y, pz + z) for px, py, pz in points)


_LOOP: tuple[Point, ...] = (
    (-6.0, 0.0, 0.0),
    (-3.2, 1.0, 0.0),
    (-4.8, 5.5, 0.0),
    (-3.6, 10.0, 0.0),
    (0.0, 12.0, 0.0),
    (3.6, 10.0, 0.0),
    (4.8, 5.5, 0.0),
    (3.2, 1.0, 0.0),
    (6.0, 0.0, 0.0),
)
_BEHIND: tuple[Point, ...] = (
    (-9.0, 4.5, BACK),
    (-2.6, 5.0, BACK),
    (-3.6, 9.5, BACK),
    (-3.4, 15.0, BACK),
    (0.0, 17.5, BACK),
    (3.4, 15.0, BACK),
    (3.6, 9.5, BACK),
    (2.6, 5.0, BACK),
    (9.0, 4.5, BACK),
)
_PEEPING: tuple[Point, ...] = (
    (-9.0, 4.5, BACK),
    (-2.6, 4.6, BACK / 2),
    (-2.5, 6.5, FRONT / 2),
    (-1.9, 8.7, FRONT),
    (0.0, 9.7, FRONT),
    (1.9, 8.7, FRONT),
    (2.5, 6.5, FRONT / 2),
    (2.6, 4.6, BACK / 2),
    (9.0, 4.5, BACK),
)


def _drawn(feet: float, head: float) -> tuple[Point, ...]:
    """Through from behind and up; its feet and its head so far from the middle."""
    right: tuple[Point, ...] = (
        (head * 0.78, 18.6, FRONT),
        (head, 14.5, FRONT),
        (feet * 0.85, 7.5, FRONT / 2),
        (feet, 4.6, BACK / 2),
        (9.0, 4.5, BACK),
    )
    left = tuple((-x, y, z) for x, y, z in reversed(right))
    return (*left, (0.0, 20.4, FRONT), *right)


_THROUGH = _drawn(2.6, 4.4)


def below(
    x: float = 0.0, name: str = "below", yarn: Yarn = Yarn.BELOW, *, wide: float = 1.0
) -> Strand:
    """A live loop of the row below; `wide` stretches it for what has to go through."""
    points = tuple((px * wide, y, z) for px, y, z in _LOOP)
    return Strand(name=name, yarn=yarn, points=moved(points, x))


def behind(x: float = 0.0, name: str = "working") -> Strand:
    """The working yarn behind it, its next loop upright."""
    return Strand(name=name, yarn=Yarn.WORKING, points=moved(_BEHIND, x))


def peeping(x: float = 0.0, name: str = "working") -> Strand:
    """Its head drawn through to the front."""
    return Strand(name=name, yarn=Yarn.WORKING, points=moved(_PEEPING, x))


def through(x: float = 0.0, *, narrow: bool = False) -> Strand:
    """Drawn through from behind, up, and to its size: it now holds the loop below."""
    points = _drawn(1.6, 3.8) if narrow else _THROUGH
    return Strand(name="working", yarn=Yarn.WORKING, points=moved(points, x))


def other_side(strand: Strand) -> Strand:
    """The same movement from the other side: what came from behind comes from the front."""
    return strand.model_copy(update={"points": tuple((x, y, -z) for x, y, z in strand.points)})


def line(name: str, yarn: Yarn, *points: Point) -> Strand:
    """A strand through any points."""
    return Strand(name=name, yarn=yarn, points=points)
