"""A word over something that goes on and on: it stands out, and is heard by itself."""

import numpy as np
import pytest

from engine.ears.gate import FRAME, FRAME_S, Frame
from engine.ears.listener import Listener
from engine.ears.standing import Standing
from models.command import Action, Context
from tests.ears.tone_words import RATE, ToneDecoder, pcm, quiet, say


def standing(*stretches, whole=True):
    """What is told at the end of so many seconds at so many dB."""
    kept, now = Standing(), 0.0
    for seconds, level_db in stretches:
        for _ in range(round(seconds / FRAME_S)):
            now += FRAME_S
            kept.add(bytes(2 * FRAME), Frame(voiced=True, level_db=level_db, room_db=-60.0))
    return kept.ended(now, whole=whole)


def test_what_stood_out_is_told_when_it_is_over():
    found = standing((5, -50), (0.6, -25), (0.32, -50))
    assert (found.start_s, found.end_s) == (pytest.approx(5.0), pytest.approx(5.6))
    assert found.bar_db == pytest.approx(-37.0)
    utterance, part = found.utterance(Context.ROW)
    assert utterance.level_db() == pytest.approx(-25.0)
    assert utterance.beside_db(part.start_s) == (pytest.approx(25.0), pytest.approx(25.0))
    assert len(part.sound) / 2 / RATE == pytest.approx(0.6 + 0.26)
    assert part.talk_s == 0


def test_a_pause_in_a_phrase_is_no_end_of_it():
    assert standing((5, -50), (0.6, -25), (0.2, -50)) is None
    found = standing((5, -50), (0.4, -25), (0.2, -50), (0.4, -28), (0.32, -50))
    assert found.end_s - found.start_s == pytest.approx(1.0)


@pytest.mark.parametrize(
    "stretches",
    [
        [(5, -50), (0.02, -10), (0.4, -50)],  # a click
        [(3, -50), (4, -25), (0.4, -50)],  # a sentence
        [(5, -32), (0.6, -25), (0.4, -32)],  # hardly louder than what is beside it
        [(1, -50), (0.6, -25), (0.4, -50)],  # nothing is known yet of what is beside it
    ],
)
def test_what_is_no_phrase_is_not_told(stretches):
    assert standing(*stretches) is None


def test_where_somebody_talks_on_nearer_a_smaller_step_stands_out():
    found = standing((5, -34.5), (0.6, -25), (0.32, -34.5))
    assert (found.start_s, found.end_s) == (pytest.approx(5.0), pytest.approx(5.6))
    assert found.bar_db == pytest.approx(-33.0)


def test_what_rose_out_of_nothing_has_an_end_all_the_same():
    # An automatic gain brings a room up to her; when she is silent it falls.
    loud = (4, -60), (4, -25), (0.32, -50)
    assert standing(*loud) is None
    found = standing(*loud, whole=False)
    assert found.end_s == pytest.approx(8.0)
    assert found.start_s == pytest.approx(5.0)  # no phrase is longer
    assert standing((8, -25), whole=False) is None  # it has not fallen


def test_how_much_was_said_before_is_known():
    found = standing((2, -50), (1.5, -25), (0.5, -50), (0.6, -25), (0.32, -50))
    assert found.talk_s == pytest.approx(1.5)
    assert found.quiet_s == pytest.approx(0.5)


class NearDecoder(ToneDecoder):
    """Takes for silence what is far, as the starter's network learnt to."""

    def _frame(self, frame):
        super()._frame(frame * (np.sqrt((frame**2).mean()) > 600))


class TwoDecoders(ToneDecoder):
    """One that hears beside, and tells nothing of phones: the rules judge."""

    def beside(self):
        return NearDecoder()

    def fit(self, text):
        return None


def over_talk(*pieces):
    """Pieces, over talk 25 dB under them that leaves no quiet."""
    sound = np.concatenate([np.zeros(round(p * RATE)) if np.isscalar(p) else p for p in pieces])
    talk = np.resize(say(" ".join(["hum"] * 9), gap_s=0.0, level=340.0), len(sound))
    return pcm(np.concatenate([quiet(2, 4), sound + talk]))


def taken(decoder, sound):
    listener = Listener(decoder)
    heard = [h for at in range(0, len(sound), 640) for h in listener.feed(sound[at : at + 640])]
    return [h for h in heard if h.taken or h.withdrawn]


def test_a_command_over_talk_that_never_stops_is_taken_once():
    sound = over_talk(4.0, say("row done"), 4.0)
    heard = taken(TwoDecoders(), sound)
    assert [h.command.action for h in heard] == [Action.ADVANCE]
    assert heard[0].end_s == pytest.approx(6.0 + len(say("row done")) / RATE, abs=0.1)
    assert heard[0].decided_s - heard[0].end_s < 0.45
    assert taken(ToneDecoder(), sound) == []  # one that cannot hear beside is deaf there


def test_when_the_same_voice_goes_on_it_is_withdrawn():
    sound = over_talk(4.0, say("row done"), 0.4, say("hum hum hum"), 3.0)
    assert [h.withdrawn for h in taken(TwoDecoders(), sound)] == [False, True]


def test_what_was_refused_before_is_asked_when_it_is_understood_after_all():
    """She may be saying it once more by then: taken, it would count twice."""
    sound = np.concatenate([say("hum", gap_s=0.0, level=340.0), say("row done")])
    listener = Listener(TwoDecoders())
    sound = pcm(np.concatenate([quiet(2, 4), sound, quiet(2, 4)]))
    heard = [h for at in range(0, len(sound), 640) for h in listener.feed(sound[at : at + 640])]
    assert [(h.taken, h.asks) for h in heard] == [(False, False), (False, True)]
    assert heard[0].reason
    assert heard[1].reason == "did you say row done?"
