"""The garments' finished measures, and tapers, against figures that others have published.

Where a figure is another designer's choice, ours lies within a span about it, told beside it.
"""

from collections import Counter
from itertools import accumulate, pairwise

import pytest

from engine.craft.sizes import BODY_SIZES
from engine.craft.spacing import gaps
from engine.craft.taper import tapered
from engine.designs.cardigan import STYLE
from engine.plan.planning import make_plan, read_gauge, script_for

SIZES = tuple(BODY_SIZES)
FINE = read_gauge("22 x 30")


@pytest.fixture(scope="module")
def finished():
    return {s: script_for(make_plan("cardigan", FINE, size=s)).finished_cm for s in SIZES}


# morrisandsons.com.au, "Heaven cardigan": nine sizes, around and across the back, cm.
AROUND = (85, 93, 103, 113, 123, 133, 143, 153, 163)
BACK = (35, 38, 41, 44, 46, 48, 50, 51, 56)


@pytest.mark.parametrize(("size", "around", "back"), list(zip(SIZES, AROUND, BACK, strict=True)))
def test_a_published_cardigan_is_as_wide(finished, size, around, back):
    """A loose one: around it lies within half a size and a little of ours, across within a hand."""
    assert finished[size]["around"] == pytest.approx(around, abs=6)
    assert finished[size]["back width"] == pytest.approx(back, abs=7)


@pytest.mark.parametrize("size", SIZES)
def test_a_published_armholes_span(finished, size):
    # The same: armholes of 20 to 29 cm over its sizes; ours begin a size smaller.
    assert 20 - 1.5 <= finished[size]["armhole depth"] <= 29


@pytest.mark.parametrize("size", SIZES)
def test_a_neck_is_a_third_of_the_back_and_a_little(size):
    # A hand-knitting textbook quoted at zanotowane.pl/713/7882: a third of the back's width, plus
    # 1¼ to 1½ in; the finished neck of a deep edging is within half an inch of that.
    third = BODY_SIZES[size].cross_back / 3
    neck = STYLE.defaults(size)["neck_width"]
    assert third + 1.25 * 2.54 - 1.3 <= neck <= third + 1.5 * 2.54 + 1.3


@pytest.mark.parametrize("size", ["M", "L", "1X"])
def test_the_cuff_of_the_percentage_system(finished, size):
    # Country Wool, "Betsi's Raglan Sweater": the cuff is 20 % of the body; the middle sizes keep
    # to it, the others go by the wrist.
    assert finished[size]["cuff"] / finished[size]["around"] == pytest.approx(0.2, abs=0.025)


@pytest.mark.parametrize(
    ("lost", "rounds", "between"),
    [
        (36, 140, {3: 4, 4: 32}),  # getknitting.com, "Knitting and the Magic Formula"
        (42, 176, {4: 34, 5: 8}),  # the same formula, worked by hand
    ],
)
def test_tapers_of_the_magic_formula(lost, rounds, between):
    # Our sleeve keeps the round after the pick-up and the last one plain: two more in all.
    at = [row for row, n in enumerate(tapered(lost, rounds + 2), 1) for _ in range(n)]
    assert len(at) == lost
    assert Counter(b - a for a, b in pairwise([1, *at])) == between


def test_increase_8_in_115():
    # By the rule of Modern Daily Knitting, "Evenly Across": 115 / 8 is 14 and 3 left over, so five
    # times 14 and three times 15.
    assert Counter(gaps(115, 8)) == {14: 5, 15: 3}


def test_a_published_back_grows_slower_than_the_circumference(finished):
    # The same cardigan: from its smallest to its largest size the back grows by 27 % of what the
    # circumference does; ours by a third at most, and neither ever shrinks.
    backs = [finished[s]["back width"] for s in SIZES]
    around = [finished[s]["around"] for s in SIZES]
    assert (BACK[-1] - BACK[0]) / (AROUND[-1] - AROUND[0]) == pytest.approx(0.27, abs=0.01)
    assert (backs[-1] - backs[0]) / (around[-1] - around[0]) < 1 / 3
    assert list(accumulate(backs, max)) == backs
    assert list(accumulate(around, max)) == around
