"""The front-opening cardigan, worked in one piece to the armholes.

Across the body lie, from right to left as worked, the right front, an armhole, the back, an
armhole and the left front. The last loop of an armhole's bind-off stays live and is the first
loop of the next panel, so that

    N = F + (K - 1) + B + (K - 1) + F

with N foundation loops, F loops of a front, B of the back and K bound off at each armhole. Each
front loses D loops at its neck edge, one in every other row from the first, and keeps S = F - D
for its shoulder. The back closes loop by loop with both shoulders; what lies between is the back
neck, B - 2S. All of it is counting; the trade rules that are not are marked in place.
"""

from dataclasses import dataclass

from engine.builder import ScriptBuilder, op
from engine.designs.design import Design, even, scaled
from engine.pickup import rhythm, slope_loops, straight_loops
from engine.refusal import Refusal
from engine.sizes import BODY_SIZES, EASE_CM
from models.plan import DesignInfo, MeasureSpec, Plan
from models.script import Craft, Direction, Kind, Operation, RowScript
from models.size import BodySize

_EDGING_ROWS = 3  # common practice, no source
_CORNER = 1
"""Loops picked up at a lower corner for each edging row (common practice, no source)."""


def _spec(name: str, label: str, why: str, low: float, high: float) -> MeasureSpec:
    return MeasureSpec(name=name, label=label, why=why, low=low, high=high)


INFO = DesignInfo(
    name="cardigan",
    title="Cardigan",
    blurb="Open at the front, in one piece to the armholes, sleeves in the round, one edging "
    "around it all.",
    crafts=(Craft.LOOP,),
    sizes=tuple(BODY_SIZES),
    measures=(
        _spec("bust", "Bust", "Around the fullest part of the chest.", 40, 200),
        _spec("ease", "Ease", "How much wider than the body the garment is.", -10, 60),
        _spec(
            "body_height",
            "Body height",
            "From the lower edge to the underarm; the tape decides it as you work.",
            5,
            90,
        ),
        _spec(
            "armhole_depth",
            "Armhole depth",
            "Straight down from the shoulder to the underarm, with room to move.",
            6,
            45,
        ),
        _spec("neck_width", "Back neck", "Across the back neck, shoulder to shoulder.", 4, 40),
        _spec("underarm", "Underarm", "The flat strip bound off under each arm.", 0, 20),
        _spec(
            "back_neck_to_cuff",
            "Centre back to cuff",
            "From the middle of the back neck over the shoulder to the wrist.",
            15,
            110,
        ),
        _spec("upper_arm", "Upper arm", "Around the fullest part of the upper arm.", 8, 70),
        _spec("cuff", "Cuff", "Around the sleeve's end.", 6, 60),
        _spec("overlap", "Overlap", "How far one front lies over the other when closed.", 0, 20),
    ),
)


def defaults(size: BodySize | None) -> dict[str, float]:
    """Measurements in cm for a body of that size (M where none is given).

    What the size table does not hold is common practice, no source: the body ends 10 cm below
    the waist, the armhole is 3 cm deeper than the body's and never too tight for the upper arm,
    the back neck is two fifths of the cross back, the underarm strip 6 cm (8 from 2X), the cuff
    three fifths of the upper arm and 8 cm of ease.
    """
    body = size or BODY_SIZES["M"]
    underarm = 6.0 if body.bust < 122 else 8.0
    depth = max(body.armhole_depth + 3, (body.upper_arm + 5 - underarm) / 2)
    return {
        "bust": body.bust,
        "ease": EASE_CM["classic"],
        "body_height": round(body.back_waist_length + 10 - body.armhole_depth, 1),
        "armhole_depth": round(depth, 1),
        "neck_width": round(body.cross_back * 0.4, 1),
        "underarm": underarm,
        "back_neck_to_cuff": body.back_neck_to_cuff,
        "upper_arm": body.upper_arm,
        "cuff": round(body.upper_arm * 0.6 + 8, 1),
        "overlap": 0.0,
    }


@dataclass(frozen=True)
class Counts:
    """The cardigan in loops and rows. The letters are those of the module's formula."""

    foundation: int  # N
    front: int  # F
    back: int  # B
    bound_off: int  # K
    decreases: int  # D
    body_rows: int
    armhole_rows: int  # Ra
    sleeve_side: int
    sleeve_rounds: int
    sleeve_decreases: int
    edging_rows: int

    @property
    def shoulder(self) -> int:
        """S, loops of one shoulder."""
        return self.front - self.decreases

    @property
    def neck(self) -> int:
        """Loops of the back neck."""
        return self.back - 2 * self.shoulder

    @property
    def sleeve(self) -> int:
        """Loops of a sleeve's first round: both sides of the armhole and the underarm."""
        return 2 * self.sleeve_side + self.bound_off - 1


