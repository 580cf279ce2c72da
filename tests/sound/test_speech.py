import shutil
import sys
import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from counter.sound import speech
from counter.sound.speech import NEEDS_VOICE, LibraryVoice, ProgramVoice, Speaker, find_voice


class Listening:
    """A loudspeaker that keeps what it was given."""

    def __init__(self):
        self.played = []
        self.hushed = 0

    def play(self, sound, rate):
        self.played.append((sound, rate))

    def hush(self):
        self.hushed += 1


def library():
    pytest.importorskip("espeakng_loader", reason="pip install 'spokenrow[voice]'")
    return LibraryVoice()


def program():
    if shutil.which("espeak-ng") is None:
        pytest.skip("sudo apt-get install -y espeak-ng")
    return ProgramVoice()


@pytest.mark.parametrize("make", [library, pytest.param(program, marks=pytest.mark.system)])
def test_a_text_becomes_sound_of_a_likely_length(make):
    voice = make()
    short, rate = voice("row twelve")
    long, _ = voice("row twelve of forty, decrease one loop at the start and one at the end")
    assert 0.4 < len(short) / rate < 2
    assert 2 < len(long) / rate < 8
    assert 0.02 < np.sqrt((long**2).mean()) < 0.5


def test_voices_in_several_threads_speak_as_one_alone_does():
    expected = len(library()("row twelve")[0])

    def lengths(_):
        voice = library()
        return [len(voice("row twelve")[0]) for _ in range(10)]

    with ThreadPoolExecutor(3) as pool:
        for got in pool.map(lengths, range(6)):
            assert got == pytest.approx([expected] * 10, rel=0.01)


def test_without_either_there_is_no_voice(monkeypatch):
    monkeypatch.setitem(sys.modules, "espeakng_loader", None)
    monkeypatch.setattr(speech, "_espeak", speech._Espeak)  # not the one already loaded
    monkeypatch.setattr(speech.shutil, "which", lambda name: None)
    assert find_voice() is None
    loudspeaker = Listening()
    speaker = Speaker(loudspeaker)
    speaker.say("row twelve")
    wait_for(lambda: speaker.trouble)
    assert speaker.trouble == NEEDS_VOICE
    assert loudspeaker.played == []
    speaker.close()


def wait_for(thing, seconds=5):
    end = time.monotonic() + seconds
    while not thing():
        assert time.monotonic() < end, "it did not come"
        time.sleep(0.005)


def test_the_newest_text_is_said_and_hush_interrupts(monkeypatch):
    def slow(text):
        time.sleep(0.05)
        return np.full(len(text), 0.1, np.float32), 1000

    monkeypatch.setattr(speech, "find_voice", lambda language, pace: slow)
    loudspeaker = Listening()
    speaker = Speaker(loudspeaker)
    for text in ("first of all", "then", "and last, this"):
        speaker.say(text)
    wait_for(lambda: loudspeaker.played)
    time.sleep(0.2)
    assert [len(sound) for sound, _ in loudspeaker.played][-1] == len("and last, this")
    assert len(loudspeaker.played) <= 2
    before = loudspeaker.hushed
    speaker.hush()
    assert loudspeaker.hushed == before + 1
    speaker.close()


def test_a_voice_that_fails_is_said_and_the_next_text_works(monkeypatch):
    calls = []

    def voice(text):
        calls.append(text)
        if len(calls) == 1:
            raise OSError("broken")
        return np.zeros(10, np.float32), 1000

    monkeypatch.setattr(speech, "find_voice", lambda language, pace: voice)
    loudspeaker = Listening()
    speaker = Speaker(loudspeaker)
    speaker.say("one")
    wait_for(lambda: speaker.trouble)
    assert "broken" in speaker.trouble
    speaker.say("two")
    wait_for(lambda: loudspeaker.played)
    assert speaker.trouble == ""
    speaker.close()
