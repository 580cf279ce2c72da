"""Each transition by itself: what one event makes of a state, to the last field."""

import re

import pytest

from engine.advise import pace
from engine.base.refusal import Refusal
from engine.make import progress
from engine.make.making import Making
from engine.plan import written
from models.event import (
    Accepted,
    Advanced,
    Dropped,
    Finished,
    FitVerdict,
    Measured,
    MoreRows,
    NewBall,
    Noted,
    Paused,
    Replanned,
    RippedBack,
)
from models.script import Kind
from models.state import TOO_FEW, Join, MakeState, Mark, Note
from tests.make.test_progress import CARDIGAN, THROW, advance, advance_to


def state_at(plan, kind, part=None) -> MakeState:
    """A make that has come to the first step of that kind."""
    making = Making(plan)
    advance_to(making, kind, part)
    return making.state


def rest_of(state: MakeState) -> str:
    """What is still to come, in its kept form."""
    return written.write(state.script, state.edition, state.at)


@pytest.fixture
def third() -> MakeState:
    """A throw in its second row, one foundation and one row worked; the clock began at 1003."""
    making = Making(THROW)
    advance(making)
    advance(making)
    return making.state


def test_marks_are_counted_from_one(third):
    once = progress.evolve(third, Dropped(at=2000, step=2, loop=7))
    twice = progress.evolve(once, Dropped(at=2001, step=3))
    part = third.script.steps[1].part
    assert twice.marks == (
        Mark(number=1, step=2, part=part, row=1, loop=7),
        Mark(number=2, step=3, part=part, row=2, loop=None),
    )


def test_a_ball_has_what_was_said_of_it_and_else_what_the_plan_says(third):
    used = third.ball_used
    told = progress.evolve(third, NewBall(at=2000, loops=150, pulled=6))
    assert (told.balls, told.ball_size, told.ball_used) == (2, 150, 2 - 6)
    assert told.joins == (Join(step=3, ball_used=used, ball_size=100, pulled=6, ends=4),)
    again = progress.evolve(told, NewBall(at=2001))
    assert (again.balls, again.ball_size, again.ball_used) == (3, 100, 2)
    assert again.joins[1] == Join(step=3, ball_used=2 - 6, ball_size=150, pulled=0, ends=4)


def test_a_ball_joined_at_the_very_end_stands_at_the_last_step(third):
    done = third.model_copy(update={"at": len(third.script.steps)})
    assert progress.evolve(done, NewBall(at=2000)).joins[0].step == len(third.script.steps)


def test_no_event_rips_back_to_a_step_that_was_never_reached(third):
    here = progress.evolve(third, RippedBack(at=2000, to_step=third.at + 1))
    assert (here.at, here.step_began) == (third.at, 2000)
    back = progress.evolve(third, RippedBack(at=2001, to_step=2))
    assert (back.at, back.step_began) == (1, 2001)
    with pytest.raises(LookupError, match=f"^{third.at + 2}$"):
        progress.evolve(third, RippedBack(at=2000, to_step=third.at + 2))


def test_a_verdict_passes_only_the_step_that_asked_for_it():
    tried = state_at(CARDIGAN, Kind.FIT_CHECK)
    step = tried.step.number

    def said(state, verdict):
        return progress.evolve(state, FitVerdict(at=5000, step=state.step.number, verdict=verdict))

    assert said(tried, "fits").at == tried.at + 1
    assert said(tried, "as it is").at == tried.at + 1
    assert said(tried, "too tight").verdicts == {step: "too tight"}
    assert said(tried, "too tight").at == tried.at
    # Of too few balls it is known anywhere: to go on all the same is no way past a try-on.
    few = progress.evolve(tried, FitVerdict(at=5000, step=step, verdict=TOO_FEW, balls=3))
    assert (few.verdicts, few.balls_had) == ({step: TOO_FEW}, 3)
    assert said(few, "as it is").at == tried.at

    tape = state_at(CARDIGAN, Kind.MEASURE)
    assert said(tape, "as it is").at == tape.at
    long = tape.model_copy(update={"verdicts": {tape.step.number: "too long"}})
    assert said(long, "as it is").at == tape.at + 1


