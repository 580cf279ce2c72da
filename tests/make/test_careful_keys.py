"""Nothing moves by accident: what an advance must not pass, and keys as careful as words."""

import re

import pytest

from engine.advise import pace
from engine.make.conversation import ANSWER_WITHIN
from engine.make.history import entries
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, By, Command, Context
from models.event import EVENT, Advanced
from models.script import Kind

GAUGE = read_gauge("5 x 3.75")
THROW = make_plan("throw", GAUGE, given={"width": 40, "height": 32}, ball_loops=100)
CARDIGAN = make_plan("cardigan", GAUGE, size="S", ball_loops=300)
BY_EITHER = pytest.mark.parametrize("by", list(By))


class Hands:
    """A maker who takes her time, or not."""

    def __init__(self, plan, **more):
        self.making, self.now = Making(plan, **more), 1000.0

    @property
    def state(self):
        return self.making.state

    def do(self, action, value=None, *, by=By.KEY, after=600.0):
        self.now += after
        return self.making.do(Command(action=action, value=value), self.now, by=by)

    def to(self, kind, part=None):
        """Work on, every length as wanted and every fit good, up to a step of that kind."""
        while not (self.state.step.kind is kind and part in (None, self.state.step.part)):
            step = self.state.step
            match step.kind:
                case Kind.MEASURE:
                    assert self.do(Action.MEASURED, step.target_cm).taken
                case Kind.FIT_CHECK:
                    assert self.do(Action.FITS).taken
                case _:
                    assert self.do(Action.ADVANCE).taken
        return self.state.at


@BY_EITHER
def test_an_advance_stops_at_the_tape_and_says_what_is_wanted_and_how_to_go_on(by):
    hands = Hands(THROW)
    at = hands.to(Kind.MEASURE)
    for _ in range(3):
        asked = hands.do(Action.ADVANCE, by=by)
        assert not asked.taken
        assert hands.state.at == at
        hands.do(Action.NO, by=by, after=1)
    asked = hands.do(Action.ADVANCE, by=by)
    assert "32 cm" in asked.say
    assert "without measuring" in asked.say
    assert hands.do(Action.YES, by=by, after=2).taken
    assert hands.state.at == at + 1
    event = hands.making.events[-1]
    assert event == Advanced(at=hands.now, step=at + 1, part="throw", skipped=True)
    assert EVENT.validate_json(event.model_dump_json()) == event
    assert "skipped" in entries(hands.making.begun, hands.making.events)[-1].text


@BY_EITHER
def test_an_advance_stops_at_a_fit_check_and_trying_it_on_is_not_pretended(by):
    hands = Hands(CARDIGAN)
    at = hands.to(Kind.FIT_CHECK)
    assert not hands.do(Action.ADVANCE, by=by).taken
    assert hands.state.at == at
    assert hands.do(Action.YES, by=by, after=2).taken
    assert hands.state.at == at + 1
    assert hands.making.events[-1].skipped
    assert hands.state.verdicts.get(at + 1) != "fits"


def test_a_plain_yes_answers_a_look_and_a_try_on_but_no_tape():
    hands = Hands(CARDIGAN)
    hands.to(Kind.BACK_CHECK)
    assert hands.do(Action.YES).taken
    hands.to(Kind.FIT_CHECK)
    at = hands.state.at
    assert hands.do(Action.YES).taken
    assert hands.state.verdicts[at + 1] == "fits"
    throw = Hands(THROW)
    at = throw.to(Kind.MEASURE)
    answer = throw.do(Action.YES)
    assert not answer.taken
    assert "32 cm" in answer.say
    assert throw.state.at == at


def test_an_open_mark_holds_every_look_at_the_back():
    hands = Hands(CARDIGAN)
    hands.to(Kind.ROW)
    hands.do(Action.ADVANCE)
    hands.do(Action.DROPPED, 3)
    at = hands.to(Kind.BACK_CHECK)
    for action in (Action.ADVANCE, Action.YES):
        refusal = hands.do(action)
        assert not refusal.taken
        assert "loop 3" in refusal.say
        assert "accept mark" in refusal.say
        assert hands.state.at == at
    hands.do(Action.REPAIRED)
    assert hands.do(Action.ADVANCE).taken


@BY_EITHER
def test_an_advance_never_passes_an_open_choice(by):
    hands = Hands(CARDIGAN)
    at = hands.to(Kind.FIT_CHECK)
    hands.do(Action.TOO_TIGHT, by=by)
    refusal = hands.do(Action.ADVANCE, by=by)
    assert not refusal.taken
    assert "Choice 1" in refusal.say
    assert hands.state.at == at
    assert not hands.do(Action.YES, by=by).taken


def test_what_does_not_reach_leaves_a_choice_open_that_can_be_declined():
    hands = Hands(CARDIGAN)
    hands.to(Kind.ROW, "back")
    hands.do(Action.ADVANCE)
    at = hands.state.at
    said = hands.do(Action.TOO_SHORT).say
    assert "go on as it is" in said
    assert not hands.do(Action.ADVANCE).taken
    number = re.search(r"Choice (\d): go on as it is", said)[1]
    assert hands.do(Action.CHOOSE, int(number)).taken
    assert hands.state.at == at
    assert hands.do(Action.ADVANCE).taken


