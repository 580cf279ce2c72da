"""The teacher's front end and network against the original decoder and its published output.

What ships learnt from this network, so it has to be the original's.
"""

import struct
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("pocketsphinx", reason="pip install 'spokenrow[forge]'")
# Looked for, not imported: Vosk hangs while it loads in a process that has loaded OpenFst.
if find_spec("pywrapfst") is None:
    pytest.skip("pip install 'spokenrow[forge]'", allow_module_level=True)
pytest.importorskip("kaldi_native_fbank", reason="pip install 'spokenrow[forge]'")

import pocketsphinx

from engine.ears.noise import NoiseRemover
from engine.forge.network import feature_map, network, output_order
from engine.forge.settings import MFCC_OPTIONS
from engine.forge.sphinx import model_dir, read_model
from tests.forge.learnt_network import kaldi_cepstra
from tests.forge.starter_network import Network

TESTDATA = Path("/usr/share/pocketsphinx/test/data")
NATS = 1024 * np.log(1.0001)
"""The original writes a score in steps of so many natural logarithms."""


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """The teacher's network with an output for every senone, as `--mixtures` puts it in a model."""
    model = read_model()
    order = output_order(model, set(range(len(model.codebooks))))
    path = tmp_path_factory.mktemp("teacher") / "network"
    path.write_bytes(network(model, order))
    return path, order


@pytest.fixture(scope="module")
def original():
    """CMU's recording "go forward ten meters" and what its own front end makes of it."""
    if not (TESTDATA / "goforward.mfc").is_file():
        pytest.skip("sudo apt-get install -y pocketsphinx-testdata")
    sound = np.fromfile(TESTDATA / "goforward.raw", "<i2")
    cepstra = np.fromfile(TESTDATA / "goforward.mfc", "<f4")[1:].reshape(-1, 13)
    return sound, cepstra


def cleaned(sound):
    remover = NoiseRemover()
    late = np.concatenate([sound, np.zeros(remover.DELAY, np.int16)])
    return remover.process(late)[remover.DELAY :]


@pytest.mark.system
def test_the_front_end_gives_the_originals_cepstra(original):
    """Frame by frame, but for the constant vector that mean normalisation takes away.

    The frames at the very end differ: the original cuts its silence off.
    """
    sound, theirs = original
    ours = kaldi_cepstra(cleaned(sound), MFCC_OPTIONS)[: len(theirs)]
    close = [np.corrcoef(ours[:, i], theirs[:, i])[0, 1] for i in range(13)]
    assert min(close) > 0.985
    error = (ours - theirs) - (ours - theirs).mean(0)
    assert np.abs(error).max() < 0.6 * np.ptp(theirs)
    assert np.median(np.abs(error) / theirs.std(0)) < 0.06


@pytest.mark.system
def test_the_front_end_needs_its_noise_remover(original):
    """What the test above would say of sound that was not cleaned."""
    sound, theirs = original
    raw = kaldi_cepstra(sound, MFCC_OPTIONS)[: len(theirs)]
    assert np.corrcoef(raw[:, 1], theirs[:, 1])[0, 1] < 0.985


@pytest.mark.system
def test_the_network_gives_the_originals_scores(original, built, tmp_path):
    """Senone scores of every frame against the decoder that the model was made for.

    The original keeps the four best Gaussians of each codebook and rounds to whole steps, so that
    poor states differ; the good ones, within 30 nats of the best, decide.
    """
    _, cepstra = original
    path, order = built
    theirs = -sphinx_scores(cepstra, tmp_path)[:, order] * NATS
    ours = Network(path).scores(cepstra - cepstra.mean(0), len(order))
    theirs -= theirs.max(1, keepdims=True)
    ours -= ours.max(1, keepdims=True)
    assert np.corrcoef(ours.ravel(), theirs.ravel())[0, 1] > 0.96
    good = theirs > -30
    assert np.median(np.abs(ours - theirs)[good]) < 1
    assert np.percentile(np.abs(ours - theirs)[good], 99) < 8
    assert (ours.argmax(1) == theirs.argmax(1)).mean() > 0.8


def sphinx_scores(cepstra, folder):
    """(frames, senones): the original decoder's scores of all senones, in its own steps."""
    decoder = pocketsphinx.Decoder(
        hmm=str(model_dir()), dict=str(model_dir().parent / "cmudict-en-us.dict"), lm=None,
        keyphrase="forward", cmn="batch", compallsen=True, senlogdir=str(folder), loglevel="FATAL",
    )  # fmt: skip
    decoder.start_utt()
    decoder.process_cep(cepstra.astype("<f4").tobytes(), full_utt=True)
    decoder.end_utt()
    (log,) = folder.glob("*.sen")
    data = log.read_bytes()
    place = data.index(b"endhdr\n") + len("endhdr\n") + 4
    frames = []
    while place < len(data):
        (count,) = struct.unpack_from("<h", data, place)
        frames.append(np.frombuffer(data, "<i2", count, place + 2))
        place += 2 + 2 * count
    return np.array(frames, float)


def test_packing_the_numbers_costs_next_to_nothing(built):
    """Against the mixtures in full precision, by their defining formula, on made-up cepstra."""
    path, order = built
    model = read_model()
    rng = np.random.default_rng(3)
    cepstra = np.cumsum(rng.normal(size=(30, 13)), 0) * model.means[:, 0].std((0, 1)) / 4
    cepstra -= cepstra.mean(0)
    padded = np.pad(cepstra, ((3, 3), (0, 0)), mode="edge")
    spliced = np.concatenate([padded[i : i + 30] for i in range(7)], 1)
    exact = np.zeros((30, len(order)))
    for stream, part in enumerate(np.split(spliced @ feature_map().T, 3, axis=1)):
        mean, variance = model.means[:, stream], model.variances[:, stream]
        distance = (part[:, None, None] - mean) ** 2 / variance + np.log(2 * np.pi * variance)
        density = np.exp(-0.5 * distance.sum(-1))[:, model.codebooks[order]]
        exact += np.log(np.einsum("tnk,nk->tn", density, model.weights[order, stream]) + 1e-60)
    ours = Network(path).scores(cepstra, len(order))
    exact -= exact.max(1, keepdims=True)
    ours -= ours.max(1, keepdims=True)
    good = exact > -30
    assert np.corrcoef(ours[good], exact[good])[0, 1] > 0.999
    assert np.percentile(np.abs(ours - exact)[good], 99) < 0.5
    assert np.abs(ours - exact)[good].max() < 3
