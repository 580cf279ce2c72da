"""So many balls and no more: what is shortened fits them, and one row more would not."""

import pytest

from engine.advise import choices, scarce, yarn
from engine.base.refusal import Refusal
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge, script_for
from models.command import Action, Command
from models.script import Craft, Kind
from models.state import MakeState

GAUGE = read_gauge("5 x 3.75")


def made(name, ball, **more):
    plan = make_plan(name, GAUGE, ball_loops=ball, **more)
    return MakeState(plan=plan, script=script_for(plan), ball_size=ball)


def test_balls_that_reach_ask_for_nothing():
    state = made("throw", 120)
    need = yarn.balls_for(state.script.yarn_loops, 120)
    assert scarce.needed(state) == need
    assert scarce.shorter(state, need) == ()


def test_a_throw_becomes_as_long_as_its_balls_by_hand():
    # By hand: 50 loops laid on with a tail of 2, and 2 for the end, are 54; each row takes 50. Of
    # balls of 120 twenty give 20 x 120 less 4 for each of 19 joins, 2324: 45 rows, and 48 wanted.
    state = made("throw", 120, given={"width": 100.0, "height": 128.0})
    assert sum(step.counts_row for step in state.script.steps) == 48
    (one,) = scarce.shorter(state, 20)
    assert (one.rows, one.loops) == (45, 54 + 45 * 50)
    assert one.cm == pytest.approx(3 / 0.375)
    assert one.does == "work the throw 3 rows shorter"


def test_a_cardigan_may_give_at_the_body_or_at_both_sleeves():
    state = made("cardigan", 260, size="M")
    need = yarn.balls_for(state.script.yarn_loops, 260)
    found = scarce.shorter(state, need - 1)
    assert any("body" in one.does for one in found)
    assert any("right sleeve and left sleeve" in one.does for one in found)
    assert all(yarn.balls_for(one.loops, 260) <= need - 1 for one in found)


def test_what_no_part_can_give_is_offered_by_none():
    state = made("cardigan", 260, size="M")
    assert scarce.shorter(state, 2) == ()


def test_joins_at_row_ends_are_all_there_and_cost_what_stays_on_the_balls():
    state = made("throw", 120)
    ends = yarn.forecast(state, at_ends=True)
    assert all(out.join_at_start for out in ends.run_outs)
    # By hand: a ball of 120, 2 kept for its end and 2 for its beginning, gives two rows of 50.
    later = ends.run_outs[1:]
    assert {out.wasted for out in later[:-1]} == {120 - 2 - 2 - 2 * 50}
    assert ends.more_balls >= yarn.forecast(state).more_balls


def test_only_so_many_balls_said_in_the_work_open_choices_that_reach_and_a_try_on_stays():
    gauge = read_gauge("8 x 10")
    making = Making(make_plan("raglan", gauge, size="M", craft=Craft.NEEDLES, ball_loops=400))
    while making.state.step.kind is not Kind.FIT_CHECK:
        if making.state.ball_left < making.state.step.yarn_loops + yarn.END:
            making.do(Command(action=Action.NEW_BALL), 1.0)
        if making.do(Command(action=Action.ADVANCE), 1.0).asks:
            making.do(Command(action=Action.YES), 1.0)
    need, at = scarce.needed(making.state), making.state.at
    before = making.state.script
    enough = making.do(Command(action=Action.ONLY_BALLS, value=need), 2.0)
    assert "they reach" in enough.say
    assert not choices.of(making.state)
    assert not making.do(Command(action=Action.ONLY_BALLS, value=1), 2.0).events
    making.do(Command(action=Action.ONLY_BALLS, value=need - 1), 3.0)
    there = choices.of(making.state)
    wise = next(c for c in there if "left sleeve and right sleeve" in c.does)
    assert [c.does for c in there if "go on" in c.does] == ["go on as it is"]
    making.do(Command(action=Action.CHOOSE, value=wise.number), 4.0)
    assert making.state.step.kind is Kind.FIT_CHECK
    assert making.state.at == at
    assert scarce.needed(making.state) == need - 1
    making.do(Command(action=Action.TAKE_BACK), 5.0)
    making.do(Command(action=Action.TAKE_BACK), 6.0)
    assert making.state.script == before
    assert making.state.balls_had is None


def test_a_make_whose_balls_nobody_counted_says_what_is_wanted():
    making = Making(make_plan("throw", GAUGE))
    said = making.do(Command(action=Action.ONLY_BALLS, value=3), 1.0)
    assert not said.taken
    assert "loops in one" in said.say


STRIPED = {"given": {"width": 100.0, "height": 130.0}, "stripes": "cream 8, sand 4"}


def test_balls_of_each_colour_are_counted_and_a_throw_becomes_as_long_as_they_reach_by_hand():
    # By hand: a ball of 250 less 4 gives four rows of 50. Of 49 rows and the foundation cream works
    # the foundation and rows 1 to 8, of three balls, the third with three rows left for rows 13 to
    # 15, then two balls more for each stripe: nine; sand one for each of its four.
    state = made("throw", 250, **STRIPED)
    assert scarce.by_yarn(state) == {"cream": 9, "sand": 4}
    assert scarce.needed(state) == 13
    # With ten, seven of cream and three of sand: the ball begun in row 32 still gives 37 to 39.
    (one,) = scarce.shorter(state, 10)
    assert (one.rows, one.balls) == (39, {"cream": 7, "sand": 3})
    # Of sand alone three: its fourth stripe begins with row 45.
    (few,) = scarce.shorter(state, {"sand": 3})
    assert (few.rows, few.balls["sand"]) == (44, 3)
    with pytest.raises(Refusal, match="it is worked from cream, sand"):
        scarce.shorter(state, {"sea": 3})


@pytest.mark.parametrize(
    ("name", "ball", "more"),
    [("throw", 250, STRIPED), ("cardigan", 200, {"size": "M", "lots": (8, 6)})],
)
def test_only_so_many_balls_of_several_yarns_open_choices_that_reach(name, ball, more):
    making = Making(make_plan(name, GAUGE, ball_loops=ball, **more))
    for _ in range(5):
        making.do(Command(action=Action.ADVANCE), 1.0)
    each = scarce.by_yarn(making.state)
    need = sum(each.values())
    enough = making.do(Command(action=Action.ONLY_BALLS, value=need), 2.0)
    assert all(f"{n} of {yarn}" in enough.say for yarn, n in each.items())
    assert not choices.of(making.state)
    said = making.do(Command(action=Action.ONLY_BALLS, value=need - 1), 3.0)
    wise = next(c for c in choices.of(making.state) if "shorter" in c.does)
    assert wise.does in said.say
    making.do(Command(action=Action.CHOOSE, value=wise.number), 4.0)
    after = scarce.by_yarn(making.state)
    assert sum(after.values()) <= need - 1
    assert list(after) == list(each)
    assert ", ".join(f"{n} of {yarn}" for yarn, n in after.items()) in wise.does


def test_fewer_balls_than_yarns_in_the_work_cannot_be():
    making = Making(make_plan("throw", GAUGE, ball_loops=250, **STRIPED))
    while making.state.step.row != 9:
        making.do(Command(action=Action.ADVANCE), 1.0)
    said = making.do(Command(action=Action.ONLY_BALLS, value=1), 2.0)
    assert not said.taken
    assert "2 yarns are in work already" in said.say
