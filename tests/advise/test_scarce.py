"""So many balls and no more: what is shortened fits them, and one row more would not."""

import pytest

from engine.advise import scarce, yarn
from engine.plan.planning import make_plan, read_gauge, script_for
from models.state import MakeState

GAUGE = read_gauge("5 x 3.75")


def made(name, ball, **more):
    plan = make_plan(name, GAUGE, ball_loops=ball, **more)
    return plan, script_for(plan)


def test_balls_that_reach_ask_for_nothing():
    plan, script = made("throw", 120)
    need = yarn.balls_for(script.yarn_loops, 120)
    assert scarce.reaches(script, need, 120)
    assert scarce.shorter(plan, script, need) == ()


def test_a_throw_becomes_as_long_as_its_balls_by_hand():
    # By hand: 50 loops laid on with a tail of 2, and 2 for the end, are 54; each row takes 50. Of
    # balls of 120 twenty give 20 x 120 less 4 for each of 19 joins, 2324: 45 rows, and 48 wanted.
    plan, script = made("throw", 120, given={"width": 100.0, "height": 128.0})
    assert sum(step.counts_row for step in script.steps) == 48
    (one,) = scarce.shorter(plan, script, 20)
    assert (one.rows, one.loops) == (45, 54 + 45 * 50)
    assert one.cm == pytest.approx(3 / 0.375)
    assert one.does == "work the throw 3 rows shorter"


def test_a_cardigan_may_give_at_the_body_or_at_both_sleeves():
    plan, script = made("cardigan", 260, size="M")
    need = yarn.balls_for(script.yarn_loops, 260)
    found = scarce.shorter(plan, script, need - 1)
    assert any("body" in one.does for one in found)
    assert any("right sleeve and left sleeve" in one.does for one in found)
    assert all(yarn.balls_for(one.loops, 260) <= need - 1 for one in found)


def test_what_no_part_can_give_is_offered_by_none():
    plan, script = made("cardigan", 260, size="M")
    assert scarce.shorter(plan, script, 2) == ()


def test_joins_at_row_ends_are_all_there_and_cost_what_stays_on_the_balls():
    plan, script = made("throw", 120)
    state = MakeState(plan=plan, script=script, ball_size=120)
    ends = yarn.forecast(state, at_ends=True)
    assert all(out.join_at_start for out in ends.run_outs)
    # By hand: a ball of 120, 2 kept for its end and 2 for its beginning, gives two rows of 50.
    later = ends.run_outs[1:]
    assert {out.wasted for out in later[:-1]} == {120 - 2 - 2 - 2 * 50}
    assert ends.more_balls >= yarn.forecast(state).more_balls
