"""The network that ships: its file holds what was learnt, and Vosk computes what it says."""

import json
import subprocess
import sys
from importlib.util import find_spec

import numpy as np
import pytest

pytest.importorskip("pocketsphinx", reason="pip install 'spokenrow[forge]'")
# Looked for, not imported: Vosk hangs while it loads in a process that has loaded OpenFst.
if find_spec("pywrapfst") is None:
    pytest.skip("pip install 'spokenrow[forge]'", allow_module_level=True)
pytest.importorskip("kaldi_native_fbank", reason="pip install 'spokenrow[forge]'")

from engine.ears.recogniser import starter_dir
from engine.forge import tdnn
from engine.forge.__main__ import digests
from tests.forge.learnt_network import computed, kaldi_cepstra, stored


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    folder = tmp_path_factory.mktemp("starter") / "model"
    order = folder.parent / "order.txt"
    command = [sys.executable, "-m", "engine.forge", "--into", folder, "--senones", order]
    subprocess.run(command, check=True)
    return folder, [int(line) for line in order.read_text().split()]


@pytest.fixture(scope="module")
def sound():
    """A tone that rises through the band, in a little noise; a second of it."""
    rng = np.random.default_rng(1)
    t = np.arange(16_000) / 16_000
    tone = 3000 * np.sin(2 * np.pi * (300 * t + 1000 * t**2))
    return (tone + rng.normal(0, 300, len(t))).astype("<i2")


def test_the_shipped_model_is_what_the_forge_makes(built):
    folder, _ = built
    assert digests(folder) == digests(starter_dir())


def test_packing_the_numbers_costs_next_to_nothing(built, sound):
    folder, order = built
    cepstra = kaldi_cepstra(sound)
    exact = computed(tdnn.read(), cepstra)[:, order]
    ours = computed(stored(folder / "am" / "final.mdl"), cepstra)
    assert np.abs(ours - exact).max() < 0.1 * exact.std()


@pytest.mark.parametrize("senone", [5, 100, 1000, 3000])
def test_vosk_computes_the_same_scores(senone, sound, tmp_path):
    """Vosk's own score of a path that holds one senone is the sum of that senone's scores.

    At both ends it repeats the last frame, as Kaldi does, so nothing of the sound is lost.
    """
    vosk = pytest.importorskip("vosk")
    vosk.SetLogLevel(-1)
    helper = [sys.executable, "-m", "tests.ears.one_sound_model", tmp_path, str(senone)]
    subprocess.run(helper, check=True)
    decoder = vosk.KaldiRecognizer(vosk.Model(str(tmp_path)), 16_000)
    decoder.SetMaxAlternatives(1)
    decoder.AcceptWaveform(sound.tobytes())
    (best,) = json.loads(decoder.FinalResult())["alternatives"]
    padded = np.pad(kaldi_cepstra(sound), ((tdnn.LEFT, tdnn.RIGHT), (0, 0)), mode="edge")
    scores = computed(stored(tmp_path / "am" / "final.mdl"), padded)
    place = [int(line) for line in (tmp_path / "order.txt").read_text().split()].index(senone)
    (line,) = [
        line
        for line in (tmp_path / "conf" / "model.conf").read_text().splitlines()
        if line.startswith("--acoustic-scale=")
    ]
    wanted = scores[:, place].sum() * float(line.partition("=")[2])
    spread = scores.sum(0).std() * float(line.partition("=")[2])
    assert abs(best["confidence"] - wanted) < 0.005 * spread
