"""The network that ships: its file holds what was learnt, and Vosk computes what it says."""

import json
import shutil
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
from engine.forge import network, tdnn
from engine.forge.sphinx import read_model
from tests.forge.learnt_network import computed, kaldi_cepstra, stored


@pytest.fixture(scope="module")
def sound():
    """A tone that rises through the band, in a little noise; a second of it."""
    rng = np.random.default_rng(1)
    t = np.arange(16_000) / 16_000
    tone = 3000 * np.sin(2 * np.pi * (300 * t + 1000 * t**2))
    return (tone + rng.normal(0, 300, len(t))).astype("<i2")


def test_the_shipped_model_is_what_the_forge_made():
    """A build, of which every byte is compared, is `python -m engine.forge --check`; what it was
    made of is noted, and without a change of that it comes out the same.
    """
    told = subprocess.run(
        [sys.executable, "-m", "engine.forge", "--noted"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 0, told.stderr


def test_a_model_or_a_source_that_is_not_the_noted_one_is_told(tmp_path):
    other = tmp_path / "model"
    shutil.copytree(starter_dir(), other)
    (other / "conf" / "model.conf").write_text("--beam=1\n")
    command = [sys.executable, "-c", BEHIND, other]
    told = subprocess.run(command, capture_output=True, text=True, check=True)
    assert told.stdout.splitlines() == ["the sentences", "conf/model.conf"]


BEHIND = """
import sys
from pathlib import Path
from engine.forge import build, noted
said = build.sentences()
build.sentences = lambda: said | {("one", "word", "more")}
print(*noted.changed(Path(sys.argv[1])), sep="\\n")
"""


def test_packing_the_numbers_costs_next_to_nothing(sound, tmp_path):
    model = read_model()
    order = network.output_order(model, set(range(len(model.codebooks))))
    path = tmp_path / "network"
    path.write_bytes(tdnn.nnet(tdnn.read(), model, order))
    cepstra = kaldi_cepstra(sound)
    exact = computed(tdnn.read(), cepstra)[:, order]
    ours = computed(stored(path), cepstra)
    assert np.abs(ours - exact).max() < 0.1 * exact.std()


SENONES = (5, 100, 1000, 3000)


@pytest.fixture(scope="module")
def held(tmp_path_factory):
    """A folder with a model for each of the senones, by its number."""
    folder = tmp_path_factory.mktemp("held")
    helper = [sys.executable, "-m", "tests.forge.one_sound_model", folder, *map(str, SENONES)]
    subprocess.run(helper, check=True)
    return folder


@pytest.mark.parametrize("senone", SENONES)
def test_vosk_computes_the_same_scores(senone, sound, held):
    """Vosk's own score of a path that holds one senone is the sum of that senone's scores.

    At both ends it repeats the last frame, as Kaldi does, so nothing of the sound is lost.
    """
    vosk = pytest.importorskip("vosk")
    vosk.SetLogLevel(-1)
    folder = held / str(senone)
    decoder = vosk.KaldiRecognizer(vosk.Model(str(folder)), 16_000)
    decoder.SetMaxAlternatives(1)
    decoder.AcceptWaveform(sound.tobytes())
    (best,) = json.loads(decoder.FinalResult())["alternatives"]
    padded = np.pad(kaldi_cepstra(sound), ((tdnn.LEFT, tdnn.RIGHT), (0, 0)), mode="edge")
    scores = computed(stored(folder / "am" / "final.mdl"), padded)
    place = [int(line) for line in (folder / "order.txt").read_text().split()].index(senone)
    (line,) = [
        line
        for line in (folder / "conf" / "model.conf").read_text().splitlines()
        if line.startswith("--acoustic-scale=")
    ]
    wanted = scores[:, place].sum() * float(line.partition("=")[2])
    spread = scores.sum(0).std() * float(line.partition("=")[2])
    assert abs(best["confidence"] - wanted) < 0.005 * spread
