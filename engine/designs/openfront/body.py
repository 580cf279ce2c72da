"""From the foundation to the closed shoulders. One function a part, read like the pattern."""

from engine.designs.fabric import foundation, look, smooth, way
from engine.designs.openfront.garment import Garment
from engine.script.builder import op
from engine.script.wording import loop_word
from models.script import Direction, Kind, Operation

LEVEL = ("right front", "back", "left front")
MIRRORED = ("right front", "left front")


def work_body(g: Garment) -> None:
    """All parts of the body, in order."""
    _lower_body(g)
    _front(g, "right front")
    _armhole(g, "right armhole", rest=g.n.shoulder, name="right front shoulder")
    _back(g)
    _armhole(g, "left armhole", rest=g.n.back, name="back")
    _front(g, "left front")
    if g.needles:
        _knitted_shoulders(g)
    else:
        _chained_shoulders(g)


def _lower_body(g: Garment) -> None:
    n, b, part, loops = g.n, g.b, "body", loop_word(g.craft)
    foundation(b, part, n.foundation)
    for row in range(1, n.body_rows + 1):
        travel = way(g.craft, row)
        b.step(
            part,
            Kind.ROW,
            op(smooth(g.craft, travel), n.foundation),
            row=row,
            planned=n.body_rows,
            direction=travel.direction,
            side=travel.side,
        )
        look(b, part, row, n.body_rows)
    height = round(g.cm["body_height"], 1)
    last = "a wrong-side row" if g.needles else "an even row"
    b.step(
        part,
        Kind.MEASURE,
        target_cm=height,
        note=f"Lay it flat and measure from the foundation: {height:g} cm is wanted, after "
        f"{last}, so that the yarn waits at the right edge",
    )
    b.back_check(part, "before the armholes")
    b.step(
        part,
        Kind.FIT_CHECK,
        note="Lay it around the body: the fronts should nearly meet, the edging fills the gap",
    )
    b.step(
        part,
        Kind.MARKER,
        op("pm", 1, f"after {n.front} {loops}"),
        op("pm", 1, f"{n.front} {loops} before the end"),
        note="They show where the armholes begin",
    )


def _panel(g: Garment, part: str, row: int, *operations: Operation) -> None:
    """One row of a panel; its last row ends with the yarn cut."""
    n, travel = g.n, way(g.craft, row)
    last = [op("tail")] if row == n.armhole_rows else []
    g.b.step(
        part,
        Kind.ROW,
        *operations,
        *last,
        row=row,
        rows=n.armhole_rows,
        direction=travel.direction,
        side=travel.side,
    )
    look(g.b, part, row, n.armhole_rows)


def _front(g: Garment, part: str) -> None:
    """A decrease at the neck edge in row 1 and in every other row, until D are worked."""
    n, right = g.n, part == "right front"
    for row in range(1, n.armhole_rows + 1):
        begin: list[Operation] = []
        if row == 1 and right:
            begin = [op("rest", n.foundation - n.front, "body")]
        elif row == 1:
            begin = [op("resume", n.front - 1, "body"), *_yarn_for_row_1(g)]
        worked = min((row + 1) // 2, n.decreases)
        stitch = smooth(g.craft, way(g.craft, row))
        if row % 2 == 0 or row > 2 * n.decreases - 1:
            shaped = [op(stitch, n.front - worked)]
        else:
            shaped = [g.lean(left=right), op(stitch, n.front - worked - 1)]
            shaped = shaped if right else shaped[::-1]
        _panel(g, part, row, *begin, *shaped)
    g.b.back_check(part, "before the armhole" if right else "before the shoulders are closed")


def _yarn_for_row_1(g: Garment) -> list[Operation]:
    # On needles the yarn was joined for the bind-off, which needs it; a chain of loops does not.
    return [] if g.needles else [op("join")]


def _armhole(g: Garment, part: str, rest: int, name: str) -> None:
    n = g.n
    if g.needles:
        note = "The last stitch stays on the needle and begins the next panel"
    else:
        note = (
            "Second loop through the first, third through the second, and so on: the last one "
            "stays live and begins the next panel"
        )
    g.b.step(
        part,
        Kind.BIND_OFF,
        op("rest", rest, name),
        op("resume", n.bound_off, "body"),
        *([op("join")] if g.needles else []),
        op("bo", n.bound_off - 1),
        direction=Direction.RIGHT_TO_LEFT,
        side="RS" if g.needles else None,
        note=note,
    )


def _back(g: Garment) -> None:
    n = g.n
    for row in range(1, n.armhole_rows + 1):
        begin = [op("resume", n.back - 1, "body"), *_yarn_for_row_1(g)] if row == 1 else []
        _panel(g, "back", row, *begin, op(smooth(g.craft, way(g.craft, row)), n.back))
    g.b.back_check("back", "before the armhole")


def _chained_shoulders(g: Garment) -> None:
    """One chain from armhole to armhole, without yarn; it leaves one loop over."""
    n, b, part = g.n, g.b, "shoulders and neck"
    pull = "Right sides together: a front loop, a back loop, each through the one before"
    b.step(
        part,
        Kind.SEAM,
        op("rest", n.shoulder, "left front shoulder"),
        op("pair", n.shoulder, "right front shoulder|back"),
        op("seam", 2 * n.shoulder - 1),
        note=f"{pull}, from the right armhole to the neck",
    )
    b.step(
        part,
        Kind.BIND_OFF,
        op("resume", n.neck, "back"),
        op("bo", n.neck),
        note="Go on with the same chain across the back neck",
    )
    b.step(
        part,
        Kind.SEAM,
        op("pair", n.shoulder, "left front shoulder|back"),
        op("seam", 2 * n.shoulder),
        note=f"{pull}, from the neck to the left armhole, where one loop is left over",
    )
    _try_shoulders(g, part)


def _knitted_shoulders(g: Garment) -> None:
    """Each front stitch with its back stitch, bound off in one go, and the last one fastened."""
    n, b, part = g.n, g.b, "shoulders and neck"
    pull = "Right sides together: knit a front and a back stitch as one, binding off as you go"
    b.step(
        part,
        Kind.SEAM,
        op("rest", n.shoulder, "left front shoulder"),
        op("pair", n.shoulder, "right front shoulder|back"),
        op("join"),
        op("3nbo", n.shoulder - 1),
        op("k2tog"),
        note=f"{pull}, from the right armhole to the neck",
    )
    b.step(
        part,
        Kind.BIND_OFF,
        op("resume", n.neck, "back"),
        op("bo", n.neck),
        note="Go on binding off across the back neck; the last stitch stays live",
    )
    b.step(
        part,
        Kind.SEAM,
        op("pair", n.shoulder, "left front shoulder|back"),
        op("3nbo", n.shoulder),
        op("fasten"),
        op("tail"),
        note=f"{pull}, from the neck to the left armhole",
    )
    _try_shoulders(g, part)


def _try_shoulders(g: Garment, part: str) -> None:
    g.b.step(
        part,
        Kind.FIT_CHECK,
        note="Try it on: the shoulders lie flat and the armholes do not pull",
    )
