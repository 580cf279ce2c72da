"""A gauge, a size or a measurement changed midway: worked rows stay, and every loop adds up."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.advise import midway
from engine.advise.replan import rows_done, rows_of
from engine.base.refusal import Refusal
from engine.designs import design
from engine.make.decisions import change
from engine.make.progress import evolve, fold
from engine.plan.planning import begun, script_for
from engine.plan.written import hands
from engine.script.audit import audit
from models.event import EVENT, Advanced, Undone
from models.script import LOOP_KINDS
from tests.advise.helpers import CARDIGAN, Action, AtWork, Kind
from tests.advise.test_replan import known, plans, worked
from tests.times import times

SHARES = st.floats(0.6, 1.6)


def wishes_for(plan, data):
    """Another gauge, size or measurement, as she might find it."""
    measures = () if plan.pattern else design(plan.design).info.measures
    kinds = ["gauge", *(["size"] if midway.sizes(plan) else []), *(["measure"] if measures else [])]
    match data.draw(st.sampled_from(kinds), label="what"):
        case "gauge":
            now = plan.gauge
            loops, rows = now.loops_per_10cm, now.rows_per_10cm
            return {"gauge": (loops * data.draw(SHARES), rows * data.draw(SHARES))}
        case "size":
            size = data.draw(st.sampled_from(midway.sizes(plan)), label="size")
            return {"size": size, "measures": midway.sized(plan, size)}
        case _:
            spec = data.draw(st.sampled_from(measures), label="measure")
            cm = data.draw(st.floats(spec.low, spec.high), label="cm")
            return {"measures": midway.bounded(plan, spec.name, cm)}


@settings(max_examples=times(8), deadline=None)
@given(plans(), st.data())
def test_a_change_at_any_step_keeps_what_is_worked_and_accounts_for_every_loop(plan, data):
    if not known(plan):
        return
    beginning, events = begun(plan), []
    state = fold(beginning, events)
    for _ in range(data.draw(st.integers(1, 2), label="changes")):
        last = len(state.script.steps) - 1
        for _ in range(state.at, data.draw(st.integers(state.at, last), label="to")):
            event = Advanced(at=1000.0, step=state.step.number)
            events.append(event)
            state = evolve(state, event)
        before = state
        wishes = wishes_for(state.plan, data)
        told = change(state, "so", 1000.0, **wishes)
        reply = change(state, "so", 1000.0, confirmed=True, **wishes)
        assert bool(reply.events) is bool(told.say.endswith("?")), told.say
        if not reply.events:
            assert reply.say.count(".") >= 1
            return
        events += reply.events
        state = evolve(state, reply.events[0])
        assert state.at == before.at
        assert worked(state.script, state.at) == worked(before.script, state.at)
        assert audit(state.script) == []
        # The kept steps, joined to the worked ones, are what the design makes of the plan.
        kept = list(map(hands, state.script.steps))
        anew = list(map(hands, script_for(state.plan).steps))
        assert kept[state.at :] == anew[state.at :]
        # A tape that is past keeps the length that it was held against (the last field).
        assert [step[:-1] for step in kept] == [step[:-1] for step in anew]
        read = [EVENT.validate_json(event.model_dump_json()) for event in events]
        assert fold(beginning, read) == state
        assert fold(beginning, [*read, Undone(at=1000.0)]) == before


def in_the_body(row=6):
    work = AtWork()
    work.advance_to(Kind.ROW, "body", row)
    return work


def test_a_longer_body_gets_its_rows_and_the_edging_what_follows():
    """By hand: 44 cm at 3.75 rows in 10 cm are 16.5 rows, in even rows 16; 42.7 cm."""
    found = midway.of(in_the_body().state, "body height 44 cm", measures={"body_height": 44.0})
    body = next(part for part in found.grown if part.part == "body")
    assert body.rows == (14, 16)
    assert found.change.rows == 2
    height = next(line for line in found.resized if line.name == "body height")
    assert height.after == pytest.approx(16 / 0.375, abs=0.05)
    assert height.off


def test_what_she_added_stays_added():
    work = in_the_body()
    work.do(Action.MORE_ROWS, 2)
    found = midway.of(work.state, "body height 44 cm", measures={"body_height": 44.0})
    assert rows_of(found.script, "body") == 16 + 2


def test_no_fewer_rows_are_left_than_are_worked():
    state = in_the_body(9).state
    found = midway.of(state, "body height 8 cm", measures={"body_height": 8.0})
    assert rows_of(found.script, "body") >= rows_done(state, "body") + 1  # the one in work
    assert "not the 8.0 cm asked for" in change(state, "x", 0.0, measures={"body_height": 8.0}).say


def test_another_size_keeps_her_own_measurements_and_the_loops_that_are_on():
    own = CARDIGAN.model_copy(update={"measures": {**CARDIGAN.measures, "cuff": 28.0}})
    work = AtWork(own)
    work.advance_to(Kind.ROW, "body", 4)
    told = midway.sized(own, "L")
    assert "cuff" not in told
    assert told["bust"] == design("cardigan").defaults("L")["bust"]
    found = midway.of(work.state, "size L", size="L", measures=told)
    assert found.plan.size == "L"
    assert found.script.steps[0] == work.state.script.steps[0]


@pytest.mark.parametrize(
    ("wishes", "why"),
    [
        ({"gauge": (5.0, 3.75)}, "still to come would change"),
        (
            {"measures": {"body_height": CARDIGAN.measures["body_height"]}},
            "still to come would change",
        ),
    ],
)
def test_a_change_of_nothing_says_so(wishes, why):
    assert why in change(in_the_body().state, "x", 0.0, **wishes).say


def test_out_of_bounds_and_unknown_measurements_are_refused():
    with pytest.raises(Refusal, match="Body height of 900 cm is out of bounds"):
        midway.bounded(CARDIGAN, "body_height", 900)
    with pytest.raises(Refusal, match="There is no measurement 'leg'"):
        midway.bounded(CARDIGAN, "leg", 30)


def test_a_tape_across_teaches_the_loops_wherever_two_rows_are_alike():
    """By hand: 38 loops over 70 cm are 5.43 in 10 cm."""
    work = in_the_body()
    said = work.do(Action.ACROSS, 70)
    assert "5.4 per 10 cm" in said.say
    assert work.state.plan.gauge.loops_per_10cm == pytest.approx(380 / 70)
    assert work.state.plan.gauge.rows_per_10cm == 3.75
    assert "cannot be" in work.do(Action.ACROSS, 700).say


def test_the_row_in_work_counts_once_it_can_be_done():
    """By hand: 13 rows in 36 cm are 3.6 in 10 cm; 12 rows would be 3.3."""
    work = in_the_body(13)
    state, last = (
        work.state,
        max(s.row for s in work.state.script.steps if s.part == "body" and s.row),
    )
    assert last == 14
    soon = work.do(Action.MEASURED, 36, after=1)
    assert "over 12 rows" in soon.say
    work.do(Action.TAKE_BACK)
    later = work.do(Action.MEASURED, 36, after=600)
    assert "over 13 rows, the one in work among them" in later.say
    assert "3.6 rows per 10 cm" in later.say
    assert work.state.step.operations == state.step.operations


def test_the_last_row_is_not_thrown_away_by_a_tape_before_it_is_told():
    work = in_the_body(14)
    work.do(Action.MEASURED, 40, after=600)  # long enough: 14 rows, and none to spare
    assert work.state.step.row == 14
    assert rows_of(work.state.script, "body") >= 14
    assert sum(s.kind in LOOP_KINDS for s in work.state.script.steps if s.part == "body") >= 14
