"""The yarn ledger of the state beside the script's own, whatever happens in between."""

from hypothesis import given, settings
from hypothesis import strategies as st

from engine.advise.yarn import END
from engine.designs import DESIGNS
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge, usual_gauge
from models.command import Action, Command
from models.script import Kind

GAUGE = read_gauge("5 x 3.75")
SMALL = {
    "throw": {"width": 40, "height": 32},
    "practice": None,
}
PLANS = [
    make_plan(name, GAUGE, given=given, ball_loops=balls)
    for name, given in SMALL.items()
    for balls in (None, 91)
] + [make_plan("cardigan", GAUGE, size="S", ball_loops=300)]

COMMANDS = st.one_of(
    st.tuples(st.just(Action.ADVANCE), st.none()),
    st.tuples(st.just(Action.ADVANCE), st.none()),
    st.tuples(st.just(Action.NEW_BALL), st.one_of(st.none(), st.integers(5, 300))),
    st.tuples(st.just(Action.RIP_BACK), st.integers(1, 6)),
    st.tuples(st.just(Action.MORE_ROWS), st.integers(1, 3)),
    st.tuples(st.just(Action.YES), st.none()),
    st.tuples(st.just(Action.TAKE_BACK), st.none()),
    st.tuples(st.just(Action.DROPPED), st.none()),
    st.tuples(st.just(Action.REPAIRED), st.none()),
)


def worked(script, at):
    """Independent of the state: what the script says of its first steps, stitch by stitch."""
    return sum(o.yarn(script.craft) for step in script.steps[:at] for o in step.operations)


@given(st.sampled_from(PLANS), st.integers(0, 25), st.lists(COMMANDS, max_size=40))
@settings(max_examples=60, deadline=None)
def test_the_ledger_is_the_scripts_at_every_step_with_any_number_of_balls(plan, start, commands):
    making = Making(plan)
    now = 1000.0
    for action, value in [(Action.ADVANCE, None)] * start + commands:
        now += 600.0
        making.do(Command(action=action, value=value), now)
        state = making.state
        assert state.yarn_used == worked(state.script, state.at)
        assert state.balls == 1 + len(state.joins)
        # Off the balls came what the steps took and two loops for each end of a join.
        assert state.yarn_taken == state.yarn_used + 2 * END * len(state.joins)
        off = state.ball_used + sum(j.ball_used + j.pulled + END for j in state.joins)
        assert off == state.yarn_taken


def test_a_finished_make_has_worked_what_its_script_says_and_no_more():
    for name in DESIGNS:
        making = Making(make_plan(name, read_gauge(usual_gauge(name))))
        now = 1000.0
        while not making.state.done:
            now += 600.0
            if making.state.step.kind is Kind.ROW and making.state.step.row == 2:
                making.do(Command(action=Action.NEW_BALL), now)
            making.do(Command(action=Action.ADVANCE), now)
            making.do(Command(action=Action.YES), now + 1)
        flat = any(s.kind is Kind.ROW and s.row == 2 for s in making.state.script.steps)
        assert (making.state.balls > 1) is flat
        assert making.state.yarn_used == making.state.script.yarn_loops
