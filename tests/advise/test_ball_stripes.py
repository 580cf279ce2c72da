"""Stripes from the balls in the house, against a hand that counts loop by loop."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counter.commandline import main
from engine.advise.ball_stripes import Frame, frame_of, from_balls
from engine.advise.colours import ball_order
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.plan.planning import make_plan, read_gauge, script_for
from models.script import Craft

FORTY = Frame(width=40, after=())
GAUGE = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: "8 x 10"}


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
        after = (width,) if craft is Craft.NEEDLES else ()
        found = from_balls(Frame(width=width, after=after), balls, ball_loops, repeats)
    except Refusal:
        return
    assert pulled(width, balls, ball_loops, found, craft) == found.left
    assert min(found.left.values()) >= 0


def test_six_balls_in_three_colours():
    # By hand: 40 loops a row; a ball of 250 gives (250 - 4) / 40 = 6 rows. In one repeat three,
    # two and one balls are 18, 12 and 6 rows, one of them the foundation's.
    found = from_balls(FORTY, {"cream": 3, "sand": 2, "sea": 1}, 250, repeats=1)
    assert found.said == "cream 17, sand 12, sea 6"
    assert found.rows == 35


def test_what_does_not_reach_is_refused():
    with pytest.raises(Refusal, match="does not reach for a row of 80"):
        from_balls(Frame(width=80, after=()), {"cream": 2, "sand": 1}, 60)
    with pytest.raises(Refusal, match="ask for fewer"):
        from_balls(FORTY, {"cream": 1, "sand": 1}, 90, repeats=5)
    with pytest.raises(Refusal, match="give 1 to 200"):
        from_balls(FORTY, {"cream": 201, "sand": 1}, 90)


@pytest.mark.parametrize("craft", Craft)
@pytest.mark.parametrize("name", [n for n, one in DESIGNS.items() if one.info.stripes])
def test_the_piece_that_is_begun_so_takes_no_more_balls(name, craft):
    # Also what comes after the stripes: a bind-off, handles, a hood, a chain that closes it.
    gauge, balls = read_gauge(GAUGE[craft]), {"cream": 4, "sand": 3, "sea": 6}
    wish = {"craft": craft, "ball_loops": 500}
    found = from_balls(frame_of(make_plan(name, gauge, **wish)), balls, 500)
    # As high as the balls reach, whatever a tape may ask for.
    plan = make_plan(name, gauge, stripes=found.said, **wish)
    long = "length" if "length" in plan.measures else "height"
    cm = found.rows / gauge.rows_per_cm
    plan = plan.model_copy(update={"measures": {**plan.measures, long: cm}})
    script = script_for(plan)
    striped = script.steps[0].part
    assert sum(s.counts_row for s in script.steps if s.part == striped) == found.rows
    used = {}
    for use in ball_order(script, 500):
        used[use.colour] = max(used.get(use.colour, 0), use.ball)
    assert all(used[colour] <= balls[colour] for colour in balls)


def test_the_command_says_how_to_begin_it(capsys):
    # Two rows of 20 loops and the foundation come from a ball of 64; of the other three.
    words = ["stripes", "scarf", "--width", "40", "--ball", "64", "--repeats", "1"]
    assert main([*words, "--balls", "cream 4, sand 4"]) == 0
    assert "--stripes 'cream 11, sand 12' --length '61.3 cm'" in capsys.readouterr().out
    assert main([*words, "--balls", "cream 1, sand 1"]) == 0
    assert "A scarf has a length of 30 cm to 400 cm: change the balls" in capsys.readouterr().out
    for balls, said in (
        ("cream 2, sand 1, cream 3", "cream stands there twice"),
        ("cream | sand 2, sea 1", "is two colours"),
        ("cream 4", "two colours or more"),
        ("cream four", "how many there are of it"),
    ):
        assert main([*words, "--balls", balls]) == 2
        assert said in capsys.readouterr().err
