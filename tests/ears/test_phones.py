"""The network looked at phone by phone: it computes what Vosk's does, and lays phrases along it."""

import json
import shutil

import numpy as np
import pytest

from engine.ears.phones import FILE, Phones, _Path
from engine.ears.recogniser import starter_dir
from engine.ears.replaced import margin


@pytest.fixture(scope="module")
def phones():
    return Phones(starter_dir())


def shares(phones, *stretches):
    """Scores in which each (phone, frames) in turn has nearly all."""
    rows = []
    for name, frames in stretches:
        number = phones.names.index(name)
        for frame in range(frames):
            row = np.full((len(phones.names), 3), 0.02 / (3 * len(phones.names)))
            row[number, min(2, 3 * frame // frames)] = 0.98
            rows.append(np.log(row / row.sum()))
    return np.array(rows, np.float32)


ROW_DONE = [("SIL", 30), ("R", 8), ("OW", 14), ("D", 6), ("AH", 10), ("N", 9), ("SIL", 20)]


def test_a_phrase_lies_along_its_own_phones(phones):
    fit = phones.fit(shares(phones, *ROW_DONE), "row done")
    assert fit.start_s == pytest.approx(0.30)
    assert fit.end_s == pytest.approx(0.77)
    assert fit.shortest_s == pytest.approx(0.06)
    assert fit.worst > -0.1
    assert fit.free == pytest.approx(0, abs=0.01)
    assert fit.silent_before > 0.9
    assert fit.silent_after > 0.9


@pytest.mark.parametrize(
    ("said", "text", "unlike"),
    [
        (["R", "OW", "D", "AH", "N"], "row done", True),
        (["R", "AA", "D", "AH", "N"], "row done", False),  # raw done
        (["R", "OW", "G", "AH", "N"], "row done", False),  # row gun
        (["T", "EY", "K", "AH", "B", "R", "EY", "K"], "take a break", True),
        (["T", "EY", "K", "AH", "B", "R", "IH", "K"], "take a break", False),  # a brick
    ],
)
def test_a_word_that_sounds_like_one_in_its_place_is_another_phrase(phones, said, text, unlike):
    stretches = [("SIL", 30), *((phone, 9) for phone in said), ("SIL", 20)]
    found = phones.unlike(shares(phones, *stretches), text)
    assert found > 10 if unlike else found < -10


def test_how_unlike_it_is_is_what_the_whole_phrase_loses_with_another_word_in_it(phones):
    """Against the other road to the same number: each replaced phrase laid along all by itself."""
    scores = np.log(np.random.default_rng(2).dirichlet(np.ones(117), 70)).astype(np.float32)
    scores = scores.reshape(70, 39, 3)
    scores = np.concatenate([scores] * 2, 1)[:, : len(phones.names)]
    words = [[[5, 9, 3], [5, 2]], [[7, 1]]]
    others = [[[4, 9], [5, 9, 8, 3]], [[7, 11], [6]]]

    def whole(*ways):
        path = _Path(phones.silence)
        path.pause(must=True)
        for way in ways:
            path.word(way)
        path.pause(must=True)
        return sum(float(scores[t, p, s]) for t, (_, p, s) in enumerate(path.along(scores)))

    replaced = [whole([way], words[1]) for way in others[0]]
    replaced += [whole(words[0], [way]) for way in others[1]]
    expected = whole(*words) - max(replaced)
    assert margin(scores, words, others, phones.silence) == pytest.approx(expected, abs=0.01)
    assert margin(scores, words, [[], []], phones.silence) == float("inf")
    assert margin(scores[:9], words, others, phones.silence) is None


def test_a_pause_between_words_is_no_phone_of_theirs(phones):
    split = [*ROW_DONE[:3], ("SIL", 25), *ROW_DONE[3:]]
    fit = phones.fit(shares(phones, *split), "row done")
    assert fit.worst > -0.1
    assert fit.end_s == pytest.approx(1.02)


@pytest.mark.parametrize("place", range(1, 6))
def test_one_other_phone_shows_in_the_worst_and_in_the_margin(phones, place):
    said = list(ROW_DONE)
    said[place] = ("EY", said[place][1])
    fit = phones.fit(shares(phones, *said), "row done")
    assert fit.worst < -2
    assert fit.margin < -2
    assert fit.mean < -0.5
    assert fit.free > 0.3


def test_speech_beside_the_phrase_spoils_it_or_is_no_silence(phones):
    around = [("SIL", 10), ("IY", 25), *ROW_DONE[1:-1], ("K", 25), ("SIL", 10)]
    fit = phones.fit(shares(phones, *around), "row done")
    assert fit.silent_before < 0.2 or fit.worst < -2
    assert fit.silent_after < 0.2


def test_the_phrase_that_was_said_is_likelier_than_another(phones):
    scores = shares(phones, *ROW_DONE)
    assert phones.fit(scores, "row done").total > phones.fit(scores, "no").total + 20


def test_where_there_is_no_room_there_is_no_fit(phones):
    assert phones.fit(shares(phones, ("SIL", 12)), "row done") is None
    assert phones.fit(np.zeros((0, len(phones.names), 3), np.float32), "row done") is None
    assert phones.scores(np.zeros(100, np.int16)).shape == (0, len(phones.names), 3)


def test_a_word_that_the_model_does_not_tell_of(phones):
    assert phones.knows("row done")
    assert not phones.knows("row dune")
    with pytest.raises(KeyError):
        phones.fit(shares(phones, *ROW_DONE), "row dune")


def test_shares_sum_to_one(phones):
    sound = np.random.default_rng(1).normal(0, 500, 16_000).astype(np.int16)
    scores = phones.scores(sound)
    assert scores.shape == (98, len(phones.names), 3)
    assert np.exp(scores).sum((1, 2)) == pytest.approx(1, abs=1e-4)


def test_a_model_without_the_file_has_no_phones(tmp_path):
    shutil.copytree(starter_dir(), tmp_path / "model")
    (tmp_path / "model" / FILE).unlink()
    with pytest.raises(FileNotFoundError):
        Phones(tmp_path / "model")


def test_every_command_word_is_told(phones):
    told = json.loads((starter_dir() / FILE).read_text())
    assert set(told["words"]) >= {"row", "done", "ninety", "listen", "now"}
    assert all(len(columns) == 3 for columns in told["columns"])
