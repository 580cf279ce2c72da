"""From centimetres to loops and rows, and the sentence that says why there is no way."""

from dataclasses import dataclass

from engine.base.refusal import Refusal
from engine.craft.pickup import straight_loops
from engine.designs.design import even, scaled
from engine.script.wording import loop_word
from models.plan import Plan


@dataclass(frozen=True)
class BodyCounts:
    """The body in loops and rows. The letters are those of the package's formula."""

    foundation: int  # N
    front: int  # F
    back: int  # B
    bound_off: int  # K
    decreases: int  # D
    body_rows: int
    armhole_rows: int  # Ra
    side: int
    """Loops picked up along one side of an armhole."""
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
    def around_armhole(self) -> int:
        """Loops of the first round at an armhole: both its sides and the underarm."""
        return 2 * self.side + self.bound_off - 1


@dataclass(frozen=True)
class SleeveCounts:
    """A sleeve in rounds."""

    rounds: int
    decreases: int
    length_cm: float


def body_counts(plan: Plan, edging_rows: int) -> BodyCounts:
    """The body's loops and rows. Raises Refusal, naming the measurement to change."""
    cm, gauge, loops = scaled(plan), plan.gauge, loop_word(plan.craft)
    across, up = gauge.loops_per_cm, gauge.rows_per_cm
    edging_rows = plan.counts.get("edging rows", edging_rows)
    around = cm["bust"] + cm["ease"]
    # The edging adds its rows' height to each front; forgetting it makes a size too big.
    open_width = around - 2 * edging_rows / up + cm["overlap"]
    foundation = plan.counts.get("foundation", even(open_width * across))
    listed = _listed(plan, foundation)
    strip = listed["bound off"] - 1 if listed else max(1, round(cm["underarm"] * across))
    panels = foundation - 2 * strip
    front = listed.get("front", panels // 4)
    back = panels - 2 * front
    if open_width <= 0 or front < 2:
        raise Refusal(
            f"A bust of {cm['bust']:g} cm with {cm['ease']:g} cm of ease leaves no room for two "
            f"fronts at this gauge: widen the bust or the ease, narrow the underarm "
            f"({cm['underarm']:g} cm), or work a finer gauge."
        )
    neck = round(cm["neck_width"] * across)
    decreases = listed.get("neck decreases", max(1, round((neck - (back - 2 * front)) / 2)))
    if decreases > front - 1:
        raise Refusal(
            f"A back neck of {cm['neck_width']:g} cm ({neck} {loops}) is too wide for a back of "
            f"{back} {loops}: it leaves no shoulder, so narrow the back neck or widen the bust."
        )
    armhole_rows = plan.rows.get("right front", max(1, round(cm["armhole_depth"] * up)))
    if armhole_rows < 2 * decreases - 1:
        raise Refusal(
            f"An armhole of {cm['armhole_depth']:g} cm is {armhole_rows} rows, and the neck needs "
            f"{2 * decreases - 1} for its {decreases} decreases: deepen the armhole or narrow the "
            "back neck."
        )
    counts = BodyCounts(
        foundation=foundation,
        front=front,
        back=back,
        bound_off=strip + 1,
        decreases=decreases,
        # Even, so that the yarn waits at the right edge where the right front begins.
        body_rows=_even_up(plan.rows.get("body", even(cm["body_height"] * up))),
        armhole_rows=armhole_rows,
        # A fit check may have asked for a looser or a tighter sleeve.
        side=_side(listed, armhole_rows, plan) + plan.counts.get("armhole ease", 0),
        edging_rows=edging_rows,
    )
    opening = counts.around_armhole / across
    if opening < cm["upper_arm"]:
        raise Refusal(
            f"An armhole of {armhole_rows} rows is {opening:.0f} cm around, tighter than an upper "
            f"arm of {cm['upper_arm']:g} cm: deepen the armhole."
        )
    return counts


def _listed(plan: Plan, foundation: int) -> dict[str, int]:
    """Loops that the maker gave by number, as long as they make up the foundation."""
    n = plan.counts
    if not {"front", "back", "bound off"} <= n.keys():
        return {}
    across = 2 * n["front"] + n["back"] + 2 * (n["bound off"] - 1)
    return n if across == foundation else {}


def _side(listed: dict[str, int], armhole_rows: int, plan: Plan) -> int:
    """Loops along one side of an armhole: half of what is given, while it is as high as given."""
    if "sleeve" in listed and listed.get("armhole rows") == armhole_rows:
        return (listed["sleeve"] - (listed["bound off"] - 1)) // 2
    return straight_loops(armhole_rows, plan.gauge)


def _even_up(rows: int) -> int:
    return rows + rows % 2


def sleeve_counts(plan: Plan, body: BodyCounts) -> SleeveCounts:
    """The sleeve's rounds. Raises Refusal, naming the measurement to change."""
    cm, gauge = scaled(plan), plan.gauge
    half_back = body.back / gauge.loops_per_cm / 2
    length = cm["back_neck_to_cuff"] - half_back
    rounds = plan.rows.get("right sleeve", round(length * gauge.rows_per_cm))
    if rounds < 1:
        raise Refusal(
            f"Half a back of {half_back:.0f} cm already reaches the cuff at "
            f"{cm['back_neck_to_cuff']:g} cm: lengthen centre back to cuff."
        )
    cuff = plan.counts.get("cuff", max(3, round(cm["cuff"] * gauge.loops_per_cm)))
    # One decrease in round 2 and in every other round, as far as there are rounds for it.
    decreases = min(max(0, body.around_armhole - cuff), rounds // 2)
    return SleeveCounts(rounds, decreases, length)
