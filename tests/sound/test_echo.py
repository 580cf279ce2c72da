"""The way of our own sound back into the microphone: measured, followed, waited for."""

import numpy as np
import pytest

from counter.sound.echo import LONGEST_S, RATE, Echo, Steady
from counter.sound.tones import ToneShape, rising_sound, tone_sound

PIECE = 320


def sweep():
    return rising_sound()[::3]


def speech(seconds, seed=1):
    """Noise in syllables, as rough as a voice: bursts of a fifth of a second."""
    rng = np.random.default_rng(seed)
    t = np.arange(round(seconds * RATE)) / RATE
    noise = rng.normal(0, 0.1, len(t))
    return (noise * np.maximum(0.01, np.sin(2 * np.pi * 2.5 * t))).astype(np.float32)


def room(delay_s, gain_db, rings_s=0.0, seed=2):
    """An impulse response: a delay, then a reverberation that falls 60 dB in `rings_s`."""
    response = np.zeros(round((delay_s + max(rings_s, 0.01)) * RATE) + 1)
    start = round(delay_s * RATE)
    response[start] = 1.0
    if rings_s:
        t = np.arange(len(response) - start) / RATE
        tail = np.random.default_rng(seed).normal(0, 0.05, len(t)) * 10 ** (-3 * t / rings_s)
        response[start:] += tail
    return response * 10 ** (gain_db / 20)


class Scene:
    """Sounds of ours at their times, and what a microphone makes of them."""

    def __init__(self, seconds, noise_db=-60.0, voice=None):
        self.ours = np.zeros(round(seconds * RATE), np.float32)
        noise = np.random.default_rng(9).normal(0, 10 ** (noise_db / 20), len(self.ours))
        self.noise = noise if voice is None else noise + voice[: len(self.ours)]
        self.spans = []

    def play(self, sound, at_s):
        start = round(at_s * RATE)
        self.ours[start : start + len(sound)] += sound
        self.spans.append((at_s, at_s + len(sound) / RATE))
        return self

    def through(self, response, echo=None):
        """The echo, fed; and for each piece whether it was taken for ours."""
        echo = echo or Echo()
        size = 1 << (len(self.ours) + len(response)).bit_length()
        back = np.fft.irfft(np.fft.rfft(self.ours, size) * np.fft.rfft(response, size), size)
        heard = np.clip(back[: len(self.ours)] + self.noise, -1, 1)
        self.back = back[: len(self.ours)]
        taken = []
        for start in range(0, len(heard) - PIECE, PIECE):
            piece = self.ours[start : start + PIECE]
            if np.any(piece):
                echo.played(piece, start / RATE)
            pcm = (heard[start : start + PIECE] * 32767).astype("<i2").tobytes()
            taken.append(echo.heard(pcm, start / RATE))
        self.taken = np.array(taken)
        return echo


@pytest.mark.parametrize("delay_s", [0.02, 0.13, 0.33, 0.4])
@pytest.mark.parametrize("gain_db", [0.0, -20.0])
def test_the_path_is_measured_by_the_first_tone_and_by_speech(delay_s, gain_db):
    scene = Scene(8).play(sweep(), 0.5).play(speech(2.5), 3.0)
    first = Scene(3).play(sweep(), 0.5).through(room(delay_s, gain_db, 0.3))
    assert first.path_s == pytest.approx(delay_s, abs=0.01)
    both = scene.through(room(delay_s, gain_db, 0.3))
    assert both.path_s == pytest.approx(delay_s, abs=0.01)


@pytest.mark.parametrize("delay_s", [0.02, 0.13, 0.33, 0.4])
def test_no_loud_piece_of_our_own_voice_is_ever_taken_for_hers(delay_s):
    scene = Scene(16).play(sweep(), 0.5)
    for at_s in (3.0, 7.0, 11.0):
        scene.play(speech(2.5, seed=int(at_s)), at_s)
    scene.through(room(delay_s, -6.0, 0.4))
    pieces = scene.back[: len(scene.taken) * PIECE].reshape(-1, PIECE)
    loud = np.sqrt(np.mean(pieces**2, axis=1)) > 10 ** (-52 / 20)
    assert not np.any(loud & ~scene.taken)


