"""The guard where the voice model tells how well each phone fits: one judgement, few bounds."""

import pytest

from engine.ears import guard
from engine.ears.guard import BOUNDS, Outcome, Sensitivity, asked_back, asked_sure, judge
from models.command import Action, Context, Situation
from tests.ears.test_weighing import GOOD, said

EVEN = BOUNDS[Sensitivity.EVEN]


@pytest.fixture
def found(monkeypatch):
    """Sets what the learned judgement finds."""

    def finds(likely):
        monkeypatch.setattr(guard, "likely", lambda _: likely)

    return finds


def outcome(evidence, situation=None, bounds=EVEN):
    return judge(evidence, situation or Situation(), bounds).outcome


def test_as_likely_as_is_asked_is_taken_and_less_is_doubted(found):
    found(EVEN.sure)
    assert outcome(said()) is Outcome.TAKEN
    found(EVEN.sure - 0.001)
    verdict = judge(said(), Situation())
    assert verdict.outcome is Outcome.REFUSED
    assert verdict.doubted
    assert verdict.reason == "not sure enough"


def test_a_doubt_says_which_of_the_rules_it_offends(found):
    found(0.1)
    assert judge(said(quiet_before_s=0.1), Situation()).reason == "no quiet before it"
    assert judge(said(level_db=-52.0), Situation()).reason == "not louder than the room"
    assert judge(said(agreed=False), Situation()).reason == "heard one thing, then another"


def test_no_rule_refuses_what_is_likely(found):
    """An um before it, or a brisk pace, is evidence and no bar."""
    found(0.99)
    for changes in ({"quiet_before_s": 0.1}, {"voiced_s": 0.1}, {"agreed": False}):
        assert outcome(said(**changes)) is Outcome.TAKEN


def test_a_phrase_that_hardly_fits_was_not_said(found):
    found(1.0)
    assert outcome(said(fit=GOOD.model_copy(update={"mean": -2.41}))) is Outcome.REFUSED
    assert outcome(said(fit=GOOD.model_copy(update={"mean": -2.39}))) is Outcome.TAKEN


def test_the_end_of_a_breath_that_takes_back_is_asked(found):
    """Of "row done, no, take back" only "take back" was understood: the row may not be counted."""
    found(1.0)
    half = said("take back", again=True, talk_s=0.6)
    verdict = judge(half, Situation())
    assert (verdict.outcome, verdict.reason) == (Outcome.ASK, "did you say take back?")
    asleep = Situation(context=Context.YES_NO, question_open=True)
    assert outcome(half, asleep) is not Outcome.TAKEN
    assert outcome(said("take back")) is Outcome.TAKEN
    assert outcome(said("take back", again=True)) is Outcome.TAKEN
    assert outcome(said("row done", again=True, talk_s=0.6)) is Outcome.TAKEN


def test_what_makes_no_sense_is_refused_however_likely(found):
    found(1.0)
    verdict = judge(said("yes"), Situation())
    assert (verdict.outcome, verdict.reason) == (Outcome.REFUSED, "nothing was asked")
    assert not verdict.doubted
    verdict = judge(said(called=False), Situation())
    assert verdict.reason == "the attention word did not come first"
    only = Situation(possible=frozenset({Action.TAKE_BACK}))
    assert judge(said(), only).reason == "it makes no sense at this step"


def test_the_end_must_be_likelier_than_what_is_asked_or_taken_back(found):
    found(EVEN.sure + 0.05)
    assert outcome(said("take back")) is Outcome.TAKEN
    assert outcome(said("finish the make")) is Outcome.REFUSED
    assert asked_sure(said("finish the make"), EVEN) == pytest.approx((1 + EVEN.sure) / 2)
    assert asked_sure(said("rip back two rows"), EVEN) == EVEN.sure  # it asks for a yes anyway


def test_after_a_doubt_the_same_is_heard_more_willingly(found):
    found(1 - 2 * (1 - EVEN.sure))
    assert outcome(said()) is Outcome.REFUSED
    assert outcome(said(tried=True)) is Outcome.TAKEN
    found(1 - 3 * (1 - EVEN.sure))
    assert outcome(said(tried=True)) is Outcome.REFUSED


