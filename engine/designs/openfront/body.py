"""From the foundation to the closed shoulders. One function a part, read like the pattern."""

from engine.designs.fabric import foundation, look, smooth, way
from engine.designs.openfront.border import edge_row
from engine.designs.openfront.garment import Garment
from engine.designs.shapes import Cover, flat_row
from engine.script.builder import op
from engine.script.wording import loop_word
from models.script import Direction, Kind, Operation

LEVEL = ("right front", "back", "left front")
MIRRORED = ("right front", "left front")
_STACK = "To decrease lay the outermost loop on its neighbour and pull one loop through both"


def work_body(g: Garment) -> None:
    """All parts of the body, in order."""
    _lower_body(g)
    _front(g, "right front")
    _armhole(g, "right armhole")
    _back(g)
    _armhole(g, "left armhole")
    _front(g, "left front")
    _shoulders(g)


def _lower_body(g: Garment) -> None:
    n, b, part, loops = g.n, g.b, "body", loop_word(g.craft)
    across = g.across
    foundation(b, "hem" if n.hem_rows else part, across.foundation)
    b.regular.append("hem")
    for row in range(1, n.hem_rows + 1):
        travel = way(g.craft, row)
        b.step(
            "hem",
            Kind.ROW,
            *edge_row(g, row, across.foundation),
            row=row,
            rows=n.hem_rows,
            direction=travel.direction,
            side=travel.side,
        )
    cover = g.over(0, across.foundation, 0)
    for row in range(1, n.body_rows + 1):
        plain = op(smooth(g.craft, way(g.craft, row)), across.foundation)
        flat_row(b, part, row, plain, planned=n.body_rows, cover=cover)
        look(b, part, row, n.body_rows)
    height = round(n.body_cm, 1)
    last = "a wrong-side row" if g.needles else "an even row"
    edge = g.named("right edge")
    start = "the hem" if n.hem_rows else "the foundation"
    b.step(
        part,
        Kind.MEASURE,
        target_cm=height,
        note=f"Lay it flat and measure up from {start}: {height:g} cm is wanted, after "
        f"{last}, so that the yarn waits at the {edge}",
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
        op("pm", 1, f"after {across.front} {loops}"),
        op("pm", 1, f"{across.front} {loops} before the end"),
        note="They show where the armholes begin, and come out there",
    )


def _panel(
    g: Garment, part: str, row: int, *operations: Operation, cover: Cover, note: str = ""
) -> None:
    """One row of a panel. The first panel is as high as the tape says, the others as high as it."""
    n, open_end = g.n, part == g.named("right front")
    flat_row(
        g.b,
        part,
        row,
        *operations,
        rows=None if open_end else n.armhole_rows,
        planned=n.armhole_rows,
        cover=cover,
        note=note,
    )
    look(g.b, part, row, n.armhole_rows)


