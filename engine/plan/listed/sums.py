"""What of a list does not fit together, with the arithmetic; and what follows from the rest.

The letters are those of `engine.designs.openfront`: the last loop of a bind-off is the first of
the next panel, so that across the whole N = F + (K − 1) + B + (K − 1) + F. One decrease at the
neck in every other row needs 2D − 1 rows (common practice, no source). A sleeve is picked up
along the underarm's K − 1 loops and two equal sides.
"""

from dataclasses import dataclass

from engine.base.refusal import Refusal
from engine.plan.listed.reading import LoopList


@dataclass(frozen=True)
class Misfit:
    """Numbers that contradict each other: which of them is told, why, and what would fit."""

    name: str
    text: str
    repair: str


@dataclass(frozen=True)
class Numbers:
    """A garment's numbers for one size."""

    foundation: int
    front: int
    shoulder: int
    bind: int
    back: int
    armhole_rows: int
    sleeve: int | None = None
    cuff: int | None = None
    sleeve_rows: int | None = None
    body_rows: int | None = None
    edging: int | None = None

    @property
    def decreases(self) -> int:
        """At one neck edge."""
        return self.front - self.shoulder


def numbers_of(listed: LoopList, size: int) -> Numbers:
    """The numbers of one size. Raises Refusal where one is missing that nothing else tells."""
    foundation, front, bind, back = _across(listed, size)
    return Numbers(
        foundation,
        front,
        _down(listed, "front", front, size),
        bind,
        back,
        _armhole_rows(listed, size),
        sleeve := listed.get("sleeve", size),
        None if sleeve is None else _down(listed, "sleeve", sleeve, size),
        listed.get("sleeve rows", size),
        listed.get("body rows", size),
        listed.get("edging rows", size),
    )


def _across(listed: LoopList, size: int) -> tuple[int, int, int, int]:
    """Foundation, front, bind-off and back; one of them may follow from the others."""
    names = ("foundation", "front", "bind", "back")
    n, f, k, b = (listed.get(name, size) for name in names)
    missing = [name for name, value in zip(names, (n, f, k, b), strict=True) if value is None]
    if len(missing) > 1:
        raise Refusal(
            f"The list does not say the {' nor the '.join(missing)}: a garment needs foundation, "
            "front, bind and back, of which one may be left out."
        )
    if n is None and f is not None and k is not None and b is not None:
        n = 2 * f + b + 2 * (k - 1)
    elif f is None and n is not None and k is not None and b is not None:
        f = _half(n - b - 2 * (k - 1), "front", "the fronts")
    elif k is None and n is not None and f is not None and b is not None:
        k = _half(n - b - 2 * f, "bind", "the two armholes") + 1
    elif b is None and n is not None and f is not None and k is not None:
        b = n - 2 * f - 2 * (k - 1)
    known = [value for value in (n, f, k, b) if value is not None]
    foundation, front, bind, back = known
    return foundation, front, bind, back


def _half(left: int, name: str, whose: str) -> int:
    if left < 0 or left % 2:
        raise Refusal(
            f"The list does not say the {name}, and the other numbers leave {left} for {whose}: "
            "give it, or change them."
        )
    return left // 2


def _down(listed: LoopList, part: str, loops: int, size: int) -> int:
    """To how many a part goes: as it says, or by so many."""
    to, by = listed.get(f"{part} to", size), listed.get(f"{part} by", size)
    if to is not None and by is not None and loops - by != to:
        raise Refusal(
            f"The {part} goes from {loops} by {by} to {loops - by}, and the list says to {to}."
        )
    return to if to is not None else loops - (by or 0)


def _armhole_rows(listed: LoopList, size: int) -> int:
    names = ("armhole rows", "front rows", "back rows")
    said = {name: listed.get(name, size) for name in names}
    rows = next((rows for rows in said.values() if rows is not None), None)
    if rows is None:
        raise Refusal(
            "The list does not say how many rows the armholes have: write it behind the fronts, "
            "as in 'front 9 to 5 over 8'."
        )
    return rows


