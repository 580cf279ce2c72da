"""The student's recipe: what is exported is what PyTorch computes, and what is aligned is so."""

import subprocess
import sys

import numpy as np
import pytest

torch = pytest.importorskip("torch", reason="pip install 'spokenrow[student]'")
pytest.importorskip("pocketsphinx", reason="pip install 'spokenrow[student]'")
pytest.importorskip("pywrapfst", reason="pip install 'spokenrow[student]'")
fbank = pytest.importorskip("kaldi_native_fbank", reason="pip install 'spokenrow[student]'")

from engine.ears.forge.kaldi import Reader  # noqa: E402
from engine.ears.forge.sphinx import read_dictionary, read_model  # noqa: E402
from engine.ears.student.align import STATES, PhoneLoop, along_lines, line  # noqa: E402
from engine.ears.student.export import export  # noqa: E402
from engine.ears.student.features import STUDENT, TEACHER, Mfcc  # noqa: E402
from engine.ears.student.network import LEFT, OFFSETS, RIGHT, Student  # noqa: E402


@pytest.fixture(scope="module")
def model():
    return read_model()


@pytest.fixture(scope="module")
def exported(model, tmp_path_factory):
    """A student that has learnt nothing but has seen sound, and its model folder."""
    torch.manual_seed(1)
    student = Student(STUDENT.cepstra, len(model.codebooks))
    student(10 * torch.randn(8, 60, STUDENT.cepstra))
    folder = tmp_path_factory.mktemp("student")
    prior = torch.full((len(model.codebooks),), 1 / len(model.codebooks))
    torch.save({"weights": student.state_dict(), "prior": prior}, folder / "student.pt")
    order = export(folder / "student.pt", folder / "model")
    return student.eval(), folder / "model", order


def layers(path):
    """The affine layers as the model file has them."""
    reader = Reader(path.read_bytes())
    reader.seek("<NumComponents>")
    found = []
    for number in range(len(OFFSETS) + 2):
        reader.seek(f"affine{number}")
        reader.seek("<LinearParams>")
        weights = reader.matrix()
        reader.seek("<BiasParams>")
        found.append((weights, reader.vector()))
    return found


def test_the_exported_layers_compute_what_pytorch_does(exported):
    student, folder, order = exported
    *hidden, neck, output = layers(folder / "am" / "final.mdl")
    frames = 10 * torch.randn(1, LEFT + 5 + RIGHT, STUDENT.cepstra)
    with torch.no_grad():
        theirs = student(frames)[0, :, order].double().numpy()
    x = frames[0].double().numpy()
    for offsets, (weights, bias) in zip(OFFSETS, hidden, strict=True):
        low, high = min(offsets), max(offsets)
        length = len(x) - (high - low)
        joined = np.concatenate([x[o - low : o - low + length] for o in offsets], 1)
        x = np.maximum(joined @ weights.T + bias, 0)
    for weights, bias in (neck, output):
        x = x @ weights.T + bias
    # the same prior for all lifts every output alike
    lift = (x - theirs).mean()
    assert abs(lift - np.log(len(student.output.bias))) < 0.01
    assert np.abs(x - theirs - lift).max() < 0.02 * theirs.std()


def test_vosk_takes_the_exported_model(exported):
    """Its sizes and names agree. Not decoded with: a network that learnt nothing prunes nothing.

    In a process of its own, since Vosk's library does not load beside PyTorch's.
    """
    _, folder, _ = exported
    load = "import sys, vosk; print(vosk.Model(sys.argv[1]).vosk_model_find_word('advance'))"
    told = subprocess.run(
        [sys.executable, "-c", load, folder],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert told.returncode == 0, told.stderr
    assert int(told.stdout) > 0


@pytest.mark.parametrize("wanted", [TEACHER, STUDENT], ids=["teacher", "student"])
def test_the_cepstra_are_kaldis(wanted):
    """Against kaldi-native-fbank, which has the code that Vosk runs."""
    options = fbank.MfccOptions()
    frame, mel = options.frame_opts, options.mel_opts
    frame.samp_freq, frame.frame_length_ms, frame.dither = 16_000, 25.625, 0
    frame.window_type, frame.preemph_coeff = "hamming", 0.97
    frame.remove_dc_offset, frame.snip_edges = False, True
    mel.num_bins, mel.low_freq, mel.high_freq = wanted.bins, wanted.low, wanted.high
    options.num_ceps, options.cepstral_lifter = wanted.cepstra, wanted.lifter
    options.use_energy = False
    sound = np.random.default_rng(1).normal(0, 1000, 8000).astype(np.float32)
    computer = fbank.OnlineMfcc(options)
    computer.accept_waveform(16_000, sound.tolist())
    computer.input_finished()
    theirs = np.array([computer.get_frame(i) for i in range(computer.num_frames_ready)])
    ours = Mfcc(wanted)(torch.tensor(sound)[None])[0].numpy()
    assert ours.shape == theirs.shape
    assert np.abs(ours - theirs).max() < 0.02


def test_known_words_are_found_where_they_are(model):
    """Scores made for a path through "row", a pause left out, and "done" give that path back."""
    words = [read_dictionary()[word][0] for word in ("row", "done")]
    told = line(model, words)
    phones = sum(map(len, words))
    assert len(told.senones) == STATES * (phones + 3)
    pause = STATES * (1 + len(words[0]))
    path = [state for state in range(len(told.senones)) if not pause <= state < pause + STATES]
    truth = [told.senones[state] for state in path for _ in range(4)]
    scores = torch.full((1, len(truth), len(model.codebooks)), -50.0)
    scores[0, torch.arange(len(truth)), torch.tensor(truth)] = 0.0
    senones, _ = along_lines(scores, [told])
    assert senones[0].tolist() == truth


def test_unknown_speech_is_taken_for_its_phones(model):
    told = line(model, [read_dictionary()["done"][0]])
    truth = [free for free in told.free for _ in range(4)]
    scores = torch.full((1, len(truth), len(model.codebooks)), -50.0)
    scores[0, torch.arange(len(truth)), torch.tensor(truth)] = 0.0
    _, free = PhoneLoop(model, torch.device("cpu"))(scores)
    assert free[0].tolist() == truth