@pytest.mark.parametrize("kind", [Kind.BACK_CHECK, Kind.MEASURE])
def test_going_on_although_it_does_not_reach_passes_no_look_and_no_tape(kind):
    hands = Hands(CARDIGAN)
    at = hands.to(kind)
    said = hands.do(Action.TOO_SHORT).say
    number = re.search(r"Choice (\d): go on as it is", said)[1]
    assert hands.do(Action.CHOOSE, int(number)).taken
    assert hands.state.at == at
    assert hands.state.step.kind is kind


def test_a_choice_that_is_taken_is_open_no_more():
    hands = Hands(CARDIGAN)
    hands.to(Kind.ROW, "right front")
    hands.do(Action.ADVANCE)
    said = hands.do(Action.TOO_SHORT).say
    rows = hands.state.step.rows_planned
    number = next(n for n in range(1, 5) if f"Choice {n}: work 1 row more" in said)
    assert hands.do(Action.CHOOSE, number).taken
    assert hands.state.step.rows_planned > rows
    assert hands.do(Action.ADVANCE).taken


@BY_EITHER
def test_an_advance_never_passes_a_question(by):
    hands = Hands(THROW)
    for _ in range(4):
        hands.do(Action.ADVANCE)
    question = hands.do(Action.RIP_BACK, 2, by=by).say
    refusal = hands.do(Action.ADVANCE, by=by, after=2)
    assert not refusal.taken
    assert question.rstrip("?") in refusal.say
    assert hands.state.at == 4
    # It still stands open: a yes is for it.
    assert hands.do(Action.YES, by=by, after=2).taken
    assert hands.state.at == 2


def test_a_question_asked_by_a_key_waits_for_a_key_as_long_as_it_takes():
    hands = Hands(THROW)
    for _ in range(4):
        hands.do(Action.ADVANCE)
    hands.do(Action.RIP_BACK, 2)
    late = ANSWER_WITHIN + 1
    # A word that comes late was meant for someone else.
    assert not hands.do(Action.YES, by=By.WORD, after=late).taken
    assert hands.state.at == 4
    assert hands.making.talk.open_at(hands.now)
    assert hands.making.context(hands.now) is not Context.YES_NO
    assert hands.do(Action.YES, after=3600.0).taken
    assert hands.state.at == 2


def test_a_question_asked_by_a_word_closes_with_its_clock_for_keys_too():
    hands = Hands(THROW)
    for _ in range(4):
        hands.do(Action.ADVANCE)
    hands.do(Action.RIP_BACK, 2, by=By.WORD)
    assert hands.making.talk.left(hands.now + 3) == ANSWER_WITHIN - 3
    assert not hands.do(Action.YES, after=ANSWER_WITHIN + 1).taken
    assert hands.state.at == 4


def test_a_key_far_quicker_than_the_row_asks_once():
    hands = Hands(THROW, pace=pace.least_step)
    for _ in range(6):
        assert hands.do(Action.ADVANCE, after=80.0).taken
    asked = hands.do(Action.ADVANCE, after=2.0)
    assert not asked.taken
    assert hands.state.at == 6
    assert "row 6" in asked.say
    assert hands.do(Action.YES, after=2.0).taken
    assert hands.state.at == 7
    # She is catching up on rows worked before: the next ones are believed …
    assert hands.do(Action.ADVANCE, after=2.0).taken
    assert hands.do(Action.ADVANCE, after=2.0).taken
    # … but not for ever.
    hands.do(Action.ADVANCE, after=100.0)
    assert not hands.do(Action.ADVANCE, after=2.0).taken


def test_a_pace_is_doubted_before_there_is_one():
    """No hand works 20 loops in a second, whoever she is."""
    hands = Hands(THROW, pace=pace.least_step)
    hands.do(Action.ADVANCE)
    assert not hands.do(Action.ADVANCE, after=1.5).taken
    hands.do(Action.NO, after=1)
    assert hands.do(Action.ADVANCE, after=30).taken


def test_rows_counted_by_accident_do_not_teach_a_pace():
    hands = Hands(THROW, pace=pace.least_step)
    for _ in range(6):
        hands.do(Action.ADVANCE, after=80.0)
    usual = pace.quickest(hands.state)
    for _ in range(4):
        hands.do(Action.ADVANCE, after=1.2)
        hands.do(Action.YES, after=0.5)
    assert pace.quickest(hands.state) == usual


def test_steps_without_loops_are_never_too_quick():
    hands = Hands(CARDIGAN, pace=pace.least_step)
    hands.to(Kind.BACK_CHECK)
    assert hands.do(Action.ADVANCE, after=1.5).taken


def test_taking_back_says_what_was_taken_back():
    hands = Hands(THROW)
    assert not hands.do(Action.TAKE_BACK).taken
    for _ in range(3):
        hands.do(Action.ADVANCE)
    hands.do(Action.DROPPED, 7)
    assert "dropped loop marked: throw, row 3, loop 7" in hands.do(Action.TAKE_BACK).say
    assert "row 2 done" in hands.do(Action.TAKE_BACK).say
    assert "row 1 done" in hands.do(Action.TAKE_BACK).say
    assert "foundation" in hands.do(Action.TAKE_BACK).say
    assert not hands.do(Action.TAKE_BACK).taken
