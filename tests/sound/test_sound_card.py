"""The microphone and the loudspeaker through real PortAudio streams, with no hardware."""

import signal
import subprocess
import sys
import time
import wave

import numpy as np
import pytest

from counter.sound.speech import find_voice
from counter.sound.tones import RATE, ToneShape, tone_sound
from tests.ears.tone_words import pcm, quiet, say, scene

pytestmark = pytest.mark.system


class Program:
    """`listening.py` at work; its lines as they come."""

    def __init__(self, pulse, *arguments):
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.ears.listening", *arguments],
            env=pulse.env,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )

    def until(self, words):
        """Reads lines to the one with these words; ALSA's own talk is passed over."""
        seen = []
        for line in self._process.stderr:
            seen.append(line.decode())
            if words in seen[-1]:
                return seen
        raise AssertionError(f"ended without {words!r}: {''.join(seen)}")

    def end(self):
        out, err = self._process.communicate(timeout=30)
        assert self._process.returncode == 0, err.decode()
        return out

    def kill(self):
        self._process.kill()
        self._process.communicate()


def save(path, sound):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(sound)
    return path


def test_sound_comes_through_bit_for_bit(pulse, tmp_path):
    sound = pcm(quiet(1, level=3000))
    program = Program(pulse, "record", "2.5")
    program.until("listening")
    pulse.speak(save(tmp_path / "a.wav", sound))
    assert sound in program.end()


def test_spoken_into_a_real_stream_a_command_is_taken(pulse, tmp_path):
    program = Program(pulse, "commands", "4")
    program.until("listening")
    pulse.speak(save(tmp_path / "a.wav", scene(1, say("row done"), 0.8)))
    program.until("taken advance")
    program.kill()


def test_digital_silence_is_told_as_such_until_there_is_sound(pulse, tmp_path):
    program = Program(pulse, "mute")
    assert "gives only silence" in program.until("dead: ")[-1]
    pulse.speak(save(tmp_path / "noise.wav", pcm(quiet(1, level=3000))))
    assert program.until("open: ")[-1].strip() == "open:"
    program.end()


def test_a_killed_sound_server_is_noticed_and_its_return_too(pulse, tmp_path):
    program = Program(pulse, "commands", "60")
    program.until("listening")
    pulse.kill()
    program.until("microphone lost")
    pulse.start()
    program.until("microphone open")
    pulse.speak(save(tmp_path / "a.wav", scene(1.5, say("take back"), 0.8)))
    program.until("taken take back")
    program.kill()


def test_a_frozen_sound_server_is_noticed_and_closing_ends(pulse):
    program = Program(pulse, "commands", "4")
    program.until("listening")
    time.sleep(0.5)
    pulse.signal(signal.SIGSTOP)
    try:
        program.until("microphone lost")
        program.end()
    finally:
        pulse.signal(signal.SIGCONT)


@pytest.mark.parametrize("tone", ToneShape)
def test_a_tone_is_played_whole(pulse, tone):
    sound = Program(pulse, "tone", tone.name).end()
    heard = np.frombuffer(sound, "<i2").astype(float) / 32768
    played = np.flatnonzero(np.abs(heard) > 0.01)
    whole = tone_sound(tone).astype(float)
    # A busy machine may tear it, so that it lasts longer; nothing of it is lost.
    assert (played[-1] - played[0]) / 16_000 > len(whole) / RATE - 0.02
    assert np.sum(heard**2) / 16_000 == pytest.approx(np.sum(whole**2) / RATE, rel=0.1)


@pytest.mark.parametrize(("ears", "hears"), [("open", True), ("deaf", False)])
def test_its_own_voice_does_not_trigger_it(pulse, ears, hears):
    """The loudspeaker is wired into the microphone, and the decoder takes any sound for a word."""
    if find_voice() is None:
        pytest.skip("sudo apt-get install -y espeak-ng")
    lines = Program(pulse, "echo", ears).until("level")
    assert any("heard" in line for line in lines) is hears


def test_a_loudspeaker_a_third_of_a_second_away_is_measured_and_never_heard(pulse):
    """Twenty decibels down and late, as a wireless one is: what once talked to itself for ever."""
    if find_voice() is None:
        pytest.skip("sudo apt-get install -y espeak-ng")
    pulse.leak(0.33, -20)
    lines = Program(pulse, "echo", "far-deaf").until("path")
    assert not any("heard" in line for line in lines)
    path_s = float(lines[-1].split()[1])
    assert 0.28 < path_s < 0.5  # 0.33, a busy sound server gives it back a little sooner
