"""What is worked stays, whatever a plan, a newer edition or a tape makes of the rest."""

import pytest

from engine.advise import replan
from engine.advise.replan import (
    following,
    landing,
    measured,
    newer_edition,
    planned,
    shorter,
)
from engine.base.refusal import Refusal
from engine.plan.planning import script_for
from models.script import Kind
from tests.advise.helpers import CARDIGAN, THROW, AtWork


def worked(plan=THROW, steps=6):
    work = AtWork(plan)
    work.advance(steps)
    return work.state


def with_steps(script, steps):
    return script.model_copy(update={"steps": tuple(steps)})


def changed(step):
    """The step with one loop more than was worked."""
    return step.model_copy(update={"loops_after": step.loops_after + 1})


OLDER = {"edition": "of a release before"}


def test_a_script_that_ends_before_what_is_worked_is_refused():
    state = worked()
    with pytest.raises(Refusal, match="More is already worked than that leaves"):
        following(state, with_steps(state.script, state.script.steps[: state.at - 1]))


def test_a_worked_row_that_would_change_is_named():
    state = worked()
    steps = list(state.script.steps)
    at = next(i for i, s in enumerate(steps[: state.at]) if s.row)
    steps[at] = changed(steps[at])
    with pytest.raises(Refusal, match=rf"The throw, row {steps[at].row} is already worked"):
        following(state, with_steps(state.script, steps))
    first = [changed(steps[0]), *state.script.steps[1:]]
    with pytest.raises(Refusal, match="The throw is already worked"):
        following(state, with_steps(state.script, first))


def test_a_newer_edition_may_have_looks_that_were_not_worked_and_lack_some_that_were():
    state = worked().model_copy(update=OLDER)
    steps = list(state.script.steps)
    look = next(s for s in steps if s.kind is Kind.BACK_CHECK)
    # One look more before the last worked row: what is to come begins after that row all the same.
    more = [*steps[: state.at - 1], look, *steps[state.at - 1 :]]
    found = following(state, with_steps(state.script, more))
    assert found.steps[: state.at] == state.script.steps[: state.at]
    assert [s.operations for s in found.steps] == [s.operations for s in steps]

    looked = worked(steps=look.number).model_copy(update=OLDER)
    less = [s for s in steps if s is not look]
    found = following(looked, with_steps(looked.script, less))
    assert found.steps[: looked.at] == looked.script.steps[: looked.at]
    assert [s.operations for s in found.steps[looked.at :]] == [
        s.operations for s in less[looked.at - 1 :]
    ]


def test_a_newer_edition_with_other_loops_in_a_worked_row_is_not_gone_over_to():
    state = worked().model_copy(update=OLDER)
    steps = list(state.script.steps)
    steps[1] = changed(steps[1])
    with pytest.raises(Refusal, match="This release works the design out differently"):
        following(state, with_steps(state.script, steps))


def test_a_newer_edition_that_ends_before_what_is_worked_is_not_gone_over_to():
    state = worked().model_copy(update=OLDER)
    with pytest.raises(Refusal, match="This release works the design out differently"):
        following(state, with_steps(state.script, state.script.steps[: state.at - 1]))


def test_a_newer_edition_that_rests_loops_elsewhere_is_not_gone_over_to():
    work = AtWork(CARDIGAN)
    while not any(
        o.moves < 0 for s in work.state.script.steps[: work.state.at] for o in s.operations
    ):
        work.advance()
    state = work.state.model_copy(update=OLDER)

    def elsewhere(step):
        moved = [
            o.model_copy(update={"at": f"{o.at} of another name"}) if o.moves < 0 else o
            for o in step.operations
        ]
        return step.model_copy(update={"operations": tuple(moved)})

    other = with_steps(state.script, map(elsewhere, state.script.steps))
    with pytest.raises(Refusal, match="This release works the design out differently"):
        following(state, other)
    # Told otherwise, with the loops in the same places, it is gone over to.
    told = [s.model_copy(update={"note": "Told otherwise"}) for s in state.script.steps]
    found = following(state, with_steps(state.script, told))
    assert found.steps[: state.at] == state.script.steps[: state.at]
    assert found.steps[state.at].note == "Told otherwise"


