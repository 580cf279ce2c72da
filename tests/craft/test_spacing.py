"""Even spacing, against published examples and an independent way of making the same rhythm."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.craft.spacing import decrease_evenly, gaps, increase_evenly, over_rows


def bjorklund(ones: int, length: int) -> list[int]:
    """Euclid's algorithm on rests and beats, as in Toussaint, "The Euclidean Algorithm Generates
    Traditional Musical Rhythms" (2005); no line is drawn and nothing is rounded."""
    heads, tails = [[1]] * ones, [[0]] * (length - ones)
    while len(tails) > 1:
        paired = min(len(heads), len(tails))
        rest = heads[paired:] or tails[paired:]
        heads = [heads[i] + tails[i] for i in range(paired)]
        tails = rest
    return [beat for group in heads + tails for beat in group]


def intervals(beats: list[int]) -> list[int]:
    at = [i for i, beat in enumerate(beats) if beat]
    return [(b - a) % len(beats) or len(beats) for a, b in zip(at, at[1:] + at[:1], strict=True)]


def turned(one: list[int], other: list[int]) -> bool:
    """Whether one is the other begun elsewhere."""
    return len(one) == len(other) and any(
        one[i:] + one[:i] == other for i in range(max(1, len(one)))
    )


@pytest.mark.parametrize(
    ("ones", "length", "published"),
    [
        # Toussaint 2005, the rhythms' interval notation (from memory)
        (3, 8, [3, 3, 2]),
        (5, 8, [2, 1, 2, 1, 2]),
        (7, 12, [2, 1, 2, 2, 1, 2, 2]),
        (5, 16, [3, 3, 3, 3, 4]),
        (2, 5, [2, 3]),
    ],
)
def test_published_rhythms(ones, length, published):
    assert turned(intervals(bjorklund(ones, length)), published)
    assert turned(list(gaps(length, ones)), published)


@given(st.integers(1, 60), st.integers(1, 300))
def test_gaps_are_the_euclidean_rhythm(parts, total):
    if parts > total:
        parts, total = total, parts
    assert turned(list(gaps(total, parts)), intervals(bjorklund(parts, total)))


@given(st.integers(0, 500), st.integers(1, 80))
def test_gaps_sum_up_and_differ_by_one_at_most(total, parts):
    found = gaps(total, parts)
    assert sum(found) == total
    assert max(found) - min(found) <= 1
    # Nothing bunches: any run of shares is within one of its fair part, from either end.
    for run in (found, found[::-1]):
        for i in range(1, parts + 1):
            assert abs(sum(run[:i]) - i * total / parts) <= 1


def test_increase_six_in_forty_eight():
    # Modern Daily Knitting, "Techniques in Depth: Evenly Across": increase 6 in 48, every 8.
    spread = increase_evenly(48, 6, closed=True)
    assert spread.plain == (8,) * 6
    assert spread.loops_after == 54


def test_increase_ten_in_eighty():
    # fibertools.app, "Increase/decrease guide": 80 stitches, 10 more: every 8, 90 in the end.
    spread = increase_evenly(80, 10, closed=True)
    assert (set(spread.plain), spread.loops_after) == ({8}, 90)


def test_increase_seven_in_a_hundred():
    # fibertools.app: 100 stitches, 7 more: most sections have 14, two have 15.
    plain = increase_evenly(100, 7, closed=True).plain
    assert (plain.count(14), plain.count(15)) == (5, 2)


def test_decrease_ninety_to_eighty():
    # fibertools.app: 90 stitches, 10 fewer: work 7, decrease, and repeat.
    spread = decrease_evenly(90, 10, closed=True)
    assert (set(spread.plain), spread.loops_after) == ({7}, 80)


def test_decrease_ten_in_eighty_with_centred_gaps():
    # 10rowsaday.com, "Evenly increase & decrease": ten decreases in 80 make eleven gaps, 80/11.
    spread = decrease_evenly(80, 10)
    assert len(spread.plain) == 11
    assert spread.loops_after == 70
    centres = [place + 1 for place in spread.places]  # between the two loops taken together
    assert centres == [round(80 / 11 * i) for i in range(1, 11)]


@pytest.mark.parametrize(
    ("rows", "changes", "each"),
    [
        # getknitting.com, "Knitting and the Magic Formula": 4 × every 3rd row, 32 × every 4th.
        (140, 36, {3: 4, 4: 32}),
        # kristentendyke.blogspot.com, 2014, "How to Increase Evenly…": 108 ÷ 11 = 9, 9 left over.
        (108, 11, {9: 2, 10: 9}),
        # designyourownsweater.blogspot.com, 2007, "Sleeve": 176 rows, 42: 34 × 4th, 8 × 5th.
        (176, 42, {4: 34, 5: 8}),
    ],
)
def test_shaping_over_rows(rows, changes, each):
    found = over_rows(rows, changes)
    assert {gap: found.count(gap) for gap in set(found)} == each
    assert sum(found) == rows


def test_shaping_on_every_other_row_keeps_to_the_right_side():
    assert all(gap % 2 == 0 for gap in over_rows(31, 7, every=2))


@pytest.mark.parametrize(("loops", "number"), [(5, 3), (1, 1)])
def test_too_many_decreases_are_refused(loops, number):
    with pytest.raises(Refusal, match="too few"):
        decrease_evenly(loops, number)


def test_more_changes_than_rows_are_refused():
    with pytest.raises(Refusal, match="do not fit"):
        over_rows(5, 6)
    with pytest.raises(Refusal, match="nothing to increase"):
        increase_evenly(10, 0)


@given(st.integers(2, 300), st.data())
def test_a_decrease_row_worked_stitch_by_stitch_comes_out(loops, data):
    take = data.draw(st.integers(1, loops // 2))
    spread = decrease_evenly(loops, take, closed=data.draw(st.booleans()))
    row = list(range(loops))
    made = 0
    for i, plain in enumerate(spread.plain):
        row, made = row[plain:], made + plain
        if i < spread.changes:
            assert len(row) >= 2
            row, made = row[2:], made + 1
    assert row == []
    assert made == spread.loops_after == loops - take
