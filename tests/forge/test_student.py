"""The student's recipe: what is exported is what PyTorch computes, and what is aligned is so.

That Vosk computes what is exported is shown in `test_network`.
"""

import numpy as np
import pytest

torch = pytest.importorskip("torch", reason="pip install 'spokenrow[student]'")
pytest.importorskip("pocketsphinx", reason="pip install 'spokenrow[student]'")
pytest.importorskip("kaldi_native_fbank", reason="pip install 'spokenrow[student]'")

from engine.forge.settings import MFCC_OPTIONS  # noqa: E402
from engine.forge.sphinx import read_dictionary, read_model  # noqa: E402
from engine.forge.student.align import STATES, PhoneLoop, along_lines, line  # noqa: E402
from engine.forge.student.export import folded  # noqa: E402
from engine.forge.student.features import STUDENT, TEACHER, Mfcc  # noqa: E402
from engine.forge.student.network import Student  # noqa: E402
from engine.forge.tdnn import FRONT_END, LEFT, RIGHT, read, write  # noqa: E402
from tests.forge.learnt_network import computed, kaldi_cepstra  # noqa: E402


@pytest.fixture(scope="module")
def model():
    return read_model()


def test_the_exported_layers_compute_what_pytorch_does(model, tmp_path):
    """Through the file that the forge reads, for every senone."""
    torch.manual_seed(1)
    student = Student(STUDENT.cepstra, len(model.codebooks))
    student(10 * torch.randn(8, 60, STUDENT.cepstra))  # its norms have seen sound
    student.eval()
    prior = torch.full((len(model.codebooks),), 1 / len(model.codebooks))
    torch.save({"weights": student.state_dict(), "prior": prior}, tmp_path / "student.pt")
    write(tmp_path / "learnt.npz", folded(tmp_path / "student.pt"))
    frames = 10 * torch.randn(1, LEFT + 5 + RIGHT, STUDENT.cepstra)
    with torch.no_grad():
        theirs = student(frames)[0].double().numpy()
    ours = computed(read(tmp_path / "learnt.npz"), frames[0].double().numpy())
    # the same prior for all lifts every output alike
    lift = (ours - theirs).mean()
    assert abs(lift - np.log(len(prior))) < 0.01
    assert np.abs(ours - theirs - lift).max() < 0.02 * theirs.std()


@pytest.mark.parametrize(
    ("wanted", "settings"),
    [(TEACHER, MFCC_OPTIONS), (STUDENT, FRONT_END)],
    ids=["teacher", "student"],
)
def test_the_cepstra_are_kaldis(wanted, settings):
    """Against kaldi-native-fbank, which has the code that Vosk runs."""
    sound = np.random.default_rng(1).normal(0, 1000, 8000).astype(np.float32)
    theirs = kaldi_cepstra(sound, settings)
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
