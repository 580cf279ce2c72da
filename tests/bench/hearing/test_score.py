"""The bench's own arithmetic: a wrong table would be worse than none."""

import numpy as np
import pytest

from models.command import Action, Command
from tests.bench.hearing import kept
from tests.bench.hearing.corpus import Said, Stream, at_level, echo, loudness, pink, trimmed
from tests.bench.hearing.score import score
from tests.bench.hearing.subjects import Move
from tests.bench.hearing.table import interval

ADVANCE = Command(action=Action.ADVANCE)
BACK = Command(action=Action.TAKE_BACK)


def stream(*said, seconds=60):
    sound = np.zeros(16_000 * seconds, "<i2")
    return Stream("clean", "commands", "nobody", sound, [Said(*one) for one in said])


def test_right_wrong_refused_and_false():
    heard = stream((1, 2, "row done"), (6, 7, "take back"), (12, 13, "row done"))
    moves = [Move(2.2, ADVANCE), Move(7.3, ADVANCE), Move(40, BACK)]
    result = score(heard, moves, busy_s=0.5)
    assert (result.said, result.right, result.wrong, result.refused) == (3, 1, 1, 1)
    assert result.false == 1
    assert result.per_hour == pytest.approx(60)
    assert result.waits == [pytest.approx(0.2)]


def test_two_moves_for_one_command_are_wrong():
    assert score(stream((1, 2, "row done")), [Move(2.1, ADVANCE), Move(2.6, ADVANCE)], 0).wrong == 1


def test_a_withdrawn_move_is_no_move_but_is_counted():
    moves = [Move(2.2, ADVANCE), Move(2.8, ADVANCE, withdrawn=True)]
    result = score(stream((1, 2, "row done")), moves, 0)
    assert (result.right, result.wrong, result.refused, result.withdrawn) == (0, 0, 1, 1)


def test_a_late_answer_after_the_next_word_is_that_words():
    result = score(stream((1, 2, "row done"), (3, 4, "take back")), [Move(3.5, ADVANCE)], 0)
    assert (result.right, result.wrong, result.refused) == (0, 1, 1)


def test_noise_falls_by_three_decibels_an_octave():
    # The definition of pink noise: equal power in each octave.
    sound = pink(20, np.random.default_rng(1))
    power = np.abs(np.fft.rfft(sound)) ** 2
    hz = np.fft.rfftfreq(len(sound), 1 / 16_000)
    octaves = [power[(hz >= low) & (hz < 2 * low)].sum() for low in (125, 250, 500, 1000, 2000)]
    assert np.ptp(10 * np.log10(octaves)) < 0.5
    assert sound.std() == pytest.approx(1)


def test_echo_dies_by_sixty_decibels_in_its_time():
    click = np.zeros(16_000)
    click[0] = 1
    tail = echo(click, seconds=0.5)
    early, late = (tail[:1600] ** 2).mean(), (tail[8000:] ** 2).mean()
    assert tail[0] == pytest.approx(1)
    assert 10 * np.log10(late / early + 1e-12) < -50


def test_levels_and_ends():
    sound = np.concatenate([np.zeros(3200), np.full(3200, 0.3), np.zeros(3200)])
    assert len(trimmed(sound)) == 3200
    assert loudness(at_level(sound, 0.1)) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611)],
)
def test_the_interval_of_a_share(count, of, low, high):
    # R. G. Newcombe, "Two-sided confidence intervals for the single proportion", Statistics in
    # Medicine 17, 1998, its table of examples, the score method (from memory)
    assert interval(count, of) == (pytest.approx(low, abs=1e-4), pytest.approx(high, abs=1e-4))


def test_a_kept_stream_comes_back(tmp_path):
    made = stream((1, 2, "row done"), (6, 7, "take back"), seconds=8)
    made.sound[16_000:32_000] = np.arange(16_000)
    kept.made(tmp_path, 3, lambda: made)
    (path,) = kept.paths(tmp_path)
    back = kept.read(path)
    assert (back.sound == made.sound).all()
    assert (back.said, back.kind, back.condition, back.voice) == (
        made.said, made.kind, made.condition, made.voice,
    )  # fmt: skip
    talk = Stream("television", "talk", "nobody", made.sound, [])
    assert kept.read(kept.write(talk, tmp_path, 4)).seconds == talk.seconds
    assert len(kept.paths(tmp_path, only="tele")) == 1
