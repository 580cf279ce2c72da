"""Picking up: published examples, plane geometry, and sums that must come out."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.craft.pickup import (
    armhole,
    curved_loops,
    pick_up,
    rhythm,
    slope_loops,
    sloped_loops,
    straight_loops,
)
from engine.make import answers
from engine.plan.planning import read_gauge

JUMBO = read_gauge("5 x 3.75")  # L/R = 4/3


def test_twenty_and_twenty_six():
    # Kelbourne Woolens, "Perfectly Picked Up Stitches" (2015): 20 sts and 26 rows per 4 in:
    # 20 per 26, that is 10 per 13.
    gauge = read_gauge("20 x 26 / 4in")
    assert straight_loops(26, gauge) == 20
    assert straight_loops(13, gauge) == 10


def test_seventy_one_from_eighty_eight():
    # knittinghelp.com forum, "How to knit up": pick up 4, skip 1, 17 times, then 3.
    found = pick_up(71, 88)
    assert (found.repeat, found.times, found.rest) == ((4, 5), 17, (3, 3))
    assert found.extras == tuple(range(5, 86, 5))
    assert answers.pick_up(found).startswith(
        "71 loops over 88 rows: pick up 4, skip 1, 17 times, then 3"
    )


def test_two_of_three_over_twenty_inches():
    # The same rule with 16 sts × 24 rows per 4 in: 120 rows over 20 in take 80, two of three.
    gauge = read_gauge("16 x 24 / 4in")
    rows = round(20 * 2.54 * gauge.rows_per_cm)
    assert rows == 120
    found = pick_up(straight_loops(rows, gauge), rows)
    assert (found.loops, found.repeat, found.times, found.rest) == (80, (2, 3), 40, (0, 0))


def test_a_straight_jumbo_edge_takes_four_from_three():
    # Trade rule: one increase every three rows (common practice, no source).
    assert rhythm(straight_loops(30, JUMBO), 30) == (4, 3)
    assert pick_up(40, 30).extras == tuple(range(3, 31, 3))


def test_a_slope_takes_three_from_two():
    # Trade rule: one increase every other row on the slope (common practice, no source); the
    # geometry says 1.424 a row.
    assert slope_loops(1000, JUMBO) == 1424
    assert rhythm(slope_loops(8, JUMBO), 8)[0] / rhythm(slope_loops(8, JUMBO), 8)[1] == (
        pytest.approx(1.424, abs=0.1)
    )


@given(st.integers(1, 80), st.floats(0, 40))
def test_a_slope_is_as_long_as_pythagoras_says(rows, lost):
    length = math.hypot(rows / JUMBO.rows_per_cm, lost / JUMBO.loops_per_cm)
    assert abs(sloped_loops(rows, lost, JUMBO) - length * JUMBO.loops_per_cm) <= 0.5001


def test_a_curve_of_straight_pieces_is_the_slope():
    assert curved_loops([20 - i / 2 for i in range(41)], JUMBO) == sloped_loops(40, 20, JUMBO)
    assert curved_loops([7] * 31, JUMBO) == straight_loops(30, JUMBO)
    with pytest.raises(ValueError, match="two rows"):
        curved_loops([3], JUMBO)


@pytest.mark.parametrize("radius_cm", [20, 40, 80])
def test_a_quarter_circle_comes_to_its_arc(radius_cm):
    rows = round(radius_cm * JUMBO.rows_per_cm)
    widths = [
        radius_cm * JUMBO.loops_per_cm * math.sqrt(max(0.0, 1 - (row / rows) ** 2))
        for row in range(rows + 1)
    ]
    arc = math.pi / 2 * radius_cm * JUMBO.loops_per_cm
    assert curved_loops(widths, JUMBO) == pytest.approx(arc, rel=0.05)


def test_round_an_armhole():
    # Trade rule: about 25 loops for K = 4 and 8 rows at L/R = 4/3 (common practice, no source).
    found = armhole(8, 8, 3, JUMBO)
    assert found.loops == 25
    assert found.front.loops == found.back.loops


@given(st.integers(1, 60), st.integers(1, 60), st.integers(0, 20))
def test_front_and_back_of_an_armhole_balance(front, back, underarm):
    try:
        found = armhole(front, back, underarm, JUMBO)
    except Refusal:
        assert max(front, back) / min(front, back) > 2
        return
    assert found.front.loops == found.back.loops
    assert found.loops == underarm + 2 * found.front.loops


@given(st.integers(1, 300), st.data())
def test_the_groups_sum_up_row_by_row(rows, data):
    loops = data.draw(st.integers(1, 2 * rows))
    found = pick_up(loops, rows)
    assert found.times * found.repeat[0] + found.rest[0] == loops
    assert found.times * found.repeat[1] + found.rest[1] == rows
    assert 0 <= found.rest[0] <= 2 * found.rest[1]
    assert set(found.extras) <= set(range(1, rows + 1))


@given(st.integers(10, 300), st.floats(0.3, 1.9))
def test_the_extras_make_up_the_difference(rows, per_row):
    found = pick_up(max(1, round(rows * per_row)), rows)
    surplus = found.loops - found.rows
    if found.adds and per_row > 1 and found.rest[0] >= found.rest[1]:
        assert len(found.extras) == surplus
    if per_row < 1 and found.repeat[0] <= found.repeat[1] and found.rest[0] <= found.rest[1]:
        assert len(found.extras) == -surplus


@given(st.integers(1, 200), st.floats(0.3, 1.9))
def test_the_rhythms_error_is_what_it_would_miss(rows, per_row):
    loops = max(1, round(rows * per_row))
    found = pick_up(loops, rows)
    assert found.error == pytest.approx(rows * found.repeat[0] / found.repeat[1] - loops)


@pytest.mark.parametrize(("loops", "rows"), [(0, 5), (5, 0), (11, 5)])
def test_an_impossible_edge_is_refused(loops, rows):
    with pytest.raises(Refusal):
        pick_up(loops, rows)
