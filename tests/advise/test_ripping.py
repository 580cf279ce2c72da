"""Ripping back brings the work to what it was, and what stands there is told to the last loop."""

import pytest

from engine.advise import pace
from engine.advise.replan import (
    _place_after,
    _resting,
    after_ripping,
    before_looks,
    difference,
    following,
    landing,
    replanned,
    ripped,
)
from engine.base.refusal import Refusal
from models.command import Action
from models.script import Kind
from tests.advise.helpers import CARDIGAN, AtWork

OF_THE_WORK = ("at", "ball_used", "ball_size", "balls", "joins")
"""What depends on where the work stands, and on nothing else."""


@pytest.fixture(scope="module")
def trail():
    """A cardigan to its left front, and its state before each step: balls joined on the way."""
    work = AtWork(CARDIGAN)
    before = {}
    while work.state.step.number < 45:
        number = work.state.step.number
        before[number] = work.state
        if number in {6, 22, 23}:
            work.do(Action.NEW_BALL, 250 if number == 22 else None)
        work.advance()
    return before, work.state


@pytest.mark.parametrize("number", [1, 2, 5, 6, 7, 21, 22, 23, 24, 31, 44])
def test_the_work_stands_as_it_did_before_that_step(trail, number):
    before, state = trail
    then = after_ripping(state, number)
    for name in OF_THE_WORK:
        assert getattr(then, name) == getattr(before[number], name), name
    assert (then.measured, then.closed, then.marks) == (None, False, ())


def test_marks_and_verdicts_of_what_is_ripped_go_and_the_others_stay(trail):
    before, _ = trail
    marked = before[9].model_copy(update={"verdicts": {4: "a", 7: "b"}, "measured": (7, 2.0)})
    work = AtWork(CARDIGAN)
    work.advance(6)
    work.do(Action.DROPPED, 3)  # of step 7
    work.advance(2)
    work.do(Action.DROPPED, 5)  # of step 9
    marks = work.state.marks
    marked = marked.model_copy(update={"marks": marks, "closed": True})
    assert [m.step for m in marks] == [7, 9]
    change = ripped(marked, 9)
    assert (change["marks"], change["verdicts"]) == (marks[:1], {4: "a", 7: "b"})
    change = ripped(marked, 7)
    assert (change["marks"], change["verdicts"]) == ((), {4: "a"})
    assert (change["measured"], change["closed"]) == (None, False)


def test_no_ball_gives_back_more_than_it_gave(trail):
    before, _ = trail
    light = before[5].model_copy(update={"ball_used": 3})
    assert ripped(light, 2)["ball_used"] == 0


def test_a_landing_tells_loops_markers_and_the_ball(trail):
    before, state = trail
    script = state.script
    for number in (2, 21, 22, 31, 32, 44):
        told = landing(state, number, "there")
        assert (told.step, told.place) == (number, "there")
        last = script.steps[number - 2]
        assert (told.loops, told.held) == (last.loops_after, last.held)
        assert told.freed == state.yarn_taken - before[number].yarn_taken
        assert (told.ball, told.ball_left) == (before[number].balls, before[number].ball_left)
    first = landing(state, 1, "there")
    assert (first.loops, first.held, first.freed) == (0, 0, state.yarn_taken)


def test_markers_that_stay_and_markers_that_come_out(trail):
    before, state = trail
    left, right = "body, 6 loops before the end", "body, after 6 loops"

    def told(of, number):
        found = landing(of, number, "there")
        return found.markers, found.removed

    # Both hang from step 20 on; the first is taken out in step 31, the other in step 41.
    assert told(before[25], 24) == ((right, left), ())
    assert told(before[25], 21) == ((right, left), ())
    assert told(before[25], 20) == ((), (right, left))
    assert told(before[35], 33) == ((left,), ())
    assert told(before[35], 20) == ((), (left,))
    assert told(state, 43) == ((), ())


@pytest.mark.parametrize("number", [0, -1])
def test_there_is_nothing_to_rip_before_the_first_step_or_after_the_work(trail, number):
    _, state = trail
    told = r"^That step is not worked yet, so there is nothing to rip back to\.$"
    with pytest.raises(Refusal, match=told):
        landing(state, number, "there")
    with pytest.raises(Refusal, match=told):
        landing(state, state.at + 1, "there")
    assert landing(state, state.at, "there").step == state.at


def test_looks_since_the_last_loop_are_looked_again(trail):
    before, state = trail
    # Steps 17 to 19 are the tape, a look at the back and a try-on.
    for number in (17, 18, 19, 20):
        assert before_looks(before[number]).at == 16
    assert before_looks(before[17]) is before[17]
    assert before_looks(before[18]) == after_ripping(before[18], 17)
    assert before_looks(before[1]) is before[1]
    only_looks = before[4].model_copy(
        update={
            "script": state.script.model_copy(
                update={
                    "steps": tuple(
                        s.model_copy(update={"operations": ()}) for s in state.script.steps
                    )
                }
            )
        }
    )
    assert before_looks(only_looks).at == 0


