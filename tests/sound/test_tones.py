import numpy as np
import pytest

from counter.sound.tones import RATE, Loudspeaker, ToneShape, rising_sound, tone_sound


@pytest.mark.parametrize("tone", ToneShape)
def test_tones_are_short_and_do_not_click(tone):
    sound = tone_sound(tone)
    assert len(sound) / RATE < 0.3
    assert np.abs(sound).max() <= 0.25 + 1e-6
    assert np.abs(np.diff(sound)).max() < 0.05
    assert sound[0] == sound[-1] == 0


def test_tones_differ():
    tunes = [tone.value for tone in ToneShape]
    assert len(set(tunes)) == len(tunes)


def test_the_rising_tone_rises_from_300_to_3000_hz_and_does_not_click():
    sound = rising_sound()
    crossings = np.flatnonzero(np.diff(np.signbit(sound)))
    first, last = crossings[2:6], crossings[-6:-2]
    assert RATE / (2 * np.diff(first).mean()) == pytest.approx(330, rel=0.1)
    assert RATE / (2 * np.diff(last).mean()) == pytest.approx(2950, rel=0.1)
    assert (sound[0], abs(sound[-1]) < 1e-3) == (0, True)


def test_the_pitch_is_the_one_written_down():
    # Equal temperament at A4 = 440 Hz (ISO 16): E5 is 7 semitones up, B5 14, G5 10, G3 -14.
    notes = {hz for tone in ToneShape for hz, _ in tone.value if hz}
    assert notes == {round(440 * 2 ** (n / 12), 1) for n in (7, 14, 10, -14)}


def test_without_a_stream_nothing_sounds_and_nothing_breaks():
    loudspeaker = Loudspeaker()
    loudspeaker.tone(ToneShape.ADVANCE)
    assert not loudspeaker.sounding
    loudspeaker.close()


def test_queued_sounds_follow_each_other_without_a_gap_then_silence():
    loudspeaker = Loudspeaker()
    loudspeaker._stream = type("Stream", (), {"active": True})()
    loudspeaker.play(np.full(100, 0.5, np.float32))
    loudspeaker.play(np.full(100, -0.5, np.float32))
    out = np.zeros(300, "<i2")
    loudspeaker._fill(memoryview(out).cast("B"), 300, None, None)
    assert (out[:100] > 0).all()
    assert (out[100:200] < 0).all()
    assert not out[200:].any()
    assert loudspeaker.sounding  # the room still gives it back
