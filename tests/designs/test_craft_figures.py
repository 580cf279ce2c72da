"""The designs' arithmetic against published figures and the trade's rules, source by source."""

import itertools
import math

import pytest

from engine.craft.pickup import rhythm, slope_loops, straight_loops
from engine.craft.sizes import BODY_SIZES, CHILD_SIZES
from engine.craft.spacing import gaps
from engine.designs.cardigan import STYLE
from engine.designs.openfront.counts import counts
from engine.plan.planning import make_plan, read_gauge, script_for
from models.gauge import Gauge
from models.script import Craft, Kind

JUMBO = Gauge(loops_per_10cm=5, rows_per_10cm=3.75)
"""L/R = 4/3, the ratio in which the trade's rules for loop yarn are given."""


def plan_for(design="cardigan", gauge=JUMBO, **given):
    counts = {k: given.pop(k) for k in ("rows", "counts") if k in given}
    plan = make_plan(design, gauge, **given)
    return plan.model_copy(update=counts)


# --- picking up -----------------------------------------------------------------------------


def test_pick_up_by_gauge_20_and_26():
    # Kelbourne Woolens, "Perfectly Picked Up Stitches", 2015: 20 sts and 26 rows per 4 in
    # -> 20 from 26 rows, which is 10 from 13.
    gauge = read_gauge("20 x 26 / 4in")
    assert straight_loops(26, gauge) == 20
    assert straight_loops(13, gauge) == 10
    assert gauge.loops_per_row == pytest.approx(10 / 13)


def test_pick_up_88_rows_71_loops():
    # knittinghelp.com forum, "How to knit up": 88 rows, 71 loops -> pick up 4 and skip 1,
    # 17 times, then 3.
    picked, of = rhythm(71, 88)
    assert (picked, of) == (4, 5)
    repeats, left = divmod(88, of)
    assert (repeats, repeats * picked + left) == (17, 71)


def test_pick_up_two_of_three():
    # Worked example (from memory): 16 sts x 24 rows per 4 in over 20 in -> 120 rows, 80 sts,
    # 2 of every 3.
    gauge = read_gauge("16 x 24 / 4in")
    rows = round(20 * 2.54 * gauge.rows_per_cm)
    assert rows == 120
    assert straight_loops(rows, gauge) == 80
    assert rhythm(80, 120) == (2, 3)


def test_straight_edge_of_loop_yarn():
    # Common practice, no source: one increase every three rows, 4 loops from 3 rows.
    assert straight_loops(3, JUMBO) == 4
    assert rhythm(straight_loops(30, JUMBO), 30) == (4, 3)


def test_slope_of_loop_yarn_is_three_from_two():
    # Common practice, no source: one increase every other row, 3 loops from 2 rows. The geometry
    # of the slope, 1.424 loops a row, rounds to it.
    exact = math.hypot(2 / JUMBO.rows_per_cm, 1 / JUMBO.loops_per_cm) / 2 * JUMBO.loops_per_cm
    assert exact == pytest.approx(1.424, abs=5e-4)
    assert slope_loops(100, JUMBO) == round(100 * exact)
    assert slope_loops(2, JUMBO) == 3
    assert rhythm(slope_loops(8, JUMBO), 8, longest=2) == (3, 2)


# --- spacing --------------------------------------------------------------------------------


def test_increase_6_in_48():
    # Modern Daily Knitting, "Techniques in Depth: Evenly Across": increase 6 in 48 -> every 8.
    assert gaps(48, 6) == (8,) * 6


def test_shawl_grows_by_the_magic_formula():
    # getknitting.com, "Knitting and the Magic Formula": 36 increases over 140 rows -> 4 times
    # every 3rd row and 32 times every 4th.
    gauge = Gauge(loops_per_10cm=10, rows_per_10cm=20)
    height = (140 + 2) / gauge.rows_per_cm
    script = script_for(plan_for("shawl", gauge, given={"width": 75.0, "height": height}))
    grown = [
        s.row
        for s in script.steps
        if s.part == "shawl" and s.loops_after > s.loops_before and s.counts_row
    ]
    assert len(grown) == 36
    between = [b - a for a, b in itertools.pairwise([0, *grown])]
    assert (between.count(3), between.count(4)) == (4, 32)


