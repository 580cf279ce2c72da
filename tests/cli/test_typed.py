"""A typed line means what the one table says."""

import time

import pytest

from counter.shared.demo import demo_making
from counter.shared.keys import action_of, key_name
from counter.shared.typed import command_of
from engine.base.refusal import Refusal
from engine.words.vocabulary import words
from models.command import Action, Command, Context, Slot

STATE = demo_making().state


def read(line: str, context: Context = Context.ROW) -> Command:
    return command_of(line, STATE, context, listening=True)


@pytest.mark.parametrize("line", words(), ids=lambda line: line.action.value)
def test_every_phrase_can_be_typed_with_figures(line) -> None:
    for phrase in line.phrases:
        asked = read(phrase.replace("{n}", "12").replace("{m}", "31.5"))
        assert asked.action is line.action
        if "{n}" in phrase:
            assert asked.value == 12
        if "{m}" in phrase:
            assert asked.value == 31.5


@pytest.mark.parametrize("line", words(), ids=lambda line: line.action.value)
def test_every_key_can_be_typed(line) -> None:
    for key in line.keys:
        rest = (
            " 3" if line.slot is not Slot.NONE else " a word" if line.action is Action.NOTE else ""
        )
        for name in (key, key_name(key), key.upper()):
            asked = read(name + rest)
            # Two actions may share a key: then the make's state decides, as it does in the app.
            assert asked.action is action_of(key, STATE, listening=True)
            assert asked.value == (3 if line.slot is not Slot.NONE else None)


def test_a_stray_enter_moves_nothing_and_a_space_is_the_space_bar() -> None:
    assert read("").action is Action.SAY_AGAIN
    assert read("\t").action is Action.SAY_AGAIN
    assert read(" ").action is Action.ADVANCE
    assert read("  ").action is Action.ADVANCE


def test_words_may_be_spelled_out_and_need_no_care_for_capitals_or_stops() -> None:
    assert read("Row done.") == Command(action=Action.ADVANCE)
    assert read("measured thirty one point five") == read("MEASURED 31,5")
    assert read("31.5", Context.NUMBER) == Command(action=Action.MEASURED, value=31.5)


def test_a_note_keeps_its_words_as_they_are() -> None:
    assert read("note Two boats, row 7 again!") == Command(
        action=Action.NOTE, text="Two boats, row 7 again!"
    )
    assert read("o Two boats").text == "Two boats"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("blah", "neither a key nor a word"),
        ("31.5", "neither a key nor a word"),
        ("r", "number on the same line"),
        ("m", "number on the same line"),
        ("o", "note on the same line"),
        ("u 4", "does not belong"),
        ("d twelve of them", "“twelve of them” is not understood as a whole number"),
        ("m 6,5,2", "“6,5,2” is not understood as a length"),
        ("measured 6,5,2", "“6,5,2” is not understood as a length"),
        ("m 1,234", "could be"),
        ("rip back 2,5 rows", "“2,5” is not understood as a whole number"),
        ("row done row done", "neither"),
        ("\x1b[A", "neither"),
        ("९", "neither"),
        ("d 999999999", ""),
        ("d 99999999999999999999", "not understood"),
    ],
)
def test_anything_else_is_refused_in_one_sentence(line: str, told: str) -> None:
    if told:
        with pytest.raises(Refusal, match=told) as refusal:
            read(line)
        assert str(refusal.value).count("\n") == 0
    else:
        making = demo_making()
        outcome = making.do(read(line), time.time())
        assert not outcome.taken


@pytest.mark.parametrize(
    ("typed", "in_cm"),
    [
        ("m 6,5", 6.5),
        ("measured 41 1/2", 41.5),
        ("measured 41½", 41.5),
        ('m 16"', 16 * 2.54),
        ("M 5'3\"", 63 * 2.54),
        ("measured 40 cm", 40),
        ("measured 16 in.", 16 * 2.54),
    ],
)
def test_a_length_is_typed_as_people_type_it_in_whatever_unit(typed: str, in_cm: float) -> None:
    assert read(typed).value == pytest.approx(in_cm)
    inches = command_of(typed, STATE, Context.ROW, listening=True, unit_cm=2.54)
    bare = not any(unit in typed for unit in ("cm", '"', "in"))
    assert inches.value * 2.54 == pytest.approx(in_cm * 2.54 if bare else in_cm)


def test_a_bare_length_answers_where_one_is_asked_for() -> None:
    assert read("31½ in", Context.NUMBER).value == pytest.approx(31.5 * 2.54)
    with pytest.raises(Refusal, match="“31 and” is not understood as a length"):
        read("31 and", Context.NUMBER)
