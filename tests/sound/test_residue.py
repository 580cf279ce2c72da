"""What the filter leaves of us: when it is taken for her, and what the ears get of it."""

import numpy as np
import pytest

from counter.sound.residue import BLOCK, RATE, Residue
from tests.sound.test_echo import speech

SECONDS = 8
QUIET = 0.0005


def fed(residue, echo, left):
    """All that comes out, and for each block that went in whether she was thought to speak."""
    given, hers = [], []
    for start in range(0, len(left) - BLOCK + 1, BLOCK):
        given.append(residue.feed(left[start : start + BLOCK], echo[start : start + BLOCK]))
        hers.append(residue.hers)
    given.append(residue.flush())
    return np.concatenate(given), np.array(hers)


@pytest.fixture
def scene():
    """Our echo, and what a filter leaves of it: a tenth, in a quiet room."""
    echo = speech(SECONDS, seed=5).astype(float)
    left = 0.1 * echo + np.random.default_rng(1).normal(0, QUIET, len(echo))
    return echo, left


def her(at_s, seconds, level):
    sound = np.zeros(SECONDS * RATE)
    said = speech(seconds, seed=99) * level
    sound[round(at_s * RATE) :][: len(said)] = said
    return sound


def blocks(from_s, to_s):
    return slice(round(from_s * RATE / BLOCK), round(to_s * RATE / BLOCK))


def test_what_is_left_of_us_is_not_taken_for_her_and_not_heard(scene):
    echo, left = scene
    residue = Residue()
    sound, hers = fed(residue, echo, left)
    assert residue.taken_db == pytest.approx(20, abs=4)
    assert not hers[blocks(2, SECONDS)].any()
    late = sound[2 * RATE :]
    assert np.sqrt(np.mean(late**2)) < 3 * QUIET
    assert len(sound) == len(left) // BLOCK * BLOCK


@pytest.mark.parametrize(("level", "alike"), [(1.0, 0.9), (0.5, 0.75)])
def test_she_stands_out_at_once_and_comes_through_from_her_first_sound(scene, level, alike):
    echo, left = scene
    voice = her(4.0, 1.5, level)
    sound, hers = fed(Residue(), echo, left + voice)
    assert hers[blocks(4.0, 4.3)].any()
    assert not hers[blocks(6.0, SECONDS)].any()
    word = slice(4 * RATE, round(5.5 * RATE))
    assert np.corrcoef(voice[word], sound[word])[0, 1] > alike
    begins = slice(4 * RATE, round(4.1 * RATE))
    assert np.corrcoef(voice[begins], sound[begins])[0, 1] > alike


def test_her_word_does_not_teach_it_that_more_of_us_is_left(scene):
    echo, left = scene
    alone, beside = Residue(), Residue()
    fed(alone, echo, left)
    fed(beside, echo, left + her(4.0, 1.5, 1.0))
    assert beside.knows
    assert beside.taken_db == pytest.approx(alone.taken_db, abs=3)


def test_what_stands_out_for_long_is_no_word(scene):
    """The way has changed: from then on as much of us is left as comes."""
    echo, left = scene
    half = len(echo) // 4
    left[half:] += 0.9 * echo[half:]
    residue = Residue()
    fed(residue, echo, left)
    assert not residue.hers
    assert not residue.knows
