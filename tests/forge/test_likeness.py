"""What tells voices apart, fitted on speakers whose sound is made up."""

import json
from statistics import NormalDist

import numpy as np
import pytest

from engine.ears.likeness import CEPSTRA, Likeness, SpeechSums
from engine.forge.likeness import (
    NUMBERS,
    Counted,
    Frames,
    _packed,
    disturbed,
    equal_error,
    fitted,
    told,
    trials,
)

PHONES = ["A", "B", "C"]


def made_up(speakers, each, seed=0):
    """Speakers who differ by two numbers, in every phone and in their pitch."""
    random = np.random.default_rng(seed)
    ways = np.random.default_rng(7).normal(0, 3.0, (len(PHONES), CEPSTRA, 2))
    shape = len(PHONES), CEPSTRA
    frames = Frames(np.zeros(shape[0]), np.zeros(shape), np.zeros(shape))
    found = []
    for speaker in range(speakers):
        own = random.normal(0, 1, 2)
        for number in range(each):
            said = own + random.normal(0, 0.3, 2)
            counts = random.integers(5, 15, len(PHONES)).astype(float)
            means = 20.0 + ways @ said
            sums = counts[:, None] * means + random.normal(0, 5.0, shape) * np.sqrt(counts)[:, None]
            voiced = 20.0
            pitch = voiced * (5.0 + 0.3 * own[0]) + random.normal(0, 0.1)
            found.append(Counted(f"s{speaker}", number, SpeechSums(counts, sums, voiced, pitch)))
            frames.counts += counts
            frames.sums += sums
            frames.squares += counts[:, None] * (np.square(sums / counts[:, None]) + 25.0)
    return found, frames


@pytest.fixture(scope="module")
def model():
    solved = fitted(*made_up(30, 12))
    return Likeness(json.loads(_packed(told(solved, PHONES, 1.0, 0.0))))


def test_speakers_it_has_not_met_are_told_apart(model):
    same, other = trials(model, made_up(30, 12, seed=1)[0], np.random.default_rng(1))
    assert equal_error(same, other) < 0.1
    assert np.median(same) > 0 > np.median(other)


def test_what_tells_nothing_is_given_no_weight(model):
    """Two numbers were put in, so two are found."""
    strength = np.sqrt(np.square(model._ways).sum(0))
    assert (strength > 0.2 * strength.max()).sum() < NUMBERS / 2


def test_the_equal_error_rate_of_two_normal_distributions_is_known():
    """Two deviations apart each goes beyond the middle with a chance of Φ(-1)."""
    random = np.random.default_rng(3)
    same, other = random.normal(1.0, 1, 4000).tolist(), random.normal(-1.0, 1, 7000).tolist()
    assert equal_error(same, other) == pytest.approx(NormalDist().cdf(-1), abs=0.01)
    assert equal_error([1.0, 2.0], [-1.0, 0.0]) == 0.0


def test_a_disturbed_utterance_is_as_long_and_as_loud_and_another_sound():
    random = np.random.default_rng(4)
    sound = (random.normal(0, 2000, 12_000)).astype(np.int16)
    for _ in range(6):
        heard = disturbed(sound, random)
        assert heard.shape == sound.shape
        assert np.sqrt(np.mean(np.square(heard, dtype=float))) == pytest.approx(1966, rel=0.05)
        assert np.abs(np.corrcoef(heard, sound)[0, 1]) < 0.999
