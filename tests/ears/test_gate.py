import numpy as np
import pytest

from engine.ears.gate import FRAME, RATE, Gate
from tests.ears.tone_words import quiet, say


def voiced(gate, sound):
    samples = sound.astype("<i2")
    return [gate.feed(samples[i : i + FRAME]).voiced for i in range(0, len(samples) - 319, FRAME)]


def test_a_quiet_room_holds_no_voice():
    assert sum(voiced(Gate(), quiet(20))) == 0


@pytest.mark.parametrize("level", [2, 20, 200])
def test_a_voice_over_any_room_is_found_and_its_ends_too(level):
    gate = Gate()
    voiced(gate, quiet(4, level))
    speech = say("row done", word_s=0.3, level=level * 100)
    flags = voiced(
        gate, np.concatenate([speech, np.zeros(RATE)]) + quiet(2, level, 2)[: len(speech) + RATE]
    )
    first, last = flags.index(True), len(flags) - 1 - flags[::-1].index(True)
    assert first * 0.02 < 0.1
    assert abs((last + 1) * 0.02 - len(speech) / RATE) < 0.1


def test_a_steady_sound_becomes_part_of_the_room():
    gate = Gate()
    voiced(gate, quiet(2))
    flags = voiced(gate, quiet(6, 2000))
    assert any(flags[:60])
    assert not any(flags[100:])


def test_speech_never_becomes_the_room():
    gate = Gate()
    voiced(gate, quiet(2))
    before = gate.feed(quiet(0.02).astype("<i2")).room_db
    flags = voiced(gate, np.concatenate([say("row done take back")] * 12) + quiet(14)[: 12 * 18240])
    assert np.mean(flags) > 0.5
    assert gate.feed(quiet(0.02).astype("<i2")).room_db < before + 15


def test_level_is_decibels_of_full_scale():
    # A full-scale sine has a mean square of 1/2: -3.01 dB (definition).
    t = np.arange(FRAME) / RATE
    frame = Gate().feed((32767 * np.sin(2 * np.pi * 1000 * t)).astype("<i2"))
    assert frame.level_db == pytest.approx(-3.0, abs=0.3)


def test_wrong_frame_length():
    with pytest.raises(ValueError, match="320"):
        Gate().feed(np.zeros(100, "<i2"))
