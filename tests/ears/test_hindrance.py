"""The ears say what they cannot do."""

import numpy as np

from engine.ears.hindrance import LASTS_S, hindrance
from engine.ears.listener import Listener
from tests.ears.tone_words import RATE, ToneDecoder, pcm, quiet, say

CALL = ("listen", "now")


def test_in_a_quiet_room_there_is_nothing_to_say():
    assert hindrance(-26.0, None, -60.0, CALL) == ""
    assert hindrance(-26.0, -50.0, -60.0, CALL) == ""


def test_music_or_talk_nearly_as_loud_as_she_offers_the_attention_word():
    told = hindrance(-26.0, -35.0, -60.0, CALL)
    assert "Music or talk" in told
    assert "“listen now”" in told
    assert "Call first" not in hindrance(-26.0, -35.0, -60.0)
    assert hindrance(-26.0, -36.5, -60.0, CALL) == ""


def test_a_loud_room():
    assert "nearly as loud as you" in hindrance(-26.0, None, -37.0)
    assert hindrance(-26.0, None, -39.0) == ""


def told(sound):
    listener = Listener(ToneDecoder())
    listener.feed(pcm(sound))
    return listener.hindrance


def test_the_listener_tells_it_of_a_room_that_goes_on_and_of_no_other():
    talk = np.concatenate([say("hum hum hum"), np.zeros(RATE // 20)])
    long = np.resize(talk, round((LASTS_S + 20) * RATE))
    assert "nearly as loud as you" in told(long + quiet(len(long) / RATE + 0.001)[: len(long)])
    assert told(quiet(LASTS_S + 4)) == ""
    short = np.concatenate([quiet(3), long[: 3 * RATE], quiet(3)])
    assert told(short) == ""