def test_a_number_whose_rival_is_near_is_asked_back(found):
    found(0.99)
    number = said("rip back fifteen rows", rival=EVEN.rival)
    assert outcome(number) is Outcome.TAKEN
    verdict = judge(said("rip back fifteen rows", rival=EVEN.rival - 0.1), Situation())
    assert verdict.outcome is Outcome.ASK
    assert verdict.reason == "did you say rip back fifteen rows?"


def test_a_doubtful_number_is_asked_back_and_a_doubtful_phrase_is_not(found):
    found(1 - 3 * (1 - EVEN.sure))
    assert outcome(said("dropped loop at nine", rival=20.0)) is Outcome.ASK
    assert outcome(said("rip back fifteen rows", rival=20.0)) is Outcome.ASK
    assert outcome(said("take back")) is Outcome.REFUSED
    found(1 - 5 * (1 - EVEN.sure))
    assert outcome(said("dropped loop at nine", rival=20.0)) is Outcome.REFUSED


def test_where_a_number_is_being_given_it_is_refused_instead(found):
    found(0.5)
    given = said("fifteen", context=Context.NUMBER, rival=20.0)
    verdict = judge(given, Situation(context=Context.NUMBER))
    assert (verdict.outcome, verdict.doubted) == (Outcome.REFUSED, True)


def test_a_quick_advance_asks(found):
    found(0.99)
    soon = Situation(step_age_s=4.0, least_step_s=60.0)
    verdict = judge(said(), soon)
    assert (verdict.outcome, verdict.reason) == (Outcome.ASK, "that was quick: does it count?")
    found(0.2)
    assert outcome(said(), soon) is Outcome.REFUSED


def test_a_phrase_that_a_rehearsal_mistook_must_be_surer(found):
    found(0.99)
    bounds = EVEN.model_copy(update={"surer": {Action.ADVANCE: 0.97}})
    assert outcome(said(confidence=0.96), bounds=bounds) is Outcome.REFUSED
    assert outcome(said(confidence=0.97), bounds=bounds) is Outcome.TAKEN
    assert outcome(said("take back", confidence=0.5), bounds=bounds) is Outcome.TAKEN


def test_what_is_asked_is_in_order():
    for phrase in ("row done", "rip back fifteen rows", "finish the make"):
        shown = said(phrase)
        asked = [asked_sure(shown, BOUNDS[s]) for s in ("careful", "even", "eager")]
        assert asked == sorted(asked, reverse=True)
        assert all(asked_back(shown, BOUNDS[s]) <= asked_sure(shown, BOUNDS[s]) for s in BOUNDS)
        assert asked_sure(said(phrase, tried=True), EVEN) < asked_sure(shown, EVEN)
    assert asked_back(said("row done"), EVEN) == asked_sure(said("row done"), EVEN)
    doubt = min(4 * (1 - EVEN.sure), 0.6)
    assert asked_back(said("dropped loop at nine"), EVEN) == pytest.approx(1 - doubt)


def test_without_the_fit_of_its_phones_the_rules_judge(found):
    found(0.0)
    assert outcome(said(fit=None)) is Outcome.TAKEN
    found(1.0)
    assert outcome(said(fit=None, quiet_before_s=0.1)) is Outcome.REFUSED
    assert outcome(said(fit=GOOD, quiet_before_s=0.1)) is Outcome.TAKEN


def test_of_two_in_one_breath_none_is_asked_back(found):
    """A yes would count the first of them alone."""
    found(0.99)
    two = said("row done row done", rival=EVEN.rival - 0.1)
    verdict = judge(two, Situation())
    assert (verdict.outcome, verdict.doubted) == (Outcome.REFUSED, True)
    assert verdict.reason == "not sure enough: say one at a time"
    assert outcome(said("row done row done", rival=EVEN.rival)) is Outcome.TAKEN


def test_a_number_may_be_four_times_as_doubtful_to_be_asked_back():
    for each in Sensitivity:
        sure = BOUNDS[each].sure
        least = asked_back(said("dropped loop at nine"), BOUNDS[each])
        assert least == pytest.approx(1 - min(4 * (1 - sure), 0.6))
    assert asked_back(said("dropped loop at nine"), BOUNDS["careful"]) == pytest.approx(0.68)