def test_the_ears_open_again_soon_after_a_wired_loudspeaker():
    scene = Scene(8).play(sweep(), 0.5).play(speech(2.0), 4.0)
    scene.through(room(0.03, -20.0))
    assert not scene.taken[round(6.35 * RATE / PIECE)]
    assert scene.taken[round(5.5 * RATE / PIECE)]


def test_another_loudspeaker_is_noticed():
    echo = Echo()
    Scene(4).play(sweep(), 0.5).through(room(0.05, -10.0), echo)
    assert echo.path_s == pytest.approx(0.05, abs=0.01)
    late = Scene(16)
    for at_s in (5.0, 9.0):
        late.play(speech(2.0, seed=int(at_s)), at_s)
    late.through(room(0.33, -10.0), echo)
    assert echo.path_s == pytest.approx(0.33, abs=0.01)


def test_with_headphones_the_ears_are_open_while_we_speak():
    scene = Scene(20).play(sweep(), 0.5)
    for at_s in (3.0, 7.0, 15.0):
        scene.play(speech(2.0, seed=int(at_s)), at_s)
    echo = scene.through(room(0.05, -200.0))
    assert echo.path_s is None
    assert echo.unheard
    assert not scene.taken[round(14.0 * RATE / PIECE) :].any()


def test_short_tones_that_are_not_found_do_not_make_it_believe_in_headphones():
    scene = Scene(20)
    for at_s in range(1, 18, 2):
        scene.play(tone_sound(ToneShape.REFUSED)[::3], float(at_s))
    assert not scene.through(room(0.05, -200.0)).unheard


def test_a_loud_room_in_which_nothing_is_found_is_not_taken_for_headphones():
    """She talks all the while: some of it may be ours."""
    scene = Scene(20, voice=speech(20, seed=3)).play(sweep(), 0.5)
    for at_s in (3.0, 7.0, 11.0, 15.0):
        scene.play(speech(2.0, seed=int(at_s)), at_s)
    assert not scene.through(room(0.05, -200.0)).unheard


def test_headphones_taken_off_are_noticed():
    scene = Scene(16).play(sweep(), 0.5)
    for at_s in (3.0, 7.0):
        scene.play(speech(2.0, seed=int(at_s)), at_s)
    echo = scene.through(room(0.05, -200.0))
    assert echo.unheard
    later = Scene(26)
    for at_s in (17.0, 22.0):
        later.play(speech(2.0, seed=int(at_s)), at_s)
    later.through(room(0.13, -20.0), echo)
    assert echo.path_s == pytest.approx(0.13, abs=0.01)


def test_before_it_is_known_the_longest_path_is_reckoned_with():
    scene = Scene(1.4).play(speech(0.5), 0.2)
    scene.through(room(0.4, -10.0))
    assert scene.taken[round((0.7 + LONGEST_S) * RATE / PIECE)]


def test_a_loudspeaker_that_stood_still_is_reckoned_with_as_if_it_were_unknown():
    scene = Scene(8).play(sweep(), 0.5).play(speech(1.0), 5.0)
    echo = Scene(4).play(sweep(), 0.5).through(room(0.03, -20.0))
    assert echo.path_s == pytest.approx(0.03, abs=0.01)
    echo.forget()
    assert echo.path_s is None
    assert not echo.unheard
    scene.through(room(0.45, -20.0), Echo())
    assert scene.taken[round(6.4 * RATE / PIECE)]


def test_her_voice_over_ours_is_not_taken_for_the_path():
    """She talks all the while, as loud as our echo: the path is found all the same."""
    scene = Scene(10, voice=speech(10, seed=77)).play(sweep(), 0.5).play(speech(2.5, 5), 4.0)
    assert scene.through(room(0.13, 0.0, 0.3)).path_s == pytest.approx(0.13, abs=0.01)


def test_a_late_hand_over_does_not_move_the_time_of_a_stream():
    steady = Steady(RATE)
    times = [steady.at(now, 320) for now in (1.02, 1.05, 1.06, 1.13, 1.14)]
    assert np.diff(times) == pytest.approx([0.02, 0.02, 0.02, 0.02], abs=0.011)
    assert times[-1] == pytest.approx(1.08, abs=0.001)


def test_a_stream_that_stopped_begins_anew():
    steady = Steady(RATE)
    steady.at(1.02, 320)
    assert steady.at(9.02, 320) == pytest.approx(9.0, abs=0.001)
