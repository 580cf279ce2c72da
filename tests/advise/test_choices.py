"""A fit check that says no: the choices, their costs, and taking one back."""

import pytest

from engine.advise import choices, fitting
from engine.advise.replan import rows_of
from engine.make import answers
from engine.plan.planning import make_plan
from engine.script.audit import audit
from models.event import FitVerdict, Replanned
from tests.advise.helpers import CARDIGAN, JUMBO, Action, AtWork, Kind, fit_check


def take(work, number):
    """Choose, and say yes where it asks."""
    outcome = work.do(Action.CHOOSE, number)
    return work.do(Action.YES) if outcome.asks else outcome


def around(state):
    return next(line.garment for line in fitting.lines(state.plan, state.script) if line.body)


def foundation(state):
    return state.script.steps[0].loops_after


def choice(work, begins):
    return next(c for c in choices.of(work.state) if c.does.startswith(begins))


@pytest.mark.parametrize("verdict", [Action.TOO_TIGHT, Action.TOO_LOOSE])
def test_the_choices_are_said_numbered_with_their_cost(verdict):
    work = fit_check("body")
    said = work.do(verdict).say
    there = choices.of(work.state)
    assert said.startswith(f"{verdict.value.capitalize()}. Choice 1: go on with a")
    assert [one.cost.loops for one in there] == sorted(one.cost.loops for one in there)
    assert f"Choice {len(there) - 1}: go on as it is; no cost." in said
    assert f"Choice {len(there)}: rip back to the foundation" in said
    assert "rows ripped" in said
    assert "loops to work again" in said


def test_nothing_is_chosen_before_something_is_asked():
    work = AtWork()
    assert not work.do(Action.CHOOSE, 1).taken
    work.advance(3)
    assert not work.do(Action.TOO_TIGHT).taken


def test_a_number_beyond_the_choices_is_refused():
    work = fit_check("body")
    work.do(Action.TOO_TIGHT)
    refusal = work.do(Action.CHOOSE, 9)
    assert not refusal.taken
    assert "There are 3 choices" in refusal.say


def test_a_yes_after_a_no_does_not_count_as_fitting():
    work = fit_check("body")
    at = work.state.at
    work.do(Action.TOO_TIGHT)
    assert work.do(Action.CHOOSE, choice(work, "rip back").number).asks
    assert not work.do(Action.YES, after=60).taken
    assert work.state.at == at


@pytest.mark.parametrize(("verdict", "size"), [(Action.TOO_TIGHT, "M"), (Action.TOO_LOOSE, "XS")])
def test_ripping_to_the_foundation_begins_the_next_size(verdict, size):
    work = fit_check("body")
    before = work.state
    work.do(verdict)
    said = work.state
    first = choice(work, "rip back to the foundation")
    assert first.confirm
    # Everything worked is ripped: the foundation and every row of the body.
    assert first.cost.rows == 1 + rows_of(before.script, "body")
    assert first.cost.loops == first.cost.rows * foundation(before)
    assert take(work, first.number).taken
    assert work.state.at == 0
    assert work.state.plan.size == work.state.script.size == size
    assert (foundation(work.state) > foundation(before)) == (verdict is Action.TOO_TIGHT)
    assert work.state.yarn_used == 0
    assert audit(work.state.script) == []
    # One action back, and all of it is back.
    assert work.do(Action.TAKE_BACK).taken
    assert work.state == said


def test_the_said_cost_in_yarn_is_what_the_script_then_takes():
    for number in (1, 2):
        work = fit_check("body")
        work.do(Action.TOO_TIGHT)
        before, costs = work.state.script.yarn_loops, choices.of(work.state)[number - 1].cost
        take(work, number)
        assert work.state.script.yarn_loops - before == costs.yarn


def test_a_wider_edging_makes_it_wider_and_goes_on():
    work = fit_check("body")
    was, at = around(work.state), work.state.at
    work.do(Action.TOO_TIGHT)
    take(work, choice(work, "go on with a wider edging").number)
    assert around(work.state) > was + 4
    assert work.state.at == at + 1
    assert foundation(work.state) == foundation(AtWork().state)
    assert rows_of(work.state.script, "edging") > 3


def test_too_loose_may_overlap():
    work = fit_check("body")
    was = around(work.state)
    work.do(Action.TOO_LOOSE)
    number = choice(work, "go on and let the fronts overlap").number
    take(work, number)
    assert around(work.state) == pytest.approx(was - 5.1, abs=0.1)


def test_going_on_as_it_is_passes_the_check():
    work = fit_check("body")
    work.do(Action.TOO_TIGHT)
    last = choice(work, "go on as it is")
    assert isinstance(last.event, FitVerdict)
    at = work.state.at
    assert take(work, last.number).taken
    assert work.state.at == at + 1