def test_quick_crown_loses_a_quarter_of_the_cap_each_time():
    # Interweave, "Shape Up! Hat-Crown Decreases Explained": groups of 4 become 3, then 2, then 1
    # ("*k2, k2tog; rep from *", then "*k1, k2tog", then "*k2tog"), and 5 to 8 remain.
    script = script_for(plan_for("cap", craft=Craft.LOOP, given={"head": 64.0, "ease": 0.0}))
    crown = [s for s in script.steps if s.part == "crown" and s.kind is Kind.ROUND]
    assert [(s.loops_before, s.loops_after) for s in crown] == [(32, 24), (24, 16), (16, 8)]
    assert [(o.stitch, o.times) for o in crown[0].operations] == [("k", 2), ("dec", 1)] * 8
    assert [(o.stitch, o.times) for o in crown[1].operations] == [("k", 1), ("dec", 1)] * 8
    assert [(o.stitch, o.times) for o in crown[2].operations] == [("dec", 8)]


def test_crown_of_needles_loses_about_eight_every_other_round():
    # Woolly Wormhead, "Crown Shaping Masterclass", 2016: a crown is a flat circle, whose
    # circumference is 2 pi times its radius; in stocking stitch that comes to about 8 every other
    # round, 4 a round.
    gauge = read_gauge("22 x 32")
    script = script_for(plan_for("cap", gauge, craft=Craft.NEEDLES, size="M"))
    crown = [s for s in script.steps if s.part == "crown" and s.kind is Kind.ROUND]
    lost = [s.loops_before - s.loops_after for s in crown]
    assert lost[1::2] == [0] * (len(lost) // 2)
    assert set(lost[2::2]) == {9}
    radius = crown[0].loops_before / gauge.loops_per_cm / (2 * math.pi)
    assert len(crown) / gauge.rows_per_cm == pytest.approx(radius, rel=0.15)


# --- widths and sizes -----------------------------------------------------------------------


def test_throw_of_65_loops():
    # hometalk.com, "How to finger knit with loop yarn": 65 loops across are about 51 in.
    wide = 51 * 2.54
    script = script_for(plan_for("throw", given={"width": wide}))
    assert script.steps[0].loops_after == pytest.approx(65, abs=1)
    script = script_for(
        plan_for(
            "throw", Gauge(loops_per_10cm=65 / wide * 10, rows_per_10cm=4), given={"width": wide}
        )
    )
    assert script.steps[0].loops_after == 65
    assert script.finished_cm["width"] == pytest.approx(wide, abs=0.1)


def test_jumbo_gauge_is_a_jumbo_yarn():
    # Craft Yarn Council, Standard Yarn Weight System: jumbo (7) has 6 stitches or fewer in 10 cm.
    assert JUMBO.loops_per_10cm <= 6


def test_womens_bust():
    # Craft Yarn Council, Standard Body Measurements; the bust row as yayforyarn.com gives it.
    middles = [29, 33, 37, 41, 45, 49, 53, 57, 61]
    assert [round(s.bust / 2.54, 1) for s in BODY_SIZES.values()] == middles


def test_childrens_sizes():
    # crochetkitten.com, "Measurements for Designers: Children", in inches.
    published = {
        "cross_back": [9.25, 9.75, 10.25, 10.75, 11.25, 12, 12.25, 13],
        "upper_arm": [7, 7.5, 8, 8.5, 8.75, 9, 9.25, 9.5],
        "back_waist_length": [8.5, 9.5, 10.5, 12.5, 14, 15, 15.5, 16],
        "armhole_depth": [4.25, 4.75, 5, 5.5, 6, 6.5, 7, 7.5],
        "sleeve_to_underarm": [8.5, 10.5, 11.5, 12.5, 13.5, 15, 16, 16.5],
    }
    for name, inches in published.items():
        ours = [getattr(size, name) / 2.54 for size in CHILD_SIZES.values()]
        assert ours == pytest.approx(inches, abs=0.03)


# --- the cardigan ---------------------------------------------------------------------------


def body_of(**given):
    return counts(STYLE, plan_for(**given)).body


def test_across_the_body_worked_case():
    # Worked case: N = 30, K = 4 -> 2F + B = 24, F = 6, B = 12 (common practice, no source). It is
    # given by its numbers: nobody's measurements make it.
    numbers = {"foundation": 30, "front": 6, "back": 12, "neck": 4, "underarm": 3}
    plan = plan_for(counts=numbers)
    n = counts(STYLE, plan).body
    across = n.across
    assert (across.foundation, n.bound_off, across.front, across.back) == (30, 4, 6, 12)
    assert (across.shoulder, across.decreases) == (4, 2)
    script = script_for(plan)
    assert script.steps[0].loops_after == 30
    assert next(s for s in script.steps if s.part == "back" and s.counts_row).loops_after == 12


def test_the_finished_medium_is_solved_as_a_whole():
    # By hand: 42 loops, fronts 7, back 22, four decreases, shoulders 3, neck 16 loops = 32 cm, of
    # which the edgings leave 16; fronts with their edging as wide as the back, 44 cm, and that is
    # the cross back of 40 cm with half the ease.
    n = body_of(size="M")
    across = n.across
    assert (across.foundation, across.front, across.back, across.strip) == (42, 7, 22, 3)
    assert (across.decreases, across.shoulder, across.neck) == (4, 3, 16)
    done = script_for(plan_for(size="M")).finished_cm
    assert (done["back neck"], done["back width"], done["fronts"]) == (16, 44, 44)


@pytest.mark.parametrize("size", BODY_SIZES)
def test_across_the_body(size):
    across = body_of(size=size).across
    panels = 2 * across.front + across.back
    assert across.foundation == panels + 2 * across.strip
    assert across.back == 2 * across.shoulder + across.neck
    assert across.front == across.shoulder + across.decreases


def test_sleeve_of_the_usual_armhole():
    # Common practice, no source: K = 4 and 8 rows at L/R = 4/3 take 24 to 26 loops, usually 25.
    n = body_of(given={"underarm": 6.0}, rows={"right front": 8})
    assert (n.bound_off, n.armhole_rows) == (4, 8)
    assert 24 <= n.around_armhole <= 26


def test_eight_rows_carry_four_decreases():
    # Common practice, no source: a decrease in row 1, plain in row 2, ...: 4 in 8 rows.
    plan = plan_for(rows={"right front": 8}, given={"neck_width": 16.0})
    n = counts(STYLE, plan).body
    assert n.across.decreases == 4
    script = script_for(plan)
    right, left = (
        [s for s in script.steps if s.part == part and s.counts_row]
        for part in ("right front", "left front")
    )
    for front in (right, left):
        assert [s.loops_before - s.loops_after for s in front] == [1, 0] * 4
    # At the start of the right front's row, at the end of the left front's.
    for begin, end in zip(right[::2], left[::2], strict=True):
        worked = [o.stitch for o in begin.operations if o.takes]
        assert worked == ["dec", "k"]
        assert [o.stitch for o in end.operations if o.takes] == worked[::-1]


def test_edging_belongs_to_the_width():
    # Three edging rows add 3/R to each front edge: 8 cm at 3.75 rows per 10 cm.
    plan = plan_for(size="M")
    script = script_for(plan)
    width = 3 / JUMBO.rows_per_cm
    assert width == pytest.approx(8.0)
    body = script.steps[0].loops_after / JUMBO.loops_per_cm
    assert script.finished_cm["around"] == pytest.approx(body + 2 * width, abs=0.05)
    wanted = plan.measures["bust"] + plan.measures["ease"]
    assert script.finished_cm["around"] == pytest.approx(wanted, abs=2 / JUMBO.loops_per_cm)


def test_sleeve_length_leaves_out_half_the_back():
    plan = plan_for(size="M")
    n = counts(STYLE, plan)
    half = n.body.across.back / JUMBO.loops_per_cm / 2
    assert n.sleeve.length_cm == pytest.approx(plan.measures["back_neck_to_cuff"] - half)


def test_corners_take_one_loop_an_edging_row():
    # Common practice, no source: 3 and 3, one for one along the foundation between.
    script = script_for(plan_for(size="M"))
    hem = next(s for s in script.steps if s.part == "hem")
    assert [o.times for o in hem.operations] == [3, script.steps[0].loops_after, 3]


def test_loop_yarn_uses_a_loop_a_loop():
    """A row of n loops pulls n loops of yarn in; a bind-off and a seam pull none."""
    script = script_for(plan_for(size="M"))
    for step in script.steps:
        ends = 2 * sum(o.stitch in {"tail", "join"} for o in step.operations)
        if step.counts_row:
            assert step.yarn_loops == step.loops_after + ends
        if step.kind in {Kind.BIND_OFF, Kind.SEAM}:
            assert step.yarn_loops == ends
