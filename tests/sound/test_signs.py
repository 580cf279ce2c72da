"""What moved stays said: the signs of the last words, and how long they stand."""

from counter.shared.signs import STAYS_S, Sign, Signs, sign_of
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from models.command import Action, Command, Heard
from models.state import Tone

MOVED = Sign(loud="✓ heard “row done”:", quiet="row 2 done", moved=True)
REFUSED = Sign(loud="✗ heard “where am i”: not taken", quiet="(no quiet before it)")


def test_a_move_keeps_its_sign_beside_the_refusal_that_follows():
    signs = Signs().then(MOVED, 10.0).then(REFUSED, 10.4)
    assert signs.shown(10.4) == (MOVED, REFUSED)
    assert signs.shown(10.0 + STAYS_S + 0.1) == (REFUSED,)


def test_a_move_keeps_its_sign_through_several_refusals_and_a_reminder():
    signs = Signs().then(MOVED, 0.0).then(REFUSED, 1.0).then(Sign(loud="‖", quiet="rest"), 2.0)
    assert [sign.quiet for sign in signs.shown(2.0)] == ["row 2 done", "rest"]


def test_the_same_refusal_again_is_seen_to_be_another():
    once = Signs().then(REFUSED, 0.0)
    twice = once.then(REFUSED, 9.0)
    thrice = twice.then(REFUSED, 9.5)
    assert once.shown(0.0)[-1].quiet == "(no quiet before it)"
    assert twice.shown(9.0)[-1].quiet == "(no quiet before it) · once more"
    assert thrice.shown(9.5)[-1].quiet == "(no quiet before it) · 3 times"


def test_a_second_row_takes_the_place_of_the_first():
    second = MOVED.model_copy(update={"quiet": "row 3 done"})
    assert Signs().then(MOVED, 0.0).then(second, 1.0).shown(1.0) == (second,)


def test_a_clock_that_went_back_shows_no_old_move():
    assert Signs().then(MOVED, 1000.0).then(REFUSED, 10.0).shown(10.0) == (REFUSED,)


def making():
    plan = make_plan("throw", read_gauge("5 x 3.75"), given={"width": 10.0, "height": 20.0})
    return Making(plan)


def heard(words, **more):
    given = {"start_s": 0, "end_s": 1, "decided_s": 1, "confidence": 1, "command": None}
    return Heard.model_validate({"heard": words, "taken": False} | given | more)


def test_a_break_that_a_row_ends_is_said_to_be_over():
    make = making()
    make.do(Command(action=Action.ADVANCE), 1.0)
    make.do(Command(action=Action.PAUSE), 2.0)
    before, command = make.state, Command(action=Action.ADVANCE)
    outcome = make.do(command, 600.0)
    assert not make.state.paused
    assert outcome.say.startswith("The break is over. ")
    assert sign_of(outcome, before, command, None).quiet.endswith("done; the break is over")


def test_a_note_in_a_break_does_not_end_it():
    make = making()
    make.do(Command(action=Action.PAUSE), 2.0)
    outcome = make.do(Command(action=Action.NOTE, text="tea"), 3.0)
    assert make.state.paused
    assert "break is over" not in outcome.say


def test_the_attention_word_alone_is_answered_and_moves_nothing():
    make = making()
    called = heard("listen now", called=True)
    outcome = make.heard(called, 1.0)
    assert (outcome.tone, outcome.events) == (Tone.LISTENS, ())
    sign = sign_of(outcome, make.state, None, called)
    assert (sign.loud, sign.quiet) == ("• heard “listen now”: ", "Listening.")
