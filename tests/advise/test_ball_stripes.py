"""Stripes from the balls in the house, against a hand that counts loop by loop."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.advise.colours import from_balls
from engine.base.refusal import Refusal
from models.script import Craft


def pulled(width, balls, ball_loops, found, craft):
    """Independent: every ball a list of loops; each row and end takes its own off the front."""
    shelf = {colour: [ball_loops] * count for colour, count in balls.items()}
    wasted = dict.fromkeys(balls, 0)
    order = [(s.colour, s.rows) for _ in range(found.repeats) for s in found.stripes]
    for index, (colour, own) in enumerate(order):
        rows = own + (index == 0)  # the foundation
        rows += craft is Craft.NEEDLES and index == len(order) - 1  # the bind-off
        attached = False
        while rows:
            ball = shelf[colour][0]
            room = (ball - (0 if attached else 2) - 2) // width
            if room < 1:
                if attached:
                    ball -= 2
                wasted[colour] += ball
                shelf[colour].pop(0)
                attached = False
                continue
            done = min(room, rows)
            shelf[colour][0] -= done * width + (0 if attached else 2)
            attached = True
            rows -= done
        shelf[colour][0] -= 2
    return {c: sum(shelf[c]) + wasted[c] for c in balls}


@settings(max_examples=60, deadline=None)
@given(
    st.integers(5, 60),
    st.dictionaries(st.sampled_from(["cream", "sand", "sea"]), st.integers(1, 6), min_size=1),
    st.integers(40, 300),
    st.sampled_from(Craft),
    st.none() | st.integers(1, 4),
)
def test_the_balls_reach_and_what_is_left_is_told(width, balls, ball_loops, craft, repeats):
    try:
        found = from_balls(width, balls, ball_loops, craft, repeats)
    except Refusal:
        return
    assert pulled(width, balls, ball_loops, found, craft) == found.left
    assert min(found.left.values()) >= 0


def test_six_balls_in_three_colours():
    # By hand: 40 loops a row; a ball of 250 gives (250 - 4) / 40 = 6 rows. In one repeat three,
    # two and one balls are 18, 12 and 6 rows, one of them the foundation's.
    found = from_balls(40, {"cream": 3, "sand": 2, "sea": 1}, 250, Craft.LOOP, repeats=1)
    assert found.said == "cream 17, sand 12, sea 6"
    assert found.rows == 35


def test_what_does_not_reach_is_refused():
    with pytest.raises(Refusal, match="does not reach for a row of 80"):
        from_balls(80, {"cream": 2, "sand": 1}, 60, Craft.LOOP)
    with pytest.raises(Refusal, match="ask for fewer"):
        from_balls(40, {"cream": 1, "sand": 1}, 90, Craft.LOOP, repeats=5)