def misfits(n: Numbers, listed: LoopList, size: int) -> list[Misfit]:
    """Everything that does not fit, the sum across first."""
    found = [*_width(n), *_height(n, listed, size), *_neck(n), *_sleeve(n)]
    if n.body_rows is not None and n.body_rows % 2:
        found.append(
            Misfit(
                "body rows",
                f"after {n.body_rows} rows the yarn waits at the left edge, and the right front "
                "begins at the right one",
                f"work {n.body_rows - 1} or {n.body_rows + 1} rows",
            )
        )
    return found


def _width(n: Numbers) -> list[Misfit]:
    across = 2 * n.front + n.back + 2 * (n.bind - 1)
    if across == n.foundation:
        return []
    return [
        Misfit(
            "foundation",
            f"2 × front + back + 2 × (bind − 1) is {across}, the foundation {n.foundation}",
            f"lay out {across}, or change the others",
        )
    ]


def _height(n: Numbers, listed: LoopList, size: int) -> list[Misfit]:
    found = []
    rows = {part: listed.get(f"{part} rows", size) for part in ("front", "back")}
    front, back = rows["front"], rows["back"]
    if listed.get("armhole rows", size) is None and front and back and front != back:
        found.append(
            Misfit(
                "back rows",
                f"the fronts have {front} rows and the back {back}, and they are closed together",
                "give both as many, or say how many rows the armhole has",
            )
        )
    shaped = front or n.armhole_rows
    need = 2 * n.decreases - 1
    if n.decreases > 0 and shaped < need:
        found.append(
            Misfit(
                "front rows" if front else "front",
                f"front {n.front} to {n.shoulder} takes {n.decreases} decreases, one in every "
                f"other row: that is {need} rows, and there are {shaped}",
                f"work {need} rows, or leave {n.front - (shaped + 1) // 2} loops",
            )
        )
    for part, has in rows.items():
        if has and has > n.armhole_rows:
            found.append(
                Misfit(
                    f"{part} rows",
                    f"the {part} has {has} rows and the armhole {n.armhole_rows}",
                    f"give the armhole {has} rows",
                )
            )
    return found


def _neck(n: Numbers) -> list[Misfit]:
    if n.bind < 2:
        why = f"binding off over {n.bind} takes no loop away: the last one always stays"
        return [Misfit("bind", why, "bind off over 2 at least")]
    if n.shoulder < 1 or n.decreases < 1:
        why = f"a front goes from {n.front} to {n.shoulder}, and its neck is shaped"
        return [Misfit("front", why, f"go down to a number from 1 to {n.front - 1}")]
    if 2 * n.shoulder > n.back:
        why = f"two shoulders of {n.shoulder} are {2 * n.shoulder}, and the back has {n.back}"
        return [Misfit("back", why, f"go down to {n.back // 2} at the front, or widen the back")]
    return []


def _sleeve(n: Numbers) -> list[Misfit]:
    if n.sleeve is None or n.cuff is None:
        return []
    sides = n.sleeve - (n.bind - 1)
    if sides < 2 or sides % 2:
        return [
            Misfit(
                "sleeve",
                f"sleeve {n.sleeve} is {n.bind - 1} along the underarm and {sides} along two "
                "equal sides",
                f"pick up {n.sleeve - 1} or {n.sleeve + 1}",
            )
        ]
    if sides > 4 * n.armhole_rows:
        return [
            Misfit(
                "sleeve",
                f"sleeve {n.sleeve} is {sides // 2} along each side of an armhole of "
                f"{n.armhole_rows} rows, more than two from each",
                f"pick up at most {4 * n.armhole_rows + n.bind - 1}",
            )
        ]
    down = n.sleeve - n.cuff
    if n.cuff < 3 or down < 0:
        why = f"a sleeve goes from {n.sleeve} to {n.cuff}"
        return [Misfit("sleeve", why, f"go down to a number from 3 to {n.sleeve}")]
    if n.sleeve_rows is not None and n.sleeve_rows < 2 * down:
        return [
            Misfit(
                "sleeve rows",
                f"sleeve {n.sleeve} to {n.cuff} takes {down} decreases, one in every other "
                f"round: that is {2 * down} rounds, and there are {n.sleeve_rows}",
                f"work {2 * down} rounds, or leave {n.sleeve - n.sleeve_rows // 2} loops",
            )
        ]
    return []