def _front(g: Garment, told: str) -> None:
    """A decrease at the neck edge in row 1 and in every other row, until D are worked.

    The left front mirrors the right one: its neck edge is where the row ends.
    """
    across, part, first = g.across, g.named(told), told == "right front"
    stacked = "" if g.needles else _STACK
    at = 0 if first else across.foundation - across.front
    cover = g.over(at, across.front, g.n.body_rows)
    for row in range(1, g.n.armhole_rows + 1):
        begin: list[Operation] = []
        note = ""
        if row == 1 and first:
            begin = [op("rest", across.foundation - across.front, "body")]
            note = stacked
        elif row == 1:
            begin, note = _begun_after_armhole(g, across.front)
            note = ". ".join(filter(None, (note, stacked)))
        worked = min((row + 1) // 2, across.decreases)
        stitch = smooth(g.craft, way(g.craft, row))
        if row % 2 == 0 or row > 2 * across.decreases - 1:
            shaped = [op(stitch, across.front - worked)]
        else:
            shaped = [g.lean(left=first), op(stitch, across.front - worked - 1)]
            shaped = shaped if first else shaped[::-1]
        _panel(g, part, row, *begin, *shaped, cover=cover, note=note)
    if first:
        depth = round(g.cm["armhole_depth"], 1)
        rest = g.named("the back and the left front")
        g.b.step(
            part,
            Kind.MEASURE,
            target_cm=depth,
            note=f"Measure straight up from the underarm: {depth:g} cm is wanted; {rest} get as "
            "many rows",
        )
    g.b.back_check(part, "before the armhole" if first else "before the shoulders are closed")


def _begun_after_armhole(g: Garment, loops: int) -> tuple[list[Operation], str]:
    """How a panel's first row begins beside a bound-off strip, and what to know of it."""
    taken = op("resume", loops - 1, "body")
    if g.needles:
        # The yarn was joined for the bind-off, which needs it; a chain of loops does not.
        return [taken], "The first stitch is already on the needle and counts as the row's first"
    return [taken, op("join")], "The loop that the bind-off left is the row's first"


def _armhole(g: Garment, told: str) -> None:
    """Bind off a strip, once the panel before it rests with its yarn cut."""
    across, part, loops = g.across, g.named(told), loop_word(g.craft)
    if told == "right armhole":
        rest, marker = (across.shoulder, g.named("right front shoulder")), f"after {across.front}"
        marker += f" {loops}"
    else:
        rest, marker = (across.back, "back"), f"{across.front} {loops} before the end"
    if g.needles:
        note = "The last stitch stays on the needle and begins the next panel"
    else:
        note = (
            "Second loop through the first, third through the second, and so on: the last one "
            "stays open and begins the next panel"
        )
    g.b.step(
        part,
        Kind.BIND_OFF,
        op("tail"),
        op("rest", *rest),
        op("resume", g.n.bound_off, "body"),
        op("rm", 1, marker),
        *([op("join")] if g.needles else []),
        op("bo", g.n.bound_off - 1),
        direction=Direction.RIGHT_TO_LEFT,
        side="RS" if g.needles else None,
        note=note,
    )


def _back(g: Garment) -> None:
    back = g.across.back
    cover = g.over(g.across.front + g.across.strip, back, g.n.body_rows)
    for row in range(1, g.n.armhole_rows + 1):
        begin, note = _begun_after_armhole(g, back) if row == 1 else ([], "")
        plain = op(smooth(g.craft, way(g.craft, row)), back)
        _panel(g, "back", row, *begin, plain, cover=cover, note=note)
    g.b.back_check("back", "before the armhole")


def _shoulders(g: Garment) -> None:
    """One chain from armhole to armhole, or stitches knitted off in pairs, across the back neck.

    In loop yarn the chain needs no yarn and leaves one loop over; on needles a front and a back
    stitch are bound off as one, and the last stitch is fastened.
    """
    across, b, part = g.across, g.b, "shoulders and neck"
    right, left, loops = g.named("right"), g.named("left"), g.across.shoulder
    if g.needles:
        pull = "knit a front and a back stitch as one, binding off as you go"
        over = "Go on binding off across the back neck; the last stitch stays open"
        first, last = [op("join"), op("3nbo", loops - 1), op("k2tog")], [op("3nbo", loops)]
        last += [op("fasten"), op("tail")]
        end = ""
    else:
        pull = "a front loop, a back loop, each through the one before"
        over = "Go on with the same chain across the back neck"
        first, last = [op("seam", 2 * loops - 1)], [op("seam", 2 * loops)]
        waits = "sleeve" if g.counts.sleeve else "band"
        end = f", where one loop is left over and waits for the {waits}"
    b.step(
        part,
        Kind.SEAM,
        op("tail"),
        op("rest", loops, f"{left} front shoulder"),
        op("pair", loops, f"{right} front shoulder|back"),
        *first,
        note=f"Fold the fronts over the back, right sides together: {pull}, from the {right} "
        "armhole to the neck",
    )
    b.step(
        part,
        Kind.BIND_OFF,
        op("resume", across.neck, "back"),
        op("bo", across.neck),
        note=over,
    )
    b.step(
        part,
        Kind.SEAM,
        op("pair", loops, f"{left} front shoulder|back"),
        *last,
        note=f"Right sides together: {pull}, from the neck to the {left} armhole{end}",
    )
    _try_shoulders(g, part)


def _try_shoulders(g: Garment, part: str) -> None:
    g.b.step(
        part,
        Kind.FIT_CHECK,
        note="Turn the right side out and try it on: the shoulders lie flat and the armholes do "
        "not pull",
    )
