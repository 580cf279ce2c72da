import numpy as np
import pytest

from engine.ears.gate import FRAME, FRAME_S, RATE, Gate
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


@pytest.mark.parametrize("level", [20, 200, 2000])
def test_level_noise_is_hardly_ever_taken_for_a_voice(level):
    gate = Gate()
    voiced(gate, quiet(3, level))
    assert np.mean(voiced(gate, quiet(60, level, 3))) < 0.001


def test_a_voice_little_louder_than_its_noise_is_found():
    """By 5.5 dB on average; the ends of each word are softer than the noise."""
    gate = Gate()
    noise = quiet(4, 500)
    voiced(gate, noise)
    speech = say("row done take back", level=2000)
    assert np.mean(voiced(gate, speech + noise[: len(speech)])) > 0.6


def test_a_steady_sound_becomes_part_of_the_room():
    gate = Gate()
    voiced(gate, quiet(2))
    flags = voiced(gate, quiet(6, 2000))
    assert any(flags[:60])
    assert not any(flags[100:])


def test_a_command_never_becomes_the_room():
    gate = Gate()
    voiced(gate, quiet(2))
    before = room(gate)
    for _ in range(8):
        assert np.mean(voiced(gate, say("row done take back"))) > 0.7
        voiced(gate, quiet(1))
        assert room(gate) < before + 2


def test_what_goes_on_and_on_becomes_the_room_until_it_stops():
    """Sound that swells and fades for twenty seconds; what stands out of it is heard."""
    gate = Gate()
    voiced(gate, quiet(2))
    before = room(gate)
    swell = 10 ** (5 * np.sin(2 * np.pi * 1.3 * np.arange(20 * RATE) / RATE) / 20)
    voiced(gate, quiet(20, 300) * swell)
    assert room(gate) > before + 10
    assert np.mean(voiced(gate, say("row done", level=20_000))) > 0.7
    voiced(gate, quiet(2))
    assert room(gate) < before + 2
    assert np.mean(voiced(gate, say("row done", level=2000))) > 0.5


def room(gate):
    return gate.feed(quiet(FRAME_S).astype("<i2")).room_db


def test_level_is_decibels_of_full_scale():
    # A full-scale sine has a mean square of 1/2: -3.01 dB (definition).
    t = np.arange(FRAME) / RATE
    frame = Gate().feed((32767 * np.sin(2 * np.pi * 1000 * t)).astype("<i2"))
    assert frame.level_db == pytest.approx(-3.0, abs=0.3)


def test_wrong_frame_length():
    with pytest.raises(ValueError, match="320"):
        Gate().feed(np.zeros(100, "<i2"))


def test_music_that_goes_on_under_a_voice_is_not_voiced_but_the_voice_is():
    """Far sound 12 dB under her: it neither opens the gate nor holds it open behind her words."""
    gate = Gate()
    music = np.resize(say("hum " * 4, gap_s=0.02, level=1500), 24 * RATE)
    assert np.mean(voiced(gate, music[: 14 * RATE])[-200:]) < 0.05
    word = say("row done", level=6000)
    under = music[14 * RATE :]
    spoken = voiced(gate, word + under[: len(word)])
    assert np.mean(spoken) > 0.6
    assert np.mean(voiced(gate, under[len(word) : len(word) + RATE])[10:]) < 0.1


def test_her_own_voice_never_becomes_the_background():
    """Slow speech, with little quiet between the words: its falling ends once raised the bar until
    it stood above her.
    """
    gate = Gate()
    word = np.concatenate([say("row done"), np.zeros(round(0.9 * RATE))])
    sound = np.concatenate([quiet(4), np.resize(word, 40 * len(word))])
    sound = (sound + quiet(len(sound) / RATE + 0.001)[: len(sound)]).astype("<i2")
    frames = [gate.feed(sound[at : at + FRAME]) for at in range(0, len(sound) - FRAME + 1, FRAME)]
    voiced = [frame.voiced for frame in frames[200:]]
    half = len(voiced) // 2
    assert sum(voiced[half:]) > 0.95 * sum(voiced[:half])


def test_what_sounds_on_and_on_is_known():
    gate = Gate()
    random = np.random.default_rng(3)
    swell = np.repeat(random.uniform(100, 2500, 400), RATE // 20)
    for at in range(0, 12 * RATE, FRAME):
        gate.feed(random.normal(0, swell[at : at + FRAME]).astype("<i2"))
    assert gate.sounds_on_db is not None
    assert gate.sounds_on_db > -40
    for _ in range(15 * RATE // FRAME):
        gate.feed(random.normal(0, 20, FRAME).astype("<i2"))
    assert gate.sounds_on_db is None
