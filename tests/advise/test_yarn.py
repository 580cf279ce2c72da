"""The yarn: published sums, and a ball pulled loop by loop."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.advise import yarn
from engine.advise.replan import landing
from engine.base.refusal import Refusal
from engine.craft.swatch import read_swatch
from engine.designs import DESIGNS
from engine.make import answers
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from models.script import Craft
from models.state import MakeState
from models.swatch import Swatch
from tests.advise.helpers import CARDIGAN, JUMBO, THROW, Action, AtWork, Kind


def test_a_garment_by_the_weight_of_its_swatch():
    # getknitting.com, "Estimating Yarn Quantities (1)": 10 000 stitches weigh 70 g, so 130 800
    # stitches weigh 13.08 × 70 = 915.6 g. The foundation is a row of them: 99 lie above it.
    swatch = read_swatch("100 x 99 over 45 x 36 cm, 70 g")
    assert 130_800 * yarn.grams_per_loop(swatch) == pytest.approx(915.6)
    bought = yarn.purchase_by_weight(130_800, yarn.grams_per_loop(swatch), 50, reserve=0)
    assert bought.grams == pytest.approx(915.6)
    assert bought.balls == 19  # 915.6 / 50 = 18.3


def test_a_swatch_weighs_its_foundation_too():
    # By hand: ten rows of ten loops stand on ten more, so 110 loops weigh what the scale says.
    assert yarn.grams_per_loop(read_swatch("10 x 10 over 20 x 27 cm, 55 g")) == pytest.approx(0.5)


def test_length_by_the_weight_of_a_swatch():
    # yarnnomads.com, "Another Reason to Swatch": 50 g are 87 yards, so a swatch of 4 g is 6.96.
    swatch = Swatch(loops=30, rows=40, width_cm=15, height_cm=15, grams=4)
    assert swatch.worked_loops * yarn.length_per_loop(swatch, 87, 50) == pytest.approx(6.96)


def test_an_unweighed_swatch_tells_no_weight():
    with pytest.raises(Refusal, match="not weighed"):
        yarn.grams_per_loop(read_swatch("8 x 7 over 15 x 18"))


def test_a_throw_counted_by_hand():
    # 20 loops × 12 rows, 20 for the foundation, 2 at either end (common practice, no source).
    script = script_for(THROW)
    assert script.yarn_loops == 20 * 12 + 20 + 2 + 2
    assert yarn.per_part(script) == {"throw": 264}


@pytest.mark.parametrize("name", DESIGNS)
def test_parts_add_up_to_the_whole(name):
    script = script_for(make_plan(name, read_gauge(usual_gauge(name))))
    assert sum(yarn.per_part(script).values()) == script.yarn_loops


def pulled_loop_by_loop(needs, size):
    """Independent: a ball is pulled a loop at a time; its last two are its end, as long as yarn
    is wanted later. Gives where each ball ends, and what is left on the last."""
    ends, ball, left = [], 1, size
    for step, need in needs:
        keep = 2 if (step, need) != needs[-1] else 0
        for i in range(need):
            # A row that the ball can finish is finished, if an end is left where more is to come.
            if left < need - i + keep and left <= 2:
                ends.append((ball, step, i))
                ball, left = ball + 1, size - 2
            left -= 1
    return ends, left


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from(["throw", "cowl", "cap"]),
    st.integers(9, 400),
    st.floats(4, 8),
)
def test_carrying_on_ends_every_ball_where_pulling_it_does(name, ball, loops):
    plan = make_plan(name, read_gauge(f"{loops:.2f} x 4"), craft=Craft.LOOP, ball_loops=ball)
    script = script_for(plan)
    needs = [(s.number, s.yarn_loops) for s in script.steps if s.yarn_loops]
    carried, left = yarn._run(script.steps, ball, ball, 1, neat=False)
    ends, rest = pulled_loop_by_loop(needs, ball)
    assert [(o.ball, o.step, o.loop) for o in carried] == ends
    assert left == rest
    assert yarn.balls_for(script.yarn_loops, ball) == len(ends) + 1


@given(st.integers(1, 5000), st.integers(5, 500), st.floats(0, 1))
def test_what_is_bought_reaches_with_every_end(loops, ball, reserve):
    bought = yarn.purchase(loops, ball, reserve)
    assert bought.left_over >= int(loops * reserve)
    fewer = bought.balls - 1
    assert fewer == 0 or fewer * ball - 4 * (fewer - 1) < loops * (1 + reserve) + 1


def test_a_ball_that_is_no_more_than_its_ends_is_refused():
    with pytest.raises(Refusal, match="its own ends"):
        yarn.balls_for(100, 4)
    with pytest.raises(Refusal, match="reserve"):
        yarn.purchase(100, 50, reserve=3)
    with pytest.raises(Refusal, match="Weights"):
        yarn.purchase_by_weight(100, 0, 50)


def test_joining_at_the_rows_start_is_advised_while_it_costs_no_ball():
    # 264 loops from balls of 100: 22 + 3 rows of 20 = 82, and row 4 would need 20 of 18.
    state = MakeState(plan=THROW, script=script_for(THROW), ball_size=100)
    ahead = yarn.forecast(state)
    first = ahead.run_outs[0]
    assert (first.row, first.loop, first.join_at_start, first.wasted) == (4, 16, True, 16)
    assert "row 4" in answers.run_out(first, state.script, Craft.LOOP)
    # The second ball's end may not be wasted as well: 20 loops would be missing in the end.
    assert [out.join_at_start for out in ahead.run_outs] == [True, False]
    # 3 balls of 91 reach for 91·3 − 8 = 265, one more than is needed: none may be wasted.
    tight = yarn.forecast(state.model_copy(update={"ball_size": 91}))
    assert [out.join_at_start for out in tight.run_outs] == [False, False]
    assert tight.left_over == 1


def test_a_new_ball_in_the_middle_of_a_row_gives_only_what_the_old_one_did_not():
    work = AtWork(THROW.model_copy(update={"ball_loops": 91}))
    work.advance(4)  # foundation and three rows: 82 loops, 9 left, of which 7 can be worked
    assert work.do(Action.NEW_BALL).taken
    assert work.state.yarn_taken == 82 + 4
    work.advance()
    assert work.state.ball_left == 91 - 2 - (20 - 7)
    assert work.state.yarn_taken == 82 + 4 + 20


def test_ripping_through_a_join_hangs_the_work_on_the_ball_before():
    work = AtWork(THROW.model_copy(update={"ball_loops": 91}))
    work.advance(3)
    before = work.state
    work.advance()
    work.do(Action.NEW_BALL)
    work.advance(2)
    assert work.state.balls == 2
    assert "ball 1 with 29 left" in answers.landed(
        landing(work.state, 4, "row 3"),
        work.state,
    )
    work.do(Action.RIP_BACK, 3)
    assert work.do(Action.YES).taken
    for name in ("at", "yarn_taken", "ball_used", "ball_size", "balls", "joins"):
        assert getattr(work.state, name) == getattr(before, name), name


def test_a_ball_that_ended_early_corrects_the_ones_to_come():
    work = AtWork(CARDIGAN)
    while work.state.ball_used < 230:
        work.advance()
    held = work.state.ball_used + 2
    said = work.do(Action.NEW_BALL).say
    assert f"about {held}, not 300" in said
    assert work.state.ball_size == held
    # A ball laid aside after a few loops tells nothing, and a number said is believed.
    work.do(Action.NEW_BALL)
    assert work.state.ball_size == held
    work.do(Action.NEW_BALL, 280)
    assert work.state.ball_size == 280


def test_a_ball_that_outlasts_its_count_was_larger():
    work = AtWork(CARDIGAN)
    while work.state.ball_used < 320:
        work.advance()
    work.do(Action.NEW_BALL)
    assert work.state.ball_size > 300


def test_the_forecast_follows_the_work():
    work = AtWork(CARDIGAN)
    seen = set()
    while not work.state.done:
        ahead = yarn.forecast(work.state)
        assert ahead.to_come == work.state.script.yarn_loops - sum(
            s.yarn_loops for s in work.state.script.steps[: work.state.at]
        )
        if ahead.run_outs and ahead.run_outs[0].step == work.state.step.number:
            seen.add(work.state.step.number)
            work.do(Action.NEW_BALL)
        work.advance()
    assert len(seen) == work.state.balls - 1 > 3
    assert yarn.forecast(work.state).run_outs == ()


def test_a_ball_on_a_kitchen_scale():
    assert yarn.left_by_weight(50, 250, 100) == 20
    with pytest.raises(Refusal, match="cannot weigh"):
        yarn.left_by_weight(260, 250, 100)


def test_colours_by_part_add_the_ends_of_the_change():
    script = script_for(CARDIGAN)
    plain = yarn.per_colour(script, {})
    assert plain == {"main": script.yarn_loops}
    striped = yarn.per_colour(script, {"right sleeve": "blue", "left sleeve": "blue"})
    # A sleeve begins with a join and ends with a tail of its own: nothing to add.
    assert sum(striped.values()) == script.yarn_loops
    # The right front goes on with the body's yarn: a change there cuts one and joins the other.
    front = yarn.per_colour(script, {"right front": "red"})
    assert sum(front.values()) == script.yarn_loops + 4
    with pytest.raises(Refusal, match="no part 'hood'"):
        yarn.per_colour(script, {"hood": "red"})


def test_the_forecast_of_a_make_without_counted_balls_knows_only_what_is_to_come():
    work = AtWork(make_plan("throw", JUMBO))
    work.advance_to(Kind.ROW)
    ahead = yarn.forecast(work.state)
    assert (ahead.ball_left, ahead.run_outs, ahead.left_over) == (None, (), None)
    assert work.do(Action.NEW_BALL).taken
    assert work.do(Action.NEW_BALL, 120).taken
    assert work.state.ball_left == 118
