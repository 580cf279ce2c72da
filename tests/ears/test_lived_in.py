"""What the ears say and ask in a lived-in room, shown by running sound."""

import time

import numpy as np
import pytest

from counter.sound.listening import Ears, EarsHeard, EarsLack
from engine.ears import guard
from engine.ears.fluency import Fluency
from engine.ears.guard import BOUNDS, Sensitivity
from engine.ears.hindrance import LASTS_S
from engine.ears.listener import Listener
from models.command import Action, Situation
from tests.ears.test_weighing import GOOD
from tests.ears.tone_words import RATE, ToneDecoder, pcm, quiet, say, scene

EVEN = BOUNDS[Sensitivity.EVEN]


class Running:
    """A source that gives what it holds as quickly as it is taken."""

    trouble, breaks = "", 0

    def __init__(self, sound):
        self.left = sound

    def open(self):
        pass

    def close(self):
        pass

    def read(self, timeout_s=0.1):
        piece, self.left = self.left[:32_000], self.left[32_000:]
        if not piece:
            time.sleep(0.005)
        return piece


def news_of(sound):
    """All that the ears tell of a sound."""
    news, source = [], Running(sound)
    ears = Ears(source, lambda _: Fluency(folder="a-model", language="en"), lambda _: ToneDecoder())
    ears.open(news.append, Situation, lambda piece, _at_s: [(piece, False)])
    end = time.monotonic() + 60
    while source.left and time.monotonic() < end:
        time.sleep(0.01)
    assert not source.left
    ears.close()
    assert not ears.trouble
    return news


def talk(seconds):
    one = np.concatenate([say("hum hum hum"), np.zeros(RATE // 20)])
    return np.resize(one, round(seconds * RATE))


def test_a_room_in_which_she_is_not_understood_is_told_once_and_what_helps():
    long = talk(LASTS_S + 10)
    sound = np.concatenate([np.zeros(2 * RATE), long, np.zeros(10 * RATE), long])
    lacks = [one.told for one in news_of(pcm(sound + quiet(len(sound) / RATE))) if _lack(one)]
    assert len(lacks) == 1
    assert "nearly as loud as you" in lacks[0]
    assert "“listen now”" in lacks[0]


def test_of_a_room_in_which_she_is_understood_nothing_is_told():
    news = news_of(scene(2, say("row done"), 2, talk(3), 4, say("take back"), 2))
    heard = [one.heard.heard for one in news if isinstance(one, EarsHeard) and one.heard.taken]
    assert heard == ["row done", "take back"]
    assert not [one for one in news if _lack(one)]


def _lack(one):
    return isinstance(one, EarsLack)


class FittingDecoder(ToneDecoder):
    """Tells how well phones fit; of the numbers `near` others are nearly as likely."""

    def __init__(self, near=(), **settings):
        super().__init__(**settings)
        self._near = near
        self._said = ""

    def finish(self):
        answer = super().finish()
        self._said = answer.text
        return answer

    def fit(self, text):
        apart = 0.0 if text == self._said else EVEN.rival + 4
        if text != self._said and set(text.split()) & set(self._near):
            apart = EVEN.rival - 4
        return GOOD.model_copy(update={"total": GOOD.total - apart})


def heard_in(sound, decoder=None, **settings):
    listener = Listener(decoder or ToneDecoder(), **settings)
    return [*listener.feed(sound), *listener.end()]


@pytest.mark.parametrize(
    ("pause_s", "second"), [(2.0, True), (8.0, False)], ids=["at once", "later"]
)
def test_after_one_refusal_the_next_try_is_heard_more_willingly(monkeypatch, pause_s, second):
    doubtful = 1 - 1.6 * (1 - EVEN.sure)
    monkeypatch.setattr(guard, "likely", lambda _: doubtful)
    sound = scene(2, say("row done"), pause_s, say("row done"), 2)
    first, again = heard_in(sound, FittingDecoder())
    assert not first.taken
    assert first.reason == "not sure enough"
    assert again.taken is second


def test_after_a_refusal_another_phrase_is_heard_as_before(monkeypatch):
    monkeypatch.setattr(guard, "likely", lambda _: 1 - 1.6 * (1 - EVEN.sure))
    heard = heard_in(scene(2, say("row done"), 2, say("take back"), 2), FittingDecoder())
    assert [one.taken for one in heard] == [False, False]


@pytest.mark.parametrize(
    ("number", "value", "asks"),
    [
        ("twelve", 12, False),
        ("one hundred", 100, False),
        ("one hundred one", 101, True),
        ("one hundred twelve", 112, True),
        ("one hundred and forty", 140, True),
    ],
)
def test_in_a_loud_room_a_hundred_and_more_is_asked_back(number, value, asks):
    """By the rules for voice models that tell no phones: beyond twelve a number is asked back."""
    speech = say(f"dropped loop at {number}")
    sound = np.concatenate([np.zeros(4 * RATE), speech, np.zeros(2 * RATE)])
    # it stands 6 to 10 dB out of the room, as the guard counts it
    (heard,) = heard_in(pcm(sound + quiet(len(sound) / RATE, level=_LOUD)), _Deaf(_LOUD))
    assert heard.command.action is Action.DROPPED
    assert heard.command.value == value
    assert heard.asks is asks
    assert heard.taken is not asks
    if asks:
        assert heard.reason == f"did you say dropped loop at {number}?"


_LOUD = 1650.0


class _Deaf(ToneDecoder):
    """Hears the tones through a noise of that loudness."""

    def __init__(self, level):
        super().__init__()
        self._level = level

    def _frame(self, frame):
        loud = np.sqrt(np.square(frame).mean()) > 1.6 * self._level
        super()._frame(frame if loud else np.zeros(320))


@pytest.mark.parametrize(
    ("number", "near", "asks"),
    [
        ("forty", "fourteen", True),
        ("forty", "", False),
        ("twelve", "four", True),
        ("twelve", "", False),
        ("one hundred twenty", "thirty", True),
        ("one hundred twenty", "", False),
    ],
)
def test_a_number_is_asked_back_where_another_is_nearly_as_likely(monkeypatch, number, near, asks):
    monkeypatch.setattr(guard, "likely", lambda _: 0.99)
    sound = scene(2, say(f"dropped loop at {number}"), 2)
    (heard,) = heard_in(sound, FittingDecoder(near={near} - {""}))
    assert heard.asks is asks
    assert heard.taken is not asks