def test_what_is_planned_anew_begins_when_it_was_said(third):
    tail = rest_of(third)

    def replanned(**more):
        return progress.evolve(third, Replanned(at=3000, why="it", tail=tail, **more))

    assert replanned().at == third.at
    assert replanned().step_began == third.step_began
    past = replanned(done=True)
    assert (past.at, past.step_began) == (third.at + 1, 3000)
    assert past.script == third.script
    first = written.write(third.script, "another", 1)
    ripped = progress.evolve(third, Replanned(at=3000, why="it", tail=first, rip_to_step=2))
    assert (ripped.at, ripped.step_began) == (1, 3000)
    assert (ripped.script, ripped.edition) == (third.script, "another")


def test_every_event_takes_its_time_along(third):
    """The hands were at work from the last event to this one, whatever it says."""
    tail, here = rest_of(third), third.step.number
    spent = third.elapsed + 94
    for event in (
        Advanced(at=1100, step=here),
        RippedBack(at=1100, to_step=2),
        Measured(at=1100, step=here, cm=9, lead="throw", rows=12, tail=tail),
        Measured(at=1100, step=here, cm=9, lead="throw", rows=12, tail=tail, done=True),
        MoreRows(at=1100, lead="throw", rows=12, tail=tail),
        Replanned(at=1100, why="it", tail=tail),
        Replanned(at=1100, why="it", tail=tail, done=True),
        Replanned(at=1100, why="it", tail=written.write(third.script, "", 1), rip_to_step=2),
        FitVerdict(at=1100, step=here, verdict="fits"),
        NewBall(at=1100),
        Noted(at=1100, text="so far"),
        Finished(at=1100),
    ):
        after = progress.evolve(third, event)
        assert (after.last_at, after.elapsed) == (1100, spent), event
        begun_anew = after.at != third.at or isinstance(event, RippedBack)
        assert after.step_began == (1100 if begun_anew else third.step_began), event


def test_the_tape_says_what_it_measured_and_whether_it_is_too_long(third):
    tail = rest_of(third)
    said = Measured(at=2000, step=3, cm=9.5, lead="throw", rows=12, tail=tail)
    short = progress.evolve(third, said)
    assert (short.measured, short.verdicts, short.at) == ((3, 9.5), {}, third.at)
    other = third.model_copy(update={"verdicts": {1: "fits"}})
    long = progress.evolve(other, said.model_copy(update={"too_long": True}))
    assert long.verdicts == {1: "fits", 3: "too long"}


def test_one_mark_is_settled_and_the_others_stand_open(third):
    once = progress.evolve(third, Dropped(at=2000, step=2))
    twice = progress.evolve(once, Dropped(at=2001, step=2, loop=4))
    left = progress.evolve(twice, Accepted(at=2002, mark=2))
    assert [m.open for m in left.marks] == [True, False]
    assert left.marks[1].loop == 4


def test_notes_stand_at_their_step_and_a_close_is_a_close(third):
    said = progress.evolve(third, Noted(at=2000, text="tight here"))
    done = said.model_copy(update={"at": len(said.script.steps)})
    spoken = progress.evolve(done, Noted(at=2001, text="", sound="a" * 64, seconds=7.4))
    assert spoken.notes == (
        Note(step=3, at=2000, text="tight here"),
        Note(step=len(done.script.steps), at=2001, text="", seconds=7.4),
    )
    assert not spoken.closed
    assert progress.evolve(spoken, Finished(at=2002)).closed


def test_a_choice_that_settles_takes_its_own_verdict_with_it_and_no_other(third):
    here = third.step.number
    asked = third.model_copy(update={"verdicts": {1: "too tight", here: "too loose"}})

    def settled(settles):
        event = Replanned(at=3000, why="it", tail=rest_of(third), settles=settles)
        return progress.evolve(asked, event).verdicts

    assert settled(True) == {1: "too tight"}
    assert settled(False) == asked.verdicts