def counts(plan: Plan) -> Counts:
    """Loops and rows from centimetres. Raises Refusal, naming the measurement to change."""
    cm, gauge = scaled(plan), plan.gauge
    across, up = gauge.loops_per_cm, gauge.rows_per_cm
    edging_rows = plan.counts.get("edging rows", _EDGING_ROWS)
    around = cm["bust"] + cm["ease"]
    # The edging adds its rows' height to each front; forgetting it makes a size too big.
    open_width = around - 2 * edging_rows / up + cm["overlap"]
    foundation = plan.counts.get("foundation", even(open_width * across))
    strip = max(1, round(cm["underarm"] * across))
    panels = foundation - 2 * strip
    front = panels // 4
    back = panels - 2 * front
    if open_width <= 0 or front < 2:
        raise Refusal(
            f"A bust of {cm['bust']:g} cm with {cm['ease']:g} cm of ease leaves no room for two "
            f"fronts at this gauge: widen the bust or the ease, narrow the underarm "
            f"({cm['underarm']:g} cm), or work a finer gauge."
        )
    neck = round(cm["neck_width"] * across)
    decreases = max(1, round((neck - (back - 2 * front)) / 2))
    if decreases > front - 1:
        raise Refusal(
            f"A back neck of {cm['neck_width']:g} cm ({neck} loops) is too wide for a back of "
            f"{back} loops: it leaves no shoulder, so narrow the back neck or widen the bust."
        )
    armhole_rows = plan.rows.get("right front", max(1, round(cm["armhole_depth"] * up)))
    if armhole_rows < 2 * decreases - 1:
        raise Refusal(
            f"An armhole of {cm['armhole_depth']:g} cm is {armhole_rows} rows, and the neck needs "
            f"{2 * decreases - 1} for its {decreases} decreases: deepen the armhole or narrow the "
            "back neck."
        )
    side = straight_loops(armhole_rows, gauge)
    sleeve = 2 * side + strip
    if sleeve / across < cm["upper_arm"]:
        raise Refusal(
            f"An armhole of {armhole_rows} rows gives a sleeve {sleeve / across:.0f} cm around, "
            f"tighter than an upper arm of {cm['upper_arm']:g} cm: deepen the armhole."
        )
    length = cm["back_neck_to_cuff"] - back / across / 2
    rounds = plan.rows.get("right sleeve", round(length * up))
    if rounds < 1:
        raise Refusal(
            f"Half a back of {back / across:.0f} cm already reaches the cuff at "
            f"{cm['back_neck_to_cuff']:g} cm: lengthen centre back to cuff."
        )
    # One decrease in round 2 and in every other round, as far as there are rounds for it.
    fewer = min(max(0, sleeve - max(3, round(cm["cuff"] * across))), rounds // 2)
    return Counts(
        foundation=foundation,
        front=front,
        back=back,
        bound_off=strip + 1,
        decreases=decreases,
        # Even, so that the yarn waits at the right edge where the right front begins.
        body_rows=_even_up(plan.rows.get("body", even(cm["body_height"] * up))),
        armhole_rows=armhole_rows,
        sleeve_side=side,
        sleeve_rounds=rounds,
        sleeve_decreases=fewer,
        edging_rows=edging_rows,
    )


def _even_up(rows: int) -> int:
    return rows + rows % 2


def _travel(row: int) -> Direction:
    """Odd rows go right to left. Loop yarn is not turned, so the hand goes to and fro."""
    return Direction.RIGHT_TO_LEFT if row % 2 else Direction.LEFT_TO_RIGHT


def _per(loops: int, rows: int) -> str:
    picked, of = rhythm(loops, rows)
    every = "every row" if of == 1 else f"every {of} rows"
    return f"{loops} over {rows} rows, {picked} from {every}"


class _Cardigan:
    """Works the parts in order. One method a part, so that each reads like the pattern."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.n = counts(plan)
        self.cm = scaled(plan)
        self.b = ScriptBuilder(plan)

    def script(self) -> RowScript:
        self.body()
        self.right_front()
        self.armhole("right armhole", rest=self.n.shoulder, name="right front shoulder")
        self.back()
        self.armhole("left armhole", rest=self.n.back, name="back")
        self.left_front()
        self.shoulders()
        self.sleeve("right")
        self.sleeve("left")
        self.edging()
        self.hem_and_ring()
        n, gauge = self.n, self.plan.gauge
        edgings = 2 * n.edging_rows / gauge.rows_per_cm
        return self.b.finish(
            level=[("right front", "back", "left front"), ("right sleeve", "left sleeve")],
            mirrored=[("right front", "left front")],
            finished_cm={
                "around": n.foundation / gauge.loops_per_cm + edgings - self.cm["overlap"],
                "body height": n.body_rows / gauge.rows_per_cm,
                "armhole depth": n.armhole_rows / gauge.rows_per_cm,
                "back width": n.back / gauge.loops_per_cm,
                "back neck": n.neck / gauge.loops_per_cm,
                "sleeve length": n.sleeve_rounds / gauge.rows_per_cm,
                "upper sleeve": n.sleeve / gauge.loops_per_cm,
                "cuff": (n.sleeve - n.sleeve_decreases) / gauge.loops_per_cm,
            },
        )

    def body(self) -> None:
        n, b = self.n, self.b
        b.step(
            "body",
            Kind.FOUNDATION,
            op("tail"),
            op("co", n.foundation),
            direction=Direction.LEFT_TO_RIGHT,
            note="The first 2 loops are the tail: start counting with the third",
        )
        for row in range(1, n.body_rows + 1):
            b.step(
                "body",
                Kind.ROW,
                op("k", n.foundation),
                row=row,
                planned=n.body_rows,
                direction=_travel(row),
            )
        height = round(self.cm["body_height"], 1)
        b.step(
            "body",
            Kind.MEASURE,
            target_cm=height,
            note=f"Lay it flat and measure from the foundation: {height:g} cm is wanted, after an "
            "even row, so that the yarn waits at the right edge",
        )
        b.back_check("body", "before the armholes")
        b.step(
            "body",
            Kind.FIT_CHECK,
            note="Lay it around the body: the fronts should nearly meet, the edging fills the gap",
        )
        b.step(
            "body",
            Kind.MARKER,
            op("pm", 1, f"after {n.front} loops"),
            op("pm", 1, f"{n.front} loops before the end"),
            note="They show where the armholes begin",
        )

    def _neck_row(self, row: int, *, at_start: bool) -> list[Operation]:
        """A front's row: a decrease in row 1 and every other row until D are worked."""
        n = self.n
        worked = min((row + 1) // 2, n.decreases)
        if row % 2 == 0 or row > 2 * n.decreases - 1:
            return [op("k", n.front - worked)]
        plain, decrease = op("k", n.front - worked - 1), op("dec")
        return [decrease, plain] if at_start else [plain, decrease]

    def _panel(self, part: str, row: int, *operations: Operation, note: str = "") -> None:
        n = self.n
        last = [op("tail")] if row == n.armhole_rows else []
        self.b.step(
            part,
            Kind.ROW,
            *operations,
            *last,
            row=row,
            rows=n.armhole_rows,
            direction=_travel(row),
            note=note,
        )

    def right_front(self) -> None:
        n = self.n
        for row in range(1, n.armhole_rows + 1):
            first = [op("rest", n.foundation - n.front, "body")] if row == 1 else []
            self._panel("right front", row, *first, *self._neck_row(row, at_start=True))
        self.b.back_check("right front", "before the armhole")

    def armhole(self, part: str, rest: int, name: str) -> None:
        n = self.n
        self.b.step(
            part,
            Kind.BIND_OFF,
            op("rest", rest, name),
            op("resume", n.bound_off, "body"),
            op("bo", n.bound_off - 1),
            direction=Direction.RIGHT_TO_LEFT,
            note="Second loop through the first, third through the second, and so on: the last "
            "one stays live and begins the next panel",
        )

    def back(self) -> None:
        n = self.n
        for row in range(1, n.armhole_rows + 1):
            first = [op("resume", n.back - 1, "body"), op("join")] if row == 1 else []
            self._panel("back", row, *first, op("k", n.back))
        self.b.back_check("back", "before the armhole")

    def left_front(self) -> None:
        n = self.n
        for row in range(1, n.armhole_rows + 1):
            first = [op("resume", n.front - 1, "body"), op("join")] if row == 1 else []
            self._panel("left front", row, *first, *self._neck_row(row, at_start=False))
        self.b.back_check("left front", "before the shoulders are closed")

    def shoulders(self) -> None:
        n, b, part = self.n, self.b, "shoulders and neck"
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
        b.step(
            part,
            Kind.FIT_CHECK,
            note="Try it on: the shoulders lie flat and the armholes do not pull",
        )

    def sleeve(self, which: str) -> None:
        n, b, part = self.n, self.b, f"{which} sleeve"
        right = which == "right"
        spare = "left armhole spare"
        b.step(
            part,
            Kind.PICK_UP,
            *([op("rest", 1, spare)] if right else []),
            *([] if right else [op("resume", 1, spare)]),
            op("join"),
            op("pick up", n.sleeve, f"the {which} armhole"),
            direction=Direction.AROUND,
            note=f"Through one strand of the edge, from the lowest point: {n.bound_off - 1} along "
            f"the underarm, then front and back alike, {_per(n.sleeve_side, n.armhole_rows)}"
            + ("" if right else "; the spare loop of the shoulder lies on top of its neighbour"),
        )
        b.step(part, Kind.MARKER, op("pm", 1, "the lowest point"), note="Every round begins here")
        live = n.sleeve
        for row in range(1, n.sleeve_rounds + 1):
            decrease = row % 2 == 0 and row // 2 <= n.sleeve_decreases
            note = ""
            if row == 1 and not right:
                # The spare loop and its neighbour become one, so that the count stays even.
                operations = [op("k", n.sleeve - 1), op("dec")]
                note = "Work the spare loop together with its neighbour"
            elif decrease:
                operations = [op("dec"), op("k", live - 2)]
            else:
                operations = [op("k", live)]
            live -= decrease
            b.step(
                part,
                Kind.ROUND,
                *operations,
                row=row,
                rows=None if right else n.sleeve_rounds,
                planned=n.sleeve_rounds,
                direction=Direction.AROUND,
                note=note,
            )
        length = n.sleeve_rounds / self.plan.gauge.rows_per_cm
        if right:
            half = n.back / self.plan.gauge.loops_per_cm / 2
            wanted = round(self.cm["back_neck_to_cuff"] - half, 1)
            b.step(
                part,
                Kind.MEASURE,
                target_cm=wanted,
                note=f"Measure from the pick-up to the live loops: {wanted:g} cm is wanted",
            )
        else:
            b.step(
                part,
                Kind.FIT_CHECK,
                note=f"Lay both sleeves together: the same {n.sleeve_rounds} rounds, about "
                f"{length:.0f} cm",
            )
        b.back_check(part, "before the cuff is bound off")
        b.step(part, Kind.BIND_OFF, op("bo", live - 1), op("fasten"), op("tail"))

    def edging(self) -> None:
        n, b, gauge, part = self.n, self.b, self.plan.gauge, "edging"
        slope_rows = min(2 * n.decreases, n.armhole_rows)
        plain_rows = n.armhole_rows - slope_rows
        body = straight_loops(n.body_rows, gauge)
        slope = slope_loops(slope_rows, gauge)
        plain = straight_loops(plain_rows, gauge)
        one_side = body + slope + plain
        along = f"up the straight edge {_per(body, n.body_rows)}; "
        along += f"up the slope {_per(slope, slope_rows)}; "
        if plain:
            along += f"on to the shoulder {_per(plain, plain_rows)}; "
        b.step(
            part,
            Kind.PICK_UP,
            op("join"),
            op("pick up", one_side, "the right front edge"),
            op("pick up", n.neck, "the back neck"),
            op("pick up", one_side, "the left front edge"),
            direction=Direction.RIGHT_TO_LEFT,
            note=f"Begin at the lower right corner, through one strand: {along}"
            f"one for one along the back neck; down the left front the same in reverse",
        )
        total = 2 * one_side + n.neck
        for row in range(1, n.edging_rows + 1):
            b.step(
                part,
                Kind.ROW,
                op("k", total),
                row=row,
                rows=n.edging_rows,
                # the pick-up went right to left, so the first row comes back
                direction=_travel(row + 1),
            )
        b.back_check(part, "before the hem")
        b.step(
            part,
            Kind.FIT_CHECK,
            note="Try it on: the fronts hang straight, the edging neither ruffles nor pulls",
        )

    def hem_and_ring(self) -> None:
        n, b, gauge = self.n, self.b, self.plan.gauge
        corner = _CORNER * n.edging_rows
        b.step(
            "hem",
            Kind.PICK_UP,
            op("pick up", corner, "the right corner"),
            op("pick up", n.foundation, "the foundation"),
            op("pick up", corner, "the left corner"),
            direction=Direction.RIGHT_TO_LEFT,
            note=f"One for each of the {n.edging_rows} edging rows at either corner, one for each "
            "foundation loop between",
        )
        ring = b.live
        b.step(
            "ring",
            Kind.BIND_OFF,
            op("bo", ring - 1),
            op("fasten"),
            op("tail"),
            direction=Direction.AROUND,
            note=f"One chain around it all, back to its start: about "
            f"{ring / gauge.loops_per_cm:.0f} cm of edge",
        )
        ends = sum(o.stitch in {"tail", "join"} for step in b.steps for o in step.operations)
        b.step(
            "ring",
            Kind.FINISH,
            note=f"Cut the 2 loops of each of the {ends} ends open and weave them in. Mind the "
            "scissors, and keep loose loops away from infants",
        )


def build(plan: Plan) -> RowScript:
    """The cardigan's script. Raises Refusal where no sound one exists."""
    return _Cardigan(plan).script()


DESIGN = Design(INFO, defaults, build)
