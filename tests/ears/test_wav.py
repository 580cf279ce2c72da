import subprocess
import wave

import numpy as np
import pytest
import soundfile

from engine.ears import wav

RATE = 16_000


def tone(rate, seconds=1.0, hz=440.0):
    return 0.5 * np.sin(2 * np.pi * hz * np.arange(round(rate * seconds)) / rate)


def samples(path):
    return np.frombuffer(wav.read(path), "<i2").astype(float) / 32768


def test_16k_mono_16_bit_comes_through_bit_for_bit(tmp_path):
    """Checked against the standard library's own reader."""
    path = tmp_path / "a.wav"
    data = np.random.default_rng(1).integers(-32768, 32767, 20_000).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(data.tobytes())
    assert wav.read(path) == data.tobytes()


@pytest.mark.parametrize("rate", [8000, 11_025, 22_050, 44_100, 48_000])
@pytest.mark.parametrize("kind", ["PCM_U8", "PCM_16", "PCM_24", "FLOAT"])
@pytest.mark.parametrize("channels", [1, 2])
def test_rates_widths_and_channels(tmp_path, rate, kind, channels):
    path = tmp_path / "a.wav"
    soundfile.write(path, np.tile(tone(rate)[:, None], (1, channels)), rate, subtype=kind)
    got = samples(path)
    assert abs(len(got) - RATE) <= 2
    middle = slice(2000, 14_000)
    assert np.abs(got[middle] - tone(RATE)[: len(got)][middle]).max() < 0.02


def test_both_channels_are_heard(tmp_path):
    path = tmp_path / "a.wav"
    soundfile.write(path, np.stack([np.zeros(RATE), tone(RATE)], 1), RATE)
    assert np.abs(samples(path)).max() == pytest.approx(0.25, abs=0.01)


def test_numbers_that_are_none_become_silence(tmp_path):
    path = tmp_path / "a.wav"
    data = tone(RATE).astype(np.float32)
    data[:100], data[100:200], data[200:300] = np.nan, np.inf, 7.0
    soundfile.write(path, data, RATE, subtype="FLOAT")
    got = samples(path)
    assert not got[:100].any()
    assert got[150] == got[250] == pytest.approx(1.0, abs=1e-4)


def test_a_piece_at_a_time(tmp_path):
    path = tmp_path / "a.wav"
    soundfile.write(path, tone(44_100, 5), 44_100)
    assert max(len(block) for block in wav.blocks(path)) <= 2 * RATE * 1.1


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("missing.wav", None, "no file"),
        ("text.wav", b"hello there", "cannot be read as a recording"),
        ("empty.wav", b"", "cannot be read as a recording"),
    ],
)
def test_bad_files_get_one_sentence(tmp_path, name, content, says):
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(wav.AudioError, match=says) as error:
        wav.read(path)
    assert "\n" not in str(error.value)
    assert str(error.value).endswith(".")


def test_out_of_bounds(tmp_path):
    folder = tmp_path / "d"
    folder.mkdir()
    with pytest.raises(wav.AudioError, match="folder"):
        wav.read(folder)
    soundfile.write(tmp_path / "none.wav", np.zeros(0), RATE)
    with pytest.raises(wav.AudioError, match="empty"):
        wav.read(tmp_path / "none.wav")
    soundfile.write(tmp_path / "many.wav", np.zeros((100, 12)), RATE)
    with pytest.raises(wav.AudioError, match="12 channels"):
        wav.read(tmp_path / "many.wav")
    soundfile.write(tmp_path / "slow.wav", np.zeros(1000), 50)
    with pytest.raises(wav.AudioError, match="samples a second"):
        wav.read(tmp_path / "slow.wav")


@pytest.mark.system
def test_resampling_agrees_with_sox(tmp_path, needs_program):
    needs_program("sox", "sox")
    speech = np.random.default_rng(3).normal(0, 0.1, 44_100)
    speech = np.convolve(speech, np.hanning(40) / 20, "same")
    soundfile.write(tmp_path / "a.wav", speech, 44_100)
    subprocess.run(
        ["sox", tmp_path / "a.wav", "-r", "16000", "-b", "16", tmp_path / "b.wav"], check=True
    )
    theirs, _ = soundfile.read(tmp_path / "b.wav")
    ours = samples(tmp_path / "a.wav")[: len(theirs)]
    assert np.sqrt(((ours - theirs[: len(ours)])[500:-500] ** 2).mean()) < 0.002
