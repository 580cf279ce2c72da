"""Whose turn it is: what is to be played waits for her, falls silent for her, and goes on."""

import numpy as np
import pytest

from counter.sound.turns import Turns

RATE, FRAMES = 1000, 20
SOUND = np.arange(1, 201, dtype=np.float32)


def played(turns, hers, busy=None):
    """What comes out, block by block, while she speaks into it or is busy as told."""
    given = []
    for into_ours, talks in zip(hers, busy or hers, strict=True):
        block, count = turns.take(FRAMES, busy=talks, into_ours=into_ours)
        assert not block[count:].any()
        given.append(block)
    return np.concatenate(given)


def test_what_has_begun_falls_silent_for_her_and_goes_on_where_it_was():
    turns = Turns(RATE)
    turns.add(SOUND)
    sound = played(turns, [False, False, True, True, True, False, *[False] * 8])
    silent = sound[2 * FRAMES + 10 : 5 * FRAMES]
    assert not silent.any()  # within ten milliseconds
    told = sound[sound > 0]
    assert set(np.round(told)) >= set(range(1, 41)) | set(range(61, 201))
    assert not turns


def test_it_stays_silent_for_as_long_as_she_may_go_on():
    """Of our own sound nothing is left, so nothing is spoken into: her breath tells."""
    turns = Turns(RATE)
    turns.add(SOUND)
    hers = [False, True, False, False, False, False]
    busy = [False, True, True, True, False, False]
    sound = played(turns, hers, busy)
    assert not sound[FRAMES + 10 : 4 * FRAMES].any()
    assert sound[4 * FRAMES :].any()


def test_her_breath_alone_does_not_silence_what_has_begun():
    turns = Turns(RATE)
    turns.add(SOUND)
    assert np.array_equal(played(turns, [False] * 10, [False, *[True] * 9]), SOUND)


def test_who_talks_all_the_time_does_not_silence_us_for_ever():
    turns = Turns(RATE)
    turns.add(SOUND)
    waited = played(turns, [True] * 75)
    assert not waited.any()
    rest = played(turns, [True] * 160)
    assert rest.max() == pytest.approx(200)
    assert not turns


def test_another_sound_in_its_place_is_not_held_up_by_what_was():
    turns = Turns(RATE)
    turns.add(SOUND)
    played(turns, [False, True, True])
    assert turns.paused
    turns.clear()
    turns.add(SOUND)
    assert not turns.paused
    assert np.array_equal(played(turns, [False] * 10), SOUND)
