"""The pace: learned from the journal, unmoved by pauses and slips."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.advise import pace
from engine.make import answers
from engine.make.progress import LONGEST_GAP
from tests.advise.helpers import THROW, Action, AtWork


def worked(seconds_per_row):
    """A throw of 20-loop rows, each told after so many seconds."""
    work = AtWork(THROW)
    work.advance()
    for seconds in seconds_per_row:
        work.advance(after=seconds)
    return work


def test_nothing_learned_yet_is_assumed_and_says_so():
    left = pace.left(AtWork(THROW).state)
    assert not left.learned
    assert left.step == 20 * pace.ASSUMED
    assert "until I know your pace" in answers.time_left(AtWork(THROW).state)


def test_an_even_pace_is_learned():
    left = pace.left(worked([60] * 6).state)
    # 6 rows of 20 loops are left, then a bind-off of 19 pulls and the fastening.
    assert left.learned
    assert pace.seconds_per_loop(worked([60] * 6).state) == pytest.approx(3)
    assert left.step == pytest.approx(60)
    assert left.make == pytest.approx(3 * (6 * 20 + 20))


def test_a_telephone_call_does_not_move_the_pace():
    quiet, called = worked([60] * 7), worked([60, 60, 60, 800, 60, 60, 60])
    assert pace.seconds_per_loop(called.state) == pace.seconds_per_loop(quiet.state)


def test_two_rows_told_at_once_do_not_move_the_pace():
    assert pace.seconds_per_loop(worked([60, 60, 119, 1, 60, 60, 60]).state) == pytest.approx(3)


def test_a_pause_is_not_work():
    work = worked([60] * 4)
    work.do(Action.PAUSE, after=30)
    work.do(Action.RESUME, after=5000)
    work.advance(after=30)
    assert work.state.step_paces[-1] == pytest.approx(3)
    assert work.state.elapsed == pytest.approx(4 * 60 + 60)


@given(st.floats(10, 300), st.lists(st.floats(0.1, 3000), min_size=0, max_size=3))
def test_fewer_than_half_odd_rows_never_move_it(usual, odd):
    """Independent bound: with more than half of the rows even, the median lies among them."""
    rows = [usual] * (len(odd) + 3) + odd
    found = pace.seconds_per_loop(worked(rows).state)
    assert found == pytest.approx(usual / 20, rel=1e-6)


def test_the_pace_follows_practice():
    many = THROW.model_copy(update={"measures": {"width": 40.0, "height": 400.0}})
    work = AtWork(many)
    work.advance()
    for seconds in [100] * 50 + [40] * 25:
        work.advance(after=seconds)
    assert pace.seconds_per_loop(work.state) == pytest.approx(2)
    assert len(work.state.step_paces) == pace.KEPT


def test_undo_unlearns_exactly():
    work = worked([60] * 4)
    before = work.state
    work.advance(after=500)
    work.do(Action.TAKE_BACK)
    assert work.state == before


def test_the_least_step_is_far_below_her_own_quick_rows():
    assert pace.least_step(AtWork(THROW).state) == 0
    assert pace.least_step(worked([60, 50, 70, 60]).state) == pytest.approx(25)


def test_the_part_ends_where_another_begins():
    work = AtWork()
    work.advance(3)
    body_left = pace.left(work.state).part
    steps = work.state.script.steps[work.state.at :]
    loops = 0
    for step in steps:
        if step.part != "body":
            break
        loops += step.loops_after if step.counts_row else 0
    assert body_left == pytest.approx(loops * pace.seconds_per_loop(work.state))


def test_a_reminder_comes_at_the_interval_and_can_be_waved_away():
    work = worked([300] * 6)
    assert pace.rest_reminder(work.state, work.now, every_min=45) is None
    said = pace.rest_reminder(work.state, work.now + 60, every_min=30)
    assert said is not None
    assert "doctor" in said
    assert pace.rest_reminder(work.state, work.now + 90, 30, dismissed_at=work.now + 70) is None
    again = work.now + 70 + 30 * 60
    assert pace.rest_reminder(work.state, again, 30, dismissed_at=work.now + 70)
    assert pace.rest_reminder(work.state, again, every_min=None) is None


def test_a_rest_starts_the_interval_anew_and_a_short_pause_does_not():
    work = worked([300] * 6)
    work.do(Action.PAUSE, after=1)
    assert pace.rest_reminder(work.state, work.now, 30) is None
    work.do(Action.RESUME, after=20)
    assert pace.rest_reminder(work.state, work.now, 30)
    work.do(Action.PAUSE, after=1)
    work.do(Action.RESUME, after=pace.LONG_REST)
    assert pace.since_rest(work.state, work.now) == 0
    work.advance(after=LONGEST_GAP + 1)
    assert pace.since_rest(work.state, work.now) == 0


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(20, "under a minute"), (60, "1 minute"), (2400, "40 minutes"), (9000, "2½ hours")],
)
def test_times_as_one_says_them(seconds, said):
    assert answers.minutes(seconds) == said