@pytest.mark.parametrize(
    "event",
    [
        MoreRows(at=3000, lead="throw", rows=20),
        Measured(at=3000, step=3, cm=10, lead="throw", rows=20),
        Replanned(at=3000, why="it"),
    ],
)
def test_what_the_first_release_planned_anew_is_refused_in_a_sentence(third, event):
    told = (
        "This was planned anew by the first release, which did not keep the rows that came of "
        "it: open the make from its journal, where they are found again."
    )
    with pytest.raises(Refusal, match=f"^{re.escape(told)}$"):
        progress.evolve(third, event)


def test_an_event_asks_of_the_plan_what_it_says(third):
    measured = Measured(
        at=1, step=3, cm=10, lead="body", rows=20, kept={"back": 8}, counts={"neck": 4}
    )
    rows = {"back": 8, "body": 20}
    assert progress.asked(third, measured) == {"rows": rows, "counts": {"neck": 4}, "gauge": None}
    true = measured.model_copy(update={"rows_per_10cm": 4.5})
    across = third.plan.gauge.loops_per_10cm
    assert progress.asked(third, true)["gauge"] == (across, 4.5)
    assert progress.asked(third, MoreRows(at=1, lead="body", rows=21)) == {"rows": {"body": 21}}
    anew = Replanned(
        at=1, why="it", rows={"a": 1}, measures={"b": 2.0}, counts={"c": 3}, gauge=(5, 4), size="L"
    )
    assert progress.asked(third, anew) == {
        "rows": {"a": 1},
        "measures": {"b": 2.0},
        "counts": {"c": 3},
        "gauge": (5, 4),
        "size": "L",
    }


def test_events_of_another_make_are_refused_in_a_sentence():
    making = Making(THROW)
    events = [RippedBack(at=2000, to_step=9)]
    with pytest.raises(Refusal, match=r"^Its events do not fit its rows\.$"):
        progress.fold(making.begun, events)


def test_the_first_event_begins_the_clock_and_the_step():
    begun = Making(THROW).state
    assert (begun.last_at, begun.step_began) == (None, None)
    noted = progress.evolve(begun, Noted(at=500, text="so"))
    assert (noted.elapsed, noted.step_began, noted.step_began_at) == (0.0, 500, 0.0)
    later = progress.evolve(noted, Noted(at=560, text="so"))
    assert (later.elapsed, later.step_began, later.step_began_at) == (60.0, 500, 0.0)
    done = progress.evolve(later, Advanced(at=590, step=1))
    assert (done.elapsed, done.step_began, done.step_began_at) == (90.0, 590, 90.0)
    assert done.step_paces == pace.with_step(later, 90.0)
    assert done.step_paces != later.step_paces


@pytest.mark.parametrize(
    ("paused", "silence", "rested"),
    [
        (False, progress.LONGEST_GAP - 1, False),
        (False, progress.LONGEST_GAP, True),
        (True, pace.LONG_REST - 1, False),
        (True, pace.LONG_REST, True),
    ],
)
def test_a_long_enough_silence_is_a_rest(third, paused, silence, rested):
    if paused:
        third = progress.evolve(third, Paused(at=third.last_at))
    after = progress.evolve(third, Noted(at=third.last_at + silence, text="so"))
    assert after.paused is paused
    assert after.rested_at == (after.elapsed if rested else third.rested_at)
    on = progress.evolve(after, Dropped(at=after.last_at + 1, step=2))
    assert on.paused is False


def test_nothing_is_pulled_after_the_last_step(third):
    done = third.model_copy(update={"at": len(third.script.steps)})
    after = progress.evolve(done, Advanced(at=2000, step=1))
    assert (after.at, after.ball_used) == (done.at, done.ball_used)