def test_a_tape_across_the_body_makes_the_choice_exact():
    """By hand: N loops measured over W cm make N/W per cm; the wanted circumference less both
    edgings (3 rows each), in loops of that gauge, is the true foundation, to a loop that the neck
    may want."""
    work = fit_check("body")
    n, width = foundation(work.state), 70.0
    said = work.do(Action.MEASURED, width)
    assert said.taken
    assert f"{n * 10 / width:.1f} per 10 cm" in said.say
    gauge = work.state.plan.gauge
    assert gauge.loops_per_10cm == pytest.approx(n * 10 / width)
    assert foundation(work.state) == n
    work.do(Action.TOO_TIGHT)
    cm = CARDIGAN.measures
    opening = cm["bust"] + cm["ease"] - 2 * 3 / gauge.rows_per_cm
    wanted = opening * gauge.loops_per_cm
    exact = choice(work, "rip back to the foundation")
    take(work, exact.number)
    assert abs(foundation(work.state) - wanted) <= 1
    assert exact.does.endswith(f"count {foundation(work.state)} instead of {n}")
    assert abs(around(work.state) - (cm["bust"] + cm["ease"])) <= 1 / gauge.loops_per_cm


def test_armholes_that_pull_are_deepened_alike():
    work = fit_check("shoulders and neck")
    rows = rows_of(work.state.script, "back")
    work.do(Action.TOO_TIGHT)
    take(work, choice(work, f"rip back to row {rows} of the right front").number)
    script = work.state.script
    assert {rows_of(script, p) for p in ("right front", "back", "left front")} == {rows + 2}
    # No row is ripped for it: she stands at the first row that is new.
    assert (work.state.step.part, work.state.step.row) == ("right front", rows + 1)
    assert audit(script) == []


def test_more_loops_round_the_armholes_keep_the_sleeves_equal():
    work = fit_check("shoulders and neck")
    before = work.state.script
    work.do(Action.TOO_TIGHT)
    take(work, choice(work, "take up 2 loops more").number)

    def picked(script, part):
        return next(s.loops_after for s in script.steps if s.part == part)

    for part in ("right sleeve", "left sleeve"):
        assert picked(work.state.script, part) - picked(before, part) in {2, 3}
    assert rows_of(work.state.script, "right sleeve") == rows_of(work.state.script, "left sleeve")
    assert audit(work.state.script) == []


def test_a_tight_left_sleeve_rips_back_both():
    work = fit_check("left sleeve")
    work.do(Action.TOO_TIGHT)
    first = choice(work, "rip back to the pick-up")
    assert isinstance(first.event, Replanned)
    there = work.state.script.steps[first.event.rip_to_step - 1]
    assert (there.part, there.kind) == ("right sleeve", Kind.PICK_UP)


def test_an_edging_that_ruffles_is_picked_up_with_fewer():
    work = fit_check("edging")
    before = work.state.script
    work.do(Action.TOO_LOOSE)
    take(work, choice(work, "rip back to the pick-up of the edging").number)
    pick = work.state.step
    assert (pick.part, pick.kind) == ("edging", Kind.PICK_UP)
    assert pick.loops_after < before.steps[pick.number - 1].loops_after


def test_a_front_that_does_not_reach_lengthens_all_three():
    work = fit_check("shoulders and neck")
    rows = rows_of(work.state.script, "back")
    said = work.do(Action.TOO_SHORT).say
    assert "right front, back and left front alike" in said
    take(work, choice(work, f"rip back to row {rows} of the right front").number)
    script = work.state.script
    assert {rows_of(script, p) for p in ("right front", "back", "left front")} == {rows + 1}


def test_does_not_reach_in_the_right_front_itself_costs_no_ripping():
    work = AtWork()
    work.advance_to(Kind.ROW, "right front", 3)
    rows = rows_of(work.state.script, "right front")
    work.do(Action.TOO_SHORT)
    first = choices.of(work.state)[0]
    assert (first.cost.rows, first.confirm) == (0, False)
    at = work.state.at
    take(work, 1)
    assert work.state.at == at
    assert rows_of(work.state.script, "left front") == rows + 1


def test_does_not_reach_before_anything_is_worked():
    assert not AtWork().do(Action.TOO_SHORT).taken


def test_more_rows_in_one_of_a_pair_are_told_for_both_or_refused():
    work = AtWork()
    work.advance_to(Kind.ROW, "right front", 2)
    asked = work.do(Action.MORE_ROWS, 3)
    assert "right front, back and left front" in asked.say
    assert asked.asks is None or work.do(Action.YES).taken
    work.advance_to(Kind.ROUND, "left sleeve", 2)
    refusal = work.do(Action.MORE_ROWS, 3)
    assert not refusal.taken
    assert "The right sleeve" in refusal.say


@pytest.mark.parametrize("design", ["cowl", "throw", "cap", "shawl", "vest", "child-cardigan"])
def test_other_designs_offer_what_they_can(design):
    work = AtWork(make_plan(design, JUMBO))
    checks = [s for s in work.state.script.steps if s.kind is Kind.FIT_CHECK]
    for check in checks:
        while work.state.step.number < check.number:
            work.advance()
        for verdict in (Action.TOO_TIGHT, Action.TOO_LOOSE, Action.TOO_SHORT):
            work.do(verdict)
            there = choices.of(work.state)
            assert len(there) > 1, (check.part, verdict)
            assert answers.choices(there, work.state)
            for one in there:
                before = work.state
                assert take(work, one.number).taken
                assert audit(work.state.script) == []
                work.do(Action.TAKE_BACK)
                assert work.state == before
            work.do(Action.TAKE_BACK)