def test_a_plan_that_cannot_be_worked_out_any_more_is_of_another_edition():
    state = worked()
    assert not newer_edition(state)
    lost = state.plan.model_copy(update={"measures": {}})
    assert newer_edition(state.model_copy(update={"plan": lost}))


def test_a_design_that_is_gone_decides_nothing_of_what_is_worked():
    state = worked()
    gone = state.plan.model_copy(update={"design": "gone"})
    plan = planned(state.model_copy(update={"plan": gone}))
    assert plan.worked == {}
    assert plan.worked_rows == {"throw": replan.rows_of(state.script, "throw")}


@pytest.mark.parametrize("ahead", [-1, 0, 2])
def test_nothing_is_ripped_back_to_that_is_not_worked(ahead):
    state = worked()
    number = {-1: 0, 0: state.at + 1, 2: state.at + 2}[ahead]
    with pytest.raises(Refusal, match="not worked yet"):
        landing(state, number, "there")
    assert landing(state, 1, "the beginning").loops == 0


def test_without_a_tape_at_this_step_nothing_says_how_far_to_rip_back():
    state = worked()
    assert shorter(state) is None
    assert shorter(state.model_copy(update={"measured": (state.step.number - 1, 12.0)})) is None
    begun = worked(steps=1)
    assert shorter(begun.model_copy(update={"measured": (begun.step.number, 12.0)})) is None
    done = state.model_copy(update={"at": len(state.script.steps)})
    assert shorter(done) is None


def test_a_length_that_no_rows_make_is_refused_whether_the_row_is_counted_or_not(monkeypatch):
    work = AtWork(THROW)
    work.advance_to(Kind.ROW, row=5)
    monkeypatch.setattr(replan, "_nearest", lambda *_, **__: None)
    rows_per_cm = work.state.plan.gauge.rows_per_cm
    for in_work in (False, True):
        with pytest.raises(Refusal, match="No number of rows makes this length"):
            measured(work.state, 4 / rows_per_cm, row_in_work=in_work)


def test_rows_that_the_design_refuses_are_passed_over_for_those_that_it_takes(monkeypatch):
    work = AtWork(THROW)
    work.advance_to(Kind.ROW, row=5)
    state, real = work.state, replan.replanned
    tried = []

    def only_even(state, **wishes):
        rows = (wishes.get("rows") or {}).get("throw")
        tried.append(rows)
        if rows and rows % 2:
            raise Refusal("Odd rows are not for this design.")
        return real(state, **wishes)

    monkeypatch.setattr(replan, "replanned", only_even)
    found = measured(state, 4 / state.plan.gauge.rows_per_cm)
    assert found.rows % 2 == 0
    assert any(rows and rows % 2 for rows in tried)


def test_before_the_first_row_and_beside_a_part_that_is_followed_there_is_nothing_to_measure():
    work = AtWork(THROW)
    work.advance_to(Kind.ROW, row=1)
    with pytest.raises(Refusal, match="Work some rows before you measure"):
        measured(work.state, 3.0)
    script = script_for(CARDIGAN)
    followed = next(s for s in script.steps if s.part == "left front" and s.row == 2)
    beside = AtWork(CARDIGAN).state.model_copy(update={"at": followed.number - 1})
    with pytest.raises(Refusal, match="The left front gets as many rows as the right front"):
        measured(beside, 3.0)


def test_where_no_fewer_rows_are_taken_nothing_is_ripped_back_for_a_length(monkeypatch):
    work = AtWork(THROW)
    work.advance_to(Kind.ROW, row=9)
    state = work.state
    # Eight rows measure twice the length that all were to have: too long by far.
    target = next(s.target_cm for s in state.script.steps[state.at :] if s.target_cm)
    long = state.model_copy(update={"measured": (state.step.number, 2 * target)})
    at, left = shorter(long)
    assert left == 4
    assert state.script.steps[at - 2].row == 4

    def refuse(*_, **__):
        raise Refusal("Not so few.")

    monkeypatch.setattr(replan, "replanned", refuse)
    assert shorter(long) is None