def test_what_rests_is_what_was_laid_aside_and_not_taken_up(trail):
    _, state = trail
    steps = state.script.steps
    assert _resting(steps[:20]) == {}
    assert _resting(steps[:21]) == {"body": 32}
    # The armhole takes three of the body's, and the front's shoulder waits.
    assert _resting(steps[:31]) == {"body": 29, "right front shoulder": 3}
    assert _resting(steps[:41]) == {"body": 5, "right front shoulder": 3, "back": 22}
    # A seam takes from both of its sides.
    assert _resting(steps[:51]) == {"left front shoulder": 3, "back": 19}
    assert _resting(steps[:53]) == {}


def test_the_place_in_another_script_is_after_the_same_loops(trail):
    _, state = trail
    steps = state.script.steps
    look = next(s for s in steps if s.kind is Kind.BACK_CHECK)
    other = look.model_copy(update={"kind": Kind.MEASURE, "part": "elsewhere"})
    done = steps[:16]  # a row is the last that was worked; the tape is next
    assert _place_after(done, steps) == 16
    assert _place_after(steps[:17], steps) == 17
    assert _place_after(steps[:19], steps) == 19
    # Looks more or fewer among the rows move the place, and no look is taken for done.
    assert _place_after(done, (*steps[:5], other, *steps[5:])) == 17
    assert _place_after(done, (*steps[:11], *steps[12:])) == 15
    assert _place_after(done, (*steps[:16], other, *steps[16:])) == 16
    # One that was looked already is not asked again, wherever it stands now.
    assert _place_after(steps[:17], (*steps[:16], other, *steps[16:])) == 16
    assert _place_after((), steps) == 0
    assert _place_after(steps, steps) == len(steps)
    # Fewer rows than were worked, or others.
    assert _place_after(done, steps[:15]) is None
    more = steps[8].model_copy(update={"loops_after": steps[8].loops_after + 1})
    assert _place_after(done, (*steps[:8], more, *steps[9:])) is None


def test_the_difference_counts_what_is_still_to_come(trail):
    before, _ = trail
    at = before[14]
    steps = at.script.steps
    row = steps[13]
    longer = at.script.model_copy(update={"steps": (*steps[:14], row, row, *steps[14:])})
    found = difference(at, longer)
    assert (found.rows, found.yarn) == (2, 2 * row.yarn_loops)
    speed = pace.seconds_per_loop(at)
    assert found.seconds == pytest.approx(2 * pace.seconds_for([row], speed))
    back = difference(at, at.script, at=11)
    assert back.rows == sum(s.counts_row for s in steps[11:13])
    assert back.yarn == sum(s.yarn_loops for s in steps[11:13])
    assert back.seconds == pytest.approx(pace.seconds_for(steps[11:13], speed))
    assert difference(at, at.script).rows == 0


def test_before_the_first_step_nothing_is_live_whatever_the_piece_ends_with(trail):
    _, state = trail
    script = state.script.model_copy(update={"steps": state.script.steps[:44]})
    assert script.steps[-1].loops_after
    held = script.steps[-1].model_copy(update={"held": 7})
    script = script.model_copy(update={"steps": (*script.steps[:-1], held)})
    first = landing(state.model_copy(update={"script": script}), 1, "there")
    assert (first.loops, first.held) == (0, 0)


def test_the_own_marker_of_a_part_comes_out_before_another_parts(trail):
    before, state = trail
    hung, taken = state.script.steps[19], state.script.steps[30]
    assert [o.stitch for o in hung.operations] == ["pm", "pm"]
    elsewhere = hung.model_copy(update={"part": taken.part})
    steps = (*state.script.steps[:20], elsewhere, hung, *state.script.steps[22:])
    script = state.script.model_copy(update={"steps": steps})
    at = before[35].model_copy(update={"script": script})
    left, right = "6 loops before the end", "after 6 loops"
    # Of three in one place the armhole takes out its own.
    assert landing(at, 34, "there").markers == (
        f"body, {right}",
        f"body, {left}",
        f"{taken.part}, {left}",
    )


def test_a_plan_that_changes_nothing_is_the_one_at_hand(trail):
    _, state = trail
    plan, script = replanned(state)
    assert plan is state.plan
    assert script is state.script


def test_what_is_all_worked_may_stay_as_it_is_and_less_may_not(trail):
    _, state = trail
    done = state.model_copy(update={"at": len(state.script.steps)})
    assert following(done, state.script) == state.script
    fewer = state.script.model_copy(update={"steps": state.script.steps[: state.at - 1]})
    with pytest.raises(
        Refusal, match=r"^More is already worked than that leaves: rip back first\.$"
    ):
        following(state, fewer)
    told = (
        r"^This release works the design out differently from when the make was begun, and what "
        r"is already worked does not fit that: go on row by row as it stands, or begin anew\.$"
    )
    with pytest.raises(Refusal, match=told):
        following(state.model_copy(update={"edition": "of a release before"}), fewer)
