"""Slopes, crowns and yokes against published figures, and worked again by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.craft.shaping import WEDGES, crown, taper, yoke
from models.gauge import Gauge


def test_a_taper_in_pairs_shapes_half_as_many_rows():
    # One loop at each end of a shaped row: common practice, no source.
    found = taper(20, 84, each=2, every=2)
    assert len(found.gaps) == 10
    assert all(row % 2 == 0 for row in found.at)
    assert found.at[-1] + found.after == 84


@given(st.integers(1, 300), st.integers(1, 300), st.sampled_from([1, 2]), st.sampled_from([1, 2]))
def test_a_taper_changes_all_its_loops_within_its_rows(loops, rows, each, every):
    try:
        found = taper(loops, rows, each=each, every=every)
    except Refusal:
        assert loops % each or loops // each > rows // every
        return
    assert len(found.at) * each == loops
    assert found.at[-1] <= rows
    assert list(found.at) == sorted(set(found.at))
    assert max(found.gaps) - min(found.gaps) <= every


@pytest.mark.parametrize(
    ("body", "cuff", "sleeve", "joined", "neck"),
    # Country Wool, "Betsi's Raglan Sweater": cuff 20 %, top of the sleeve 33 %, first round of
    # the yoke 133 %, neck 40 % of the loops around the body.
    [(200, 40, 66, 266, 80), (180, 36, 60, 239, 72), (100, 20, 33, 133, 40)],
)
def test_a_yoke_by_the_percentage_system(body, cuff, sleeve, joined, neck):
    found = yoke(body)
    assert (found.cuff, found.neck) == (cuff, neck)
    assert abs(found.sleeve - sleeve) <= 1
    assert abs(found.joined - joined) <= 2


@given(st.integers(20, 600), st.floats(4, 40), st.floats(4, 40))
def test_a_yoke_narrows_without_a_break_from_its_joining_to_the_neck(body, loops, rows):
    try:
        found = yoke(body, Gauge(loops_per_10cm=loops, rows_per_10cm=rows))
    except Refusal:
        return
    live = found.joined
    for one in found.narrowing:
        assert one.before == live > one.after
        assert 2 * (one.before - one.after) <= one.before  # each decrease has its two loops
        live = one.after
    at = [one.round for one in found.narrowing]
    assert at == sorted(set(at))
    assert at[-1] == found.rounds


@given(st.integers(1, 400), st.one_of(st.none(), st.integers(1, 20)), st.booleans())
def test_a_crown_worked_wedge_by_wedge_ends_at_one_loop_each(loops, wedges, quick):
    try:
        found = crown(loops, wedges, quick=quick)
    except Refusal:
        return
    width, before = found.wedge, loops
    assert width * found.wedges == loops
    for live in found.rounds:
        width -= live != before
        assert live == width * found.wedges
        before = live
    assert (width, found.left) == (1, found.wedges)
    assert quick is (len(found.rounds) == found.wedge - 1) or found.wedge <= 3


def test_a_crown_has_seven_to_ten_wedges_where_nobody_says_how_many():
    # Common practice, no source.
    assert {crown(loops).wedges for loops in (63, 64, 70, 72, 81, 90, 96, 100)} <= set(WEDGES)


@pytest.mark.parametrize("loops", [97, 11, 13])
def test_a_crown_that_does_not_divide_names_the_nearest_that_does(loops):
    with pytest.raises(Refusal, match=r"have (\d+) before") as told:
        crown(loops)
    near = int(str(told.value).split("have ")[1].split()[0])
    assert crown(near).loops == near


@pytest.mark.parametrize("wrong", [0, -3, 30_000])
def test_a_number_out_of_all_bounds_is_refused(wrong):
    for sums in (lambda: crown(wrong), lambda: yoke(wrong), lambda: taper(wrong, 10)):
        with pytest.raises(Refusal):
            sums()
