"""The state machine: what commands decide, what events do, and that taking back is exact."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.make import progress
from engine.make.conversation import ANSWER_WITHIN
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from engine.script.audit import audit
from models.command import Action, Command, Context, Heard
from models.event import EVENT, Advanced
from models.script import Kind
from tests.times import times

GAUGE = read_gauge("5 x 3.75")
THROW = make_plan(
    "throw", GAUGE, given={"width": 40, "height": 32}, ball_loops=100
)  # 20 loops, 12 rows
CARDIGAN = make_plan("cardigan", GAUGE, size="S", ball_loops=300)


def say(making, action, value=None, *, now=None, text=None):
    now = (making.state.last_at or 1000.0) + 3 if now is None else now
    return making.do(Command(action=action, value=value, text=text), now)


def advance(making):
    """The step is done; a tape and a try-on are passed on purpose."""
    outcome = say(making, Action.ADVANCE)
    if outcome.asks:
        outcome = say(making, Action.YES)
    assert outcome.taken


def advance_to(making, kind, part=None):
    while not (making.state.step.kind is kind and part in (None, making.state.step.part)):
        advance(making)


def test_every_step_advances_to_the_end_and_uses_the_yarn_the_script_says():
    making = Making(CARDIGAN)
    for _ in making.state.script.steps:
        advance(making)
    assert making.state.done
    assert making.state.yarn_used == making.state.script.yarn_loops
    assert not say(making, Action.ADVANCE).taken


def test_an_advance_names_the_step_that_is_done():
    making = Making(THROW)
    say(making, Action.ADVANCE, now=5.0)
    assert making.events == [Advanced(at=5.0, step=1, part="throw")]


def test_the_journal_holds_an_event_before_the_state_does():
    seen = []
    making = Making(THROW, journal=lambda events: seen.append((making.state.at, events)))
    say(making, Action.ADVANCE)
    assert [at for at, _ in seen] == [0]
    assert making.state.at == 1


def test_a_journal_that_fails_leaves_everything_as_it_was():
    def full(_events):
        raise OSError("disk full")

    making = Making(THROW, journal=full)
    with pytest.raises(OSError, match="disk full"):
        say(making, Action.ADVANCE)
    assert making.state == Making(THROW).state
    assert making.events == []


def test_an_open_mark_holds_the_next_look_at_the_back_and_no_row():
    making = Making(CARDIGAN)
    say(making, Action.ADVANCE)
    assert say(making, Action.DROPPED, 12).taken
    advance_to(making, Kind.BACK_CHECK, "body")
    refusal = say(making, Action.ADVANCE)
    assert not refusal.taken
    assert "row 1 of the body, loop 12" in refusal.say
    assert say(making, Action.REPAIRED).taken
    assert say(making, Action.ADVANCE).taken


def test_accepting_a_mark_wants_a_yes_in_time():
    making = Making(THROW)
    say(making, Action.ADVANCE)
    say(making, Action.DROPPED)
    asked = say(making, Action.ACCEPT, now=2000.0)
    assert asked.asks
    assert making.context(2000.0) is Context.YES_NO
    assert not say(making, Action.YES, now=2000.0 + ANSWER_WITHIN + 1).taken
    assert making.state.open_marks
    say(making, Action.ACCEPT, now=2100.0)
    assert say(making, Action.YES, now=2102.0).taken
    assert not making.state.open_marks
    assert making.state.marks


def test_a_mark_beyond_the_row_is_refused():
    making = Making(THROW)
    say(making, Action.ADVANCE)
    refusal = say(making, Action.DROPPED, 21)
    assert not refusal.taken
    assert "20 loops" in refusal.say


def test_a_mark_made_while_looking_at_the_back_belongs_to_the_last_row():
    making = Making(CARDIGAN)
    advance_to(making, Kind.BACK_CHECK, "body")
    last_row = making.state.script.steps[making.state.at - 1]
    say(making, Action.DROPPED)
    assert making.state.marks[0].row == last_row.row


def test_rip_back_asks_then_frees_the_loops_and_forgets_marks_above():
    making = Making(THROW)
    for _ in range(4):
        say(making, Action.ADVANCE)
    say(making, Action.DROPPED, 3)
    used = making.state.yarn_used
    assert (
        "2 rows (40 loops), to the start of row 2 of the throw"
        in say(making, Action.RIP_BACK, 2).say
    )
    assert making.state.at == 4
    assert say(making, Action.YES).taken
    assert making.state.step.row == 2
    assert making.state.yarn_used == used - 40
    assert not making.state.marks
    assert not say(making, Action.RIP_BACK, 99).taken


def test_no_leaves_it():
    making = Making(THROW)
    say(making, Action.ADVANCE)
    say(making, Action.RIP_BACK, 1)
    assert say(making, Action.NO).taken
    assert not say(making, Action.YES).taken
    assert making.state.at == 1


def test_a_short_tape_adds_rows_and_a_right_one_goes_on():
    making = Making(THROW)
    advance_to(making, Kind.MEASURE)
    # 12 rows measure 24 cm, so the hands make 5 rows in 10 cm and 32 cm take 16.
    assert say(making, Action.MEASURED, 24).taken
    assert making.state.step.row == 13
    advance_to(making, Kind.MEASURE)
    assert making.state.script.steps[making.state.at - 1].row == 16
    assert say(making, Action.MEASURED, 32).taken
    assert making.state.step.kind is Kind.BACK_CHECK


def test_measuring_in_inches_means_inches():
    making = Making(THROW, unit_cm=2.54)
    advance_to(making, Kind.MEASURE)
    say(making, Action.MEASURED, 12.5)
    assert making.events[-1].cm == pytest.approx(31.75)


def test_more_rows_keeps_fronts_and_back_level():
    making = Making(CARDIGAN)
    advance_to(making, Kind.ROW, "right front")
    say(making, Action.ADVANCE)
    assert say(making, Action.MORE_ROWS, 2).taken
    rows = {
        part: max(s.row for s in making.state.script.steps if s.part == part and s.row)
        for part in ("right front", "back", "left front")
    }
    assert len(set(rows.values())) == 1
    assert audit(making.state.script) == []


def test_more_rows_that_would_change_worked_rows_are_refused():
    making = Making(CARDIGAN)
    advance_to(making, Kind.ROW, "left front")
    refusal = say(making, Action.MORE_ROWS, 2)
    assert not refusal.taken
    assert "rip back" in refusal.say


def test_a_fit_check_takes_its_verdict_and_nothing_else_does():
    making = Making(CARDIGAN)
    assert not say(making, Action.FITS).taken
    advance_to(making, Kind.FIT_CHECK)
    here = making.state.at
    say(making, Action.TOO_TIGHT)
    assert making.state.at == here
    assert making.state.verdicts == {here + 1: "too tight"}
    assert say(making, Action.FITS).taken
    assert making.state.at == here + 1


def test_a_ball_counts_down_and_a_new_one_starts_with_its_end():
    making = Making(THROW)
    say(making, Action.ADVANCE)
    assert making.state.ball_left == 100 - 22
    say(making, Action.NEW_BALL)
    assert making.state.ball_left == 98
    assert making.state.balls == 2


def test_elapsed_leaves_out_pauses_and_nights():
    making = Making(THROW)
    say(making, Action.ADVANCE, now=1000.0)
    say(making, Action.ADVANCE, now=1060.0)
    say(making, Action.PAUSE, now=1070.0)
    say(making, Action.RESUME, now=9000.0)
    say(making, Action.ADVANCE, now=9030.0)
    assert making.state.elapsed == pytest.approx(60 + 10 + 30)
    say(making, Action.ADVANCE, now=9030.0 + 8 * 3600)
    assert making.state.elapsed == pytest.approx(100 + progress.LONGEST_GAP)


def test_a_clock_that_jumps_back_costs_no_time():
    making = Making(THROW)
    say(making, Action.ADVANCE, now=1000.0)
    say(making, Action.ADVANCE, now=400.0)
    assert making.state.elapsed == 0
    assert making.state.at == 2


def heard(command, **fields):
    given = {"taken": True} | fields
    return Heard(
        start_s=0, end_s=1, decided_s=1.2, heard="row done", confidence=1, command=command, **given
    )


def test_a_withdrawn_word_takes_its_move_back():
    making = Making(THROW)
    word = Command(action=Action.ADVANCE)
    assert making.heard(heard(word), 10.0).taken
    assert making.state.at == 1
    making.heard(heard(word, taken=False, withdrawn=True, reason="the voice went on"), 10.5)
    assert making.state.at == 0
    # With nothing left of its own, a second withdrawal does nothing.
    making.heard(heard(word, taken=False, withdrawn=True, reason="the voice went on"), 10.6)
    assert making.state.at == 0


def test_a_withdrawn_word_leaves_what_came_since_alone():
    making = Making(THROW)
    word = Command(action=Action.ADVANCE)
    making.heard(heard(word), 10.0)
    say(making, Action.ADVANCE, now=10.2)
    making.heard(heard(word, taken=False, withdrawn=True, reason="the voice went on"), 10.5)
    assert making.state.at == 2


def test_a_quick_word_waits_for_a_yes():
    making = Making(THROW)
    word = Command(action=Action.ADVANCE)
    outcome = making.heard(heard(word, taken=False, asks=True, reason="that was quick"), 10.0)
    assert not outcome.taken
    assert making.state.at == 0
    say(making, Action.YES, now=11.0)
    assert making.state.at == 1


def test_a_doubtful_number_waits_for_a_yes():
    making = Making(THROW)
    say(making, Action.ADVANCE, now=5.0)
    word = Command(action=Action.DROPPED, value=14)
    reason = "did you say dropped loop at fourteen?"
    outcome = making.heard(heard(word, taken=False, asks=True, reason=reason), 10.0)
    assert outcome.say == "Did you say dropped loop at fourteen?"
    assert not making.state.open_marks
    say(making, Action.YES, now=11.0)
    assert [mark.loop for mark in making.state.open_marks] == [14]


def test_a_doubtful_rip_back_tells_what_it_costs_before_it_is_done():
    """The first yes is to what was said, the second to what is lost."""
    making = Making(THROW)
    for _ in range(4):
        say(making, Action.ADVANCE, now=5.0)
    word = Command(action=Action.RIP_BACK, value=2)
    making.heard(heard(word, taken=False, asks=True, reason="did you say …?"), 10.0)
    told = say(making, Action.YES, now=11.0)
    assert told.asks == word
    assert "Rip back 2 rows" in told.say
    assert making.state.at == 4
    say(making, Action.YES, now=12.0)
    assert making.state.at == 2


def test_a_doubtful_measurement_in_inches_is_asked_in_inches_and_kept_in_cm():
    making = Making(THROW, unit_cm=2.54)
    say(making, Action.ADVANCE, now=5.0)
    say(making, Action.ADVANCE, now=6.0)
    word = Command(action=Action.MEASURED, value=2)
    making.heard(heard(word, taken=False, asks=True, reason="did you say …?"), 10.0)
    said = say(making, Action.YES, now=11.0).say
    plain = Making(THROW, unit_cm=2.54)
    say(plain, Action.ADVANCE, now=5.0)
    say(plain, Action.ADVANCE, now=6.0)
    assert said == plain.heard(heard(word), 10.0).say
    assert making.events == [
        e.model_copy(update={"at": m.at}) for e, m in zip(plain.events, making.events, strict=True)
    ]


def test_asleep_and_awake():
    making = Making(THROW)
    say(making, Action.STOP_LISTENING, now=5.0)
    assert making.context(6.0) is Context.ASLEEP
    say(making, Action.START_LISTENING, now=7.0)
    assert making.context(8.0) is Context.ROW


COMMANDS = st.one_of(
    st.just((Action.ADVANCE, None)),
    st.just((Action.ADVANCE, None)),
    st.just((Action.ADVANCE, None)),
    st.tuples(st.just(Action.DROPPED), st.one_of(st.none(), st.integers(1, 25))),
    st.just((Action.REPAIRED, None)),
    st.just((Action.ACCEPT, None)),
    st.just((Action.YES, None)),
    st.tuples(st.just(Action.RIP_BACK), st.integers(1, 6)),
    st.tuples(st.just(Action.MEASURED), st.floats(1, 200)),
    st.tuples(st.just(Action.MORE_ROWS), st.integers(1, 4)),
    st.sampled_from([(a, None) for a in (Action.FITS, Action.TOO_TIGHT, Action.TOO_LOOSE)]),
    st.just((Action.NEW_BALL, None)),
    st.sampled_from([(Action.PAUSE, None), (Action.RESUME, None), (Action.FINISH, None)]),
)


@given(
    st.sampled_from([THROW, CARDIGAN]),
    st.integers(0, 60),
    st.lists(COMMANDS, max_size=25),
)
@settings(max_examples=times(20), deadline=None)
def test_any_evening_replays_to_the_same_state_and_unravels_exactly(plan, start, commands):
    making = Making(plan)
    for _ in range(start):
        say(making, Action.ADVANCE)
    states = [making.state]
    for action, value in commands:
        outcome = say(making, action, value)
        assert outcome.say
        assert bool(outcome.events) <= outcome.taken
        if outcome.events:
            states.append(making.state)
            assert audit(making.state.script) == []
    # What is on disk is the whole truth: events through JSON give the same state.
    kept = [EVENT.validate_json(event.model_dump_json()) for event in making.events]
    assert Making(plan, kept).state == making.state
    # Taking back walks the same states in reverse, as far as one likes.
    for state in reversed(states[:-1]):
        assert say(making, Action.TAKE_BACK).taken
        assert making.state == state
