"""Re-planning at any step of any design: the audit holds, nothing worked changes, undo is exact."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.advise import choices
from engine.advise.replan import replanned, rows_done, rows_of
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.make.decisions import decide
from engine.make.progress import evolve, fold
from engine.pattern.make import plan_from_text
from engine.plan.planning import begun, make_plan, read_gauge, script_for
from engine.script.audit import audit
from models.command import Action, Command
from models.event import EVENT, Undone
from models.script import Craft
from tests.advise.helpers import CARDIGAN, AtWork, Kind
from tests.times import times

NAMES = (*(n for n, d in DESIGNS.items() if Craft.LOOP in d.info.crafts), "written")
"""At these gauges; what is made on needles alone wants finer ones."""
TUBE = """Title: A tube with a crown
Craft: needles
Sizes: S (M, L)
Gauge: 10 sts and 13 rows = 10 cm

Part: tube
Cast on 40 (50, 60) sts.
Join to work in the round, being careful not to twist.
Rnds 1-4: *k1, p1; rep from * to end.
Knit until piece measures 14 (15, 16) cm.
Fit check.

Part: crown
Rnd 1: *k8, k2tog; rep from * to end.
Rnd 2: knit.
Bind off all sts.
Weave in ends.
"""


def plans():
    """A plan of any design, in gauges that make short scripts."""
    return st.builds(
        _plan,
        st.sampled_from(NAMES),
        st.sampled_from(["5 x 3.75", "6 x 5", "4 x 4"]),
        st.sampled_from(list(Craft)),
        st.sampled_from([None, 90, 250]),
    )


def _plan(name, gauge, craft, ball):
    if name == "written":
        return plan_from_text(TUBE, size="M", ball_loops=ball)
    crafts = DESIGNS[name].info.crafts
    given = {"width": 60.0, "height": 50.0} if name == "throw" else None
    return make_plan(
        name,
        read_gauge(gauge),
        craft=craft if craft in crafts else crafts[0],
        ball_loops=ball,
        given=given,
    )


COMMANDS = st.one_of(
    # Shares of what the plan makes of the length; put into cm where the work stands.
    st.builds(lambda share: Command(action=Action.MEASURED, value=share), st.floats(0.45, 2.1)),
    st.builds(lambda n: Command(action=Action.MORE_ROWS, value=n), st.integers(1, 6)),
    st.builds(lambda n: Command(action=Action.CHOOSE, value=n), st.integers(1, 4)),
    st.builds(lambda n: Command(action=Action.DROPPED, value=n), st.integers(1, 12)),
    st.builds(lambda n: Command(action=Action.RIP_BACK, value=n), st.integers(1, 9)),
    st.sampled_from(
        [
            Command(action=action)
            for action in (
                Action.TOO_TIGHT,
                Action.TOO_LOOSE,
                Action.TOO_SHORT,
                Action.NEW_BALL,
                Action.REPAIRED,
                Action.FITS,
            )
        ]
    ),
)


def worked(script, at):
    """What the hands have done: everything of a step but what is only planned or said of it."""
    keep = {"part", "kind", "row", "direction", "operations", "loops_before", "loops_after", "held"}
    return [step.model_dump(include=keep) for step in script.steps[:at]]


def at_hand(state, command):
    """A measured share as centimetres of the part in work, or of what lies across."""
    if command.action is not Action.MEASURED or state.step is None:
        return command
    gauge = state.plan.gauge
    cm = rows_done(state, state.step.part) / gauge.rows_per_cm
    if state.step.kind is Kind.FIT_CHECK:
        cm = state.step.loops_before / gauge.loops_per_cm
    return command.model_copy(update={"value": cm * command.value})


def known(plan):
    try:
        begun(plan)
    except Refusal:
        return False
    return True


@settings(max_examples=times(12), deadline=None)
@given(plans(), st.data())
def test_any_replan_at_any_step_keeps_the_audit_and_the_work_and_is_undone(plan, data):
    if not known(plan):
        return
    events, now = [], 1000.0
    beginning = begun(plan)
    state = fold(beginning, events)
    for _ in range(data.draw(st.integers(1, 3), label="changes")):
        for _ in range(data.draw(st.integers(0, 70), label="steps")):
            outcome = decide(state, Command(action=Action.ADVANCE), now)
            if not outcome.events:
                break
            now += 5
            events += outcome.events
            for event in outcome.events:
                state = evolve(state, event)
        command = at_hand(state, data.draw(COMMANDS, label="command"))
        outcome = decide(state, command, now, confirmed=True)
        before, now = state, now + 5
        events += outcome.events
        for event in outcome.events:
            state = evolve(state, event)
        assert audit(state.script) == []
        # The kept steps, joined to the worked ones, are what the design makes of the plan.
        assert state.script == script_for(state.plan)
        # What is still worked is what it was; only ripping back takes any of it away.
        still = min(before.at, state.at)
        assert worked(state.script, still) == worked(before.script, still)
        # The events carry the decided numbers: read back from JSON they make the same state.
        read = [EVENT.validate_json(event.model_dump_json()) for event in events]
        assert fold(beginning, read) == state
        # And taking the last one back is exact.
        if outcome.events:
            assert len(outcome.events) == 1
            assert fold(beginning, [*read, Undone(at=now)]) == before


@settings(max_examples=times(30), deadline=None)
@given(st.sampled_from(["cardigan", "vest", "child-cardigan"]), st.data())
def test_paired_and_mirrored_parts_stay_equal(name, data):
    work = AtWork(make_plan(name, read_gauge("5 x 3.75")))
    work.advance(data.draw(st.integers(0, len(work.state.script.steps) - 1)))
    work.do(data.draw(st.sampled_from([Action.TOO_TIGHT, Action.TOO_LOOSE, Action.TOO_SHORT])))
    work.do(Action.MORE_ROWS, data.draw(st.integers(1, 4)))
    there = choices.of(work.state)
    if there and work.do(Action.CHOOSE, data.draw(st.integers(1, len(there)))).asks:
        work.do(Action.YES)
    script = work.state.script
    assert script.level
    for group in script.level:
        assert len({rows_of(script, part) for part in group}) == 1


def test_a_tape_says_what_changes_and_plans_the_rest_by_the_true_gauge():
    """By hand: 12 rows measure 24 cm, so 5 rows make 10 cm; the body's height then takes so many
    rows, in even rows, and the armholes' depth so many."""
    work = AtWork()
    work.advance_to(Kind.ROW, "body", 13)
    said = work.do(Action.MEASURED, 24).say
    assert "5.0 rows per 10 cm" in said
    assert "more" in said
    assert "loops of yarn" in said
    cm, script = CARDIGAN.measures, work.state.script
    assert rows_of(script, "body") == 2 * round(cm["body_height"] * 0.5 / 2)
    for part in ("right front", "back", "left front"):
        assert rows_of(script, part) == round(cm["armhole_depth"] * 0.5)
    half_back = script.finished_cm["back width"] / 2
    for part in ("right sleeve", "left sleeve"):
        assert rows_of(script, part) == round((cm["back_neck_to_cuff"] - half_back) * 0.5)


