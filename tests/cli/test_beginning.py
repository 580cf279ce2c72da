"""A make begun by word: the questions, the answers, and what does not fit."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counter.shared.beginning import Beginning
from counter.shared.interview import Question, answer_of
from counter.shared.settings import Unit
from engine.base.numbers import length
from engine.base.refusal import Refusal
from engine.designs import DESIGNS, design
from engine.plan.planning import make_plan, read_gauge, read_lots, script_for
from engine.script.lots import LOTS
from models.command import Action, Command, Context

YES, NO = Command(action=Action.YES), Command(action=Action.NO)
BACK = Command(action=Action.TAKE_BACK)


def number(value):
    return Command(action=Action.MEASURED, value=value)


def after(*commands, start=None):
    now = start or Beginning()
    for command in commands:
        now, why = now.hear(command)
        assert why == "", why
    return now


def place(name):
    return list(DESIGNS).index(name) + 1


def test_a_cowl_by_number_and_yes_is_the_usual_cowl():
    begun = to_the_end(after(number(place("cowl"))))
    assert begun.question.asks.startswith("Cowl: ")
    assert begun.question.asks.endswith(" Begin it?")
    done = after(YES, start=begun)
    assert done.done
    assert done.plan() == make_plan("cowl", read_gauge("5 x 3.75"), given=done.plan().measures)


def test_a_size_a_gauge_and_a_ball_are_taken_as_said():
    begun = after(number(place("vest")))
    size = begun.question.options.index("L") + 1
    assert begun.question.context is Context.NUMBER
    begun = after(Command(action=Action.CHOOSE, value=size), number(6), number(4.5), start=begun)
    while begun.question.name != "ball":
        begun = after(number(1), start=begun)
    plan = after(number(60), NO, YES, start=begun).plan()
    assert (plan.size, plan.ball_loops) == ("L", 60)
    assert (plan.gauge.loops_per_10cm, plan.gauge.rows_per_10cm) == (6, 4.5)


def test_her_own_measurements_are_asked_one_by_one_in_her_unit():
    begun = Beginning(unit=Unit.INCH)
    begun = after(number(place("cardigan")), start=begun)
    begun = after(number(len(begun.question.options)), start=begun)
    first = design("cardigan").info.measures[0]
    assert begun.question.asks.startswith(f"{first.label}, in inches?")
    stays, why = begun.hear(number(999))
    assert stays == begun
    assert "is between" in why


def test_her_own_bust_is_no_size_and_each_measurement_stands_beside_what_she_gets():
    begun = after(number(place("cardigan")))
    begun = after(number(len(begun.question.options)), number(111), start=begun)
    asked = to_the_end(begun).question
    assert asked.asks.startswith("Cardigan, your own measurements: ")
    assert "size" not in asked.asks
    assert "Not as you asked: around, body height" in asked.asks
    # 111 cm and the usual 7.5 cm of ease: at 5 loops in 10 cm a garment comes in steps of 4 cm.
    assert "Around: asked for 118.5 cm, you get 120.0 cm" in asked.details
    assert "Back neck: asked for 16.0 cm, and so it comes" in asked.details


def test_a_number_that_is_not_there_is_said_and_the_question_stays():
    begun = Beginning()
    stays, why = begun.hear(number(99))
    assert stays == begun
    assert why == f"There is no number 99: say 1 to {len(DESIGNS)}."
    assert begun.hear(Command(action=Action.ADVANCE))[1].startswith("That is no answer here.")


def test_taking_back_asks_the_question_before_again():
    begun = after(number(place("throw")))
    assert after(BACK, start=begun) == Beginning()
    assert Beginning().hear(BACK) == (Beginning(), "Nothing is answered yet.")


def to_the_end(begun, spoken=None):
    """Through all questions; those go into `spoken`."""
    while not begun.question.yes_no:
        if spoken is not None:
            spoken.append(begun.spoken)
        options = begun.question.options
        answer = NO if begun.question.may_be_unknown else number(1) if options else YES
        begun = after(answer, start=begun)
    return begun


def test_a_no_at_the_end_begins_nothing():
    assert after(NO, start=to_the_end(after(number(place("cowl"))))).left


_SAID = st.one_of(
    st.sampled_from([YES, NO, BACK, Command(action=Action.ADVANCE), Command(action=Action.CHOOSE)]),
    st.builds(number, st.sampled_from([0, 0.5, 1, 2, 3, 4.5, 5, 10, 20, 60, 150, 999])),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(_SAID, max_size=14), st.sampled_from(list(Unit)))
def test_whatever_is_said_a_plan_that_is_begun_can_be_worked(said, unit):
    begun = Beginning(unit=unit)
    for command in said:
        begun, _ = begun.hear(command)
        assert begun.question.asks or begun.done
        if begun.done:
            assert script_for(begun.plan()).steps
            break


def test_a_stitch_and_stripes_are_asked_where_the_design_takes_them():
    begun = to_the_end(after(number(place("practice"))))
    assert not {"stitch", "colours"} & dict(begun.answers).keys()
    begun = to_the_end(after(number(place("cowl"))))
    assert {"stitch", "colours"} & dict(begun.answers).keys() == {"stitch"}
    begun = after(number(place("scarf")))
    while begun.question.name != "stitch":
        begun = after(number(1) if begun.question.options else YES, start=begun)
    moss = begun.question.options.index("moss") + 1
    begun = after(number(moss), number(2), start=begun)
    assert begun.question.asks == "How many rows of the first colour, in each stripe?"
    stays, why = begun.hear(number(2.5))
    assert (stays, why[:30]) == (begun, "Say the rows of one stripe as ")
    begun = after(number(8), number(4), NO, start=begun)
    assert "Scarf, moss, striped:" in begun.question.asks
    plan = after(YES, start=begun).plan()
    assert (plan.stitch, plan.stripes) == ("moss", "first colour 8, second colour 4")
    assert "second colour" in str(script_for(plan).steps)


def test_a_second_dye_lot_is_asked_for_where_one_ball_does_not_do():
    """And nowhere else: not where one ball does, nor where colours take turns."""
    cowl = to_the_end(after(number(place("cowl"))))
    unknown = cowl.model_copy(update={"answers": cowl.answers[:-1]})
    assert after(number(5000), start=unknown).question.name == "begin"
    few = after(number(60), start=unknown)
    assert few.question.name == "balls of a second dye lot"
    one = after(NO, start=few)
    assert (one.question.name, one.told[-1]) == ("begin", "Balls of a second dye lot: none")
    assert after(YES, start=one).plan().lots is None
    stays, why = few.hear(number(1.5))
    assert (stays, why) == (few, "Say the balls as a whole number.")
    both = after(number(2), start=few)
    assert both.question.asks == "And how many of the first dye lot?"
    assert both.hear(number(0))[1].startswith("A dye lot has at least one ball")
    both = after(number(4), start=both)
    assert "Two dye lots in turn, every 2 rows: " in both.question.asks
    plan = after(YES, start=both).plan()
    assert plan.lots == (4, 2)
    assert LOTS[1] in {step.colour for step in script_for(plan).steps}
    striped = after(number(place("throw")))
    while striped.question.name != "colours":
        options = striped.question.options
        striped = after(number(1) if options else YES, start=striped)
    striped = after(number(2), number(4), number(4), number(60), start=striped)
    assert striped.question.name == "begin"


@pytest.mark.parametrize("typed", ["7 3", "7, 3", " 7 and 3 ", "7+3"])
def test_two_lots_are_read_as_one_writes_them(typed):
    assert read_lots(typed) == (7, 3)


@pytest.mark.parametrize("typed", ["7", "seven three", "7 3 1", "-7 3", "7.5 3", "99999 1", ""])
def test_what_is_no_two_lots_is_refused(typed):
    with pytest.raises(Refusal, match="is no two dye lots: give the balls of both"):
        read_lots(typed)


_TWICE = re.compile(r"\b([a-z]+)[ ,;:]+\1\b", re.IGNORECASE)


@pytest.mark.parametrize("name", list(DESIGNS))
def test_every_design_can_be_begun_by_yes_and_numbers(name):
    spoken = []
    begun = to_the_end(after(number(place(name))), spoken)
    assert script_for(after(YES, start=begun).plan()).steps
    assert [said for said in spoken if _TWICE.search(said)] == []


def test_a_craft_is_named_once_and_a_size_is_called_a_size():
    begun = after(number(place("child-cardigan")))
    assert begun.question.spoken.startswith("Which size? 1, size 2; 2, size 4; 3, size 6;")
    begun = after(number(1), YES, YES, start=begun)
    assert begun.spoken == "In what craft? 1, loop yarn; 2, needles."


def test_what_was_understood_is_said_before_the_next_question():
    """Six is the sixth size: who meant a six hears that it is another."""
    begun = after(number(place("child-cardigan")), number(6))
    assert begun.spoken.startswith("Size 12. How many loops in 10 cm?")
    assert after(number(7), start=begun).spoken.startswith("7. How many rows in 10 cm?")
    assert after(YES, start=begun).spoken.startswith("How many rows")
    assert Beginning().spoken.startswith("What will it be? 1, Cardigan; 2, Vest;")


def test_a_stray_enter_takes_what_is_usual_and_begins_nothing():
    usual = Question(name="Width", asks="Width?", usual=100.0, length=True)
    assert answer_of(" ", Unit.CM, usual).action is Action.YES
    for now in (
        Question(name="begin", asks="Begin it?", yes_no=True),
        Question(name="size", asks="Which size?", options=("S", "M")),
    ):
        with pytest.raises(Refusal):
            answer_of("", Unit.CM, now)


@pytest.mark.parametrize("typed", ["5 cm", '16"', "2 in", "5'3\""])
def test_a_count_has_no_unit_and_a_length_may(typed):
    """Two inches are no five loops: a unit behind a count is a slip, and refused as typed."""
    count = Question(name="loops in 10 cm", asks="How many loops in 10 cm?", usual=5.0)
    with pytest.raises(Refusal, match=re.escape(f"“{typed}”")):
        answer_of(typed, Unit.CM, count)
    far = Question(name="Width", asks="Width?", length=True)
    assert answer_of(typed, Unit.INCH, far).value == pytest.approx(length(typed).cm(2.54) / 2.54)
