"""An utterance knows its breaks: where a command may begin that something went before."""

import pytest

from engine.ears.gate import FRAME, FRAME_S, Frame
from engine.ears.utterance import Timing, Utterance
from models.command import Context

LEAD = 15


def utterance(*stretches):
    """Voiced (+) and unvoiced (-) stretches, seconds, after a lead of quiet; it begins at 10 s."""
    made = Utterance(10.0, 2.0, -60.0, Context.ROW)
    now = 10.0 - LEAD * FRAME_S
    for seconds in (-LEAD * FRAME_S, *stretches):
        for _ in range(round(abs(seconds) / FRAME_S)):
            now += FRAME_S
            voiced = seconds > 0
            told = Frame(voiced=voiced, level_db=-20.0 if voiced else -60.0, room_db=-60.0)
            made.add(bytes(2 * FRAME), told)
            if voiced:
                made.voice(now, told)
    return made


def test_a_word_without_breaks_is_one_part():
    (part,) = utterance(0.6, -0.2).parts()
    assert part.start_s == pytest.approx(10.0)
    assert part.quiet_s == 2.0
    assert part.talk_s == 0
    assert len(part.sound) / 32_000 == pytest.approx(0.6 + 2 * Timing.lead)


def test_what_follows_a_break_is_tried_first_then_what_goes_before_it_too():
    last, whole = utterance(0.4, -0.26, 0.7, -0.3).parts()
    assert last.start_s == pytest.approx(10.66)
    assert last.quiet_s == pytest.approx(0.26)
    assert last.talk_s == pytest.approx(0.4)
    assert whole.start_s == pytest.approx(10.0)


def test_a_closure_within_a_word_is_no_break():
    assert len(utterance(0.3, -0.06, 0.3, -0.3).parts()) == 1


def test_a_click_at_the_end_is_no_word():
    starts = [part.start_s for part in utterance(0.6, -0.2, 0.06, -0.3).parts()]
    assert starts == [pytest.approx(10.0)]


def test_nothing_is_tried_that_is_longer_than_a_phrase():
    assert utterance(4.0, -0.3).parts() == []
    (part,) = utterance(4.0, -0.3, 0.7, -0.3).parts()
    assert part.talk_s == pytest.approx(4.0)


def test_few_beginnings_are_tried():
    made = utterance(*[0.2, -0.14] * 8)
    assert len(made.parts()) == 3


def test_without_a_voice_there_is_nothing_to_try():
    assert Utterance(0.0, 1.0, -60.0, Context.ROW).parts() == []


def test_a_voice_rises_out_of_its_room_and_falls_back_into_it():
    rises, falls = utterance(0.6, -0.3).beside_db(10.0)
    assert rises == pytest.approx(40.0)
    assert falls == pytest.approx(40.0)
    rises, _ = utterance(0.3, -0.02, 0.6, -0.3).beside_db(10.32)
    assert rises < 3  # no quiet goes before it
    made = Utterance(0.0, 1.0, -60.0, Context.ROW)
    made.add(bytes(2 * FRAME), Frame(voiced=True, level_db=-20.0, room_db=-60.0))
    assert made.beside_db(0.0) == (80.0, 80.0)  # nothing is known of what is beside it


def test_how_loud_a_part_is_and_how_long_it_is_voiced():
    made = utterance(0.4, -0.2)
    assert made.level_db() == pytest.approx(-20.0)
    assert made.level_db(10.3) == pytest.approx(-20.0)
    assert made.level_db(11.0) == -120.0