def test_a_sleeves_tape_leaves_what_was_picked_up_by_the_old_gauge():
    work = AtWork()
    work.advance_to(Kind.ROUND, "right sleeve", 9)
    before = work.state
    assert work.do(Action.MEASURED, 19).taken  # 8 rounds: 4.2 in 10 cm
    assert work.state.plan.gauge == before.plan.gauge
    assert rows_of(work.state.script, "left sleeve") == rows_of(work.state.script, "right sleeve")
    assert rows_of(work.state.script, "right sleeve") > rows_of(before.script, "right sleeve")


@pytest.mark.parametrize("cm", [2, 90])
def test_a_length_that_cannot_be_is_refused_with_what_it_should_be_about(cm):
    work = AtWork()
    work.advance_to(Kind.ROW, "body", 5)
    refusal = work.do(Action.MEASURED, cm)
    assert not refusal.taken
    assert "4 rows cannot be: by the plan it is about 11 cm" in refusal.say
    work.advance_to(Kind.FIT_CHECK)
    refusal = work.do(Action.MEASURED, cm * 2)  # 38 loops lie 76 cm wide by the plan
    assert not refusal.taken
    assert "cannot be" in refusal.say


def test_a_written_pattern_that_is_too_tight_begins_again_in_its_own_next_size():
    work = AtWork(plan_from_text(TUBE, size="M"))
    work.advance_to(Kind.FIT_CHECK)
    assert "begin again in size L, 60 instead of 50, " in work.do(Action.TOO_TIGHT).say
    again = next(one for one in choices.of(work.state) if "begin again" in one.does)
    work.do(Action.CHOOSE, again.number)
    assert work.do(Action.YES).taken
    assert (work.state.at, work.state.script.steps[0].loops_after) == (0, 60)


def test_old_events_still_load():
    old = [
        '{"at":1,"kind":"measured","step":3,"cm":30,"lead":"body","rows":12}',
        '{"at":1,"kind":"replanned","why":"x","rows":{"body":12}}',
        '{"at":1,"kind":"new ball"}',
        '{"at":1,"kind":"accepted","mark":1}',
        '{"at":1,"kind":"fit verdict","step":3,"verdict":"too tight"}',
    ]
    assert [EVENT.validate_json(line).at for line in old] == [1] * 5


def test_a_change_that_would_touch_the_work_names_what_to_rip():
    work = AtWork()
    work.advance_to(Kind.ROW, "back", 2)
    with pytest.raises(Refusal, match=r"The right front is already worked"):
        replanned(work.state, rows={"right front": rows_of(work.state.script, "back") + 1})


def test_a_tape_in_the_cap_keeps_the_brim_and_makes_room_for_the_crown():
    """By hand: whatever the brim measures by the true gauge, brim, sides and crown together are
    to be as high as was wanted."""
    work = AtWork(make_plan("cap", read_gauge("5 x 6"), given={"brim": 12.0, "height": 40.0}))
    brim = rows_of(work.state.script, "brim")
    work.advance_to(Kind.ROUND, "cap", 5)
    assert work.do(Action.MEASURED, 5).taken  # 4 rounds: 8 in 10 cm, not 6
    script = work.state.script
    assert work.state.plan.gauge.rows_per_10cm == pytest.approx(8)
    assert rows_of(script, "brim") == brim == round(12 * 0.6)
    assert sum(s.counts_row for s in script.steps) == round(40 * 0.8)
