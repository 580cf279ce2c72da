"""Several rows at once: in one breath, or counted after they were worked. All are done, or none."""

import pytest

from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command, Heard
from models.script import Kind
from models.state import Tone

ADVANCE = Command(action=Action.ADVANCE)


def throw(**more):
    plan = make_plan("throw", read_gauge("5 x 3.75"), given={"width": 10.0, "height": 20.0})
    return Making(plan, **more)


def heard(command, *, goes_on=False, withdrawn=False):
    return Heard(
        start_s=0.0,
        end_s=1.0,
        decided_s=1.2,
        heard="some words",
        confidence=1.0,
        command=command,
        taken=not withdrawn,
        goes_on=goes_on,
        withdrawn=withdrawn,
    )


def rows(number):
    return Command(action=Action.ADVANCE, value=number)


def test_three_rows_that_had_their_time_are_counted():
    making = throw()
    making.do(ADVANCE, 0.0)
    outcome = making.do(rows(3), 300.0)
    assert outcome.tone is Tone.ADVANCE
    assert len(outcome.events) == 3
    assert making.state.at == 4


def test_three_rows_after_a_second_are_asked_about_and_a_yes_counts_them():
    making = throw()
    making.do(ADVANCE, 0.0)
    assert making.do(rows(3), 1.0).tone is Tone.ASK
    assert making.state.at == 1
    making.do(Command(action=Action.YES), 2.0)
    assert making.state.at == 4


def test_many_rows_are_asked_about_however_long_ago_the_last_was():
    making = Making(make_plan("throw", read_gauge("5 x 3.75"), given={}))
    making.do(ADVANCE, 0.0)
    assert making.do(rows(8), 9000.0).tone is Tone.ASK


def test_rows_beyond_a_look_or_the_end_are_not_counted_by_half():
    making = throw()
    making.do(ADVANCE, 0.0)
    steps = making.state.script.steps
    there = next(i for i, step in enumerate(steps[1:], 1) if step.kind is not Kind.ROW) - 1
    outcome = making.do(rows(there + 1), 9000.0)
    assert outcome.tone is Tone.REFUSED
    assert f"Only {there} rows can be done, not {there + 1}, and none was counted" in outcome.say
    assert making.state.at == 1


@pytest.mark.parametrize("number", [0, 0.5])
def test_no_rows_and_half_rows_are_refused(number):
    making = throw()
    making.do(ADVANCE, 0.0)
    assert making.do(rows(number), 9000.0).tone is Tone.REFUSED


def test_a_breath_that_is_withdrawn_takes_all_of_it_back():
    making = throw()
    making.do(ADVANCE, 0.0)
    making.heard(heard(ADVANCE), 100.0)
    making.heard(heard(ADVANCE, goes_on=True), 100.5)
    assert making.state.at == 3
    making.heard(heard(ADVANCE, withdrawn=True), 101.0)
    assert making.state.at == 1


def test_a_second_row_in_a_breath_that_cannot_be_done_yet_is_asked_about():
    making = throw(pace=lambda _state, _events: 60.0)
    making.do(ADVANCE, 0.0)
    making.heard(heard(ADVANCE), 40.0)  # 40 s: more than half of one, less than half of two
    asked = making.heard(heard(ADVANCE, goes_on=True), 40.5)
    assert (asked.tone, making.state.at) == (Tone.ASK, 2)
    making.heard(heard(Command(action=Action.YES)), 42.0)
    assert making.state.at == 3


def test_a_second_row_in_a_breath_that_had_its_time_is_counted():
    making = throw(pace=lambda _state, _events: 60.0)
    making.do(ADVANCE, 0.0)
    making.heard(heard(ADVANCE), 100.0)
    making.heard(heard(ADVANCE, goes_on=True), 100.5)
    assert making.state.at == 3


def test_the_time_for_an_answer_begins_when_the_question_was_read_out():
    making = throw()
    making.do(ADVANCE, 0.0)
    assert making.do(rows(3), 1.0).tone is Tone.ASK
    for now in (3.0, 6.0, 9.0, 12.0):
        making.still_asking(now)
    making.do(Command(action=Action.YES), 19.0)
    assert making.state.at == 4
    making.still_asking(20.0)  # with nothing asked, nothing is
    assert making.talk.left(20.0) == 0
