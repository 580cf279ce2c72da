"""A spoken note while it is spoken: where it begins and ends, and that nothing else is kept."""

import builtins
import os
import wave

import numpy as np
import pytest

from counter.sound.listening import EarsHeard, EarsNote
from counter.sound.noting import NOBODY_S, QUIET_S, Noting
from engine.ears.recogniser import Hypothesis
from engine.keep.notes import LONGEST_S
from tests.sound.test_echo import RATE, speech
from tests.sound.test_listening import Silence, ears_of, until  # noqa: F401


def pcm(sound):
    noise = np.random.default_rng(1).normal(0, 0.0004, len(sound))
    return (np.clip(sound + noise, -1, 1) * 32767).astype("<i2").tobytes()


def quiet(seconds):
    return np.zeros(round(seconds * RATE), np.float32)


def fed(sound):
    noting, whole = Noting(), pcm(sound)
    for start in range(0, len(whole), 640):
        if noting.over:
            break
        noting.feed(whole[start : start + 640])
    return noting, len(noting.sound()) / 2 / RATE


def test_quiet_ends_it_and_is_no_part_of_it():
    noting, seconds = fed(np.concatenate([quiet(2.0), speech(4.0), quiet(QUIET_S + 1)]))
    assert noting.over
    assert seconds == pytest.approx(4.6, abs=0.5)


def test_a_pause_to_think_does_not_end_it():
    sound = np.concatenate([quiet(1), speech(2.0), quiet(1.6), speech(2.0, 2), quiet(4)])
    assert fed(sound)[1] == pytest.approx(6.2, abs=0.5)


def test_half_a_minute_is_the_most():
    noting, seconds = fed(np.concatenate([quiet(1), speech(45)]))
    assert noting.over
    assert seconds <= LONGEST_S


def test_where_nobody_speaks_nothing_is_kept():
    noting, seconds = fed(quiet(NOBODY_S + 1))
    assert noting.over
    assert seconds == 0


def blocks(sound):
    whole = pcm(sound)
    return [whole[start : start + 640] for start in range(0, len(whole), 640)]


def test_what_is_said_is_a_note_and_no_command(ears_of):  # noqa: F811
    source = Silence()
    source.sound = blocks(np.concatenate([quiet(1), speech(2.0), quiet(QUIET_S + 1)]))
    source.sound.insert(0, b"")
    source.held, source.sound = source.sound, []
    ears, news = ears_of(source)
    assert until(lambda: ears.hearing)
    ears.take_note()
    source.sound = source.held
    assert until(lambda: any(isinstance(told, EarsNote) for told in news))
    (note,) = [told for told in news if isinstance(told, EarsNote)]
    assert len(note.sound) / 2 / RATE == pytest.approx(2.6, abs=0.6)
    assert not any(isinstance(told, EarsHeard) for told in news)
    assert ears.noted_s == 0


def test_a_note_thrown_away_comes_to_nothing(ears_of):  # noqa: F811
    ears, news = ears_of(Silence())
    assert until(lambda: ears.hearing)
    ears.take_note()
    assert until(lambda: ears.noted_s > 0)
    ears.drop_note()
    ears.close()
    assert not any(isinstance(told, EarsNote) for told in news)


def test_ears_that_go_give_what_was_said_until_then(ears_of):  # noqa: F811
    ears, news = ears_of(Silence())
    assert until(lambda: ears.hearing)
    ears.take_note()
    assert until(lambda: ears.noted_s > 0)
    ears.close()
    (note,) = [told for told in news if isinstance(told, EarsNote)]
    assert note == EarsNote(b"", broken=True)


class Nothing:
    """A decoder to whom all is nothing."""

    def start(self, context):
        pass

    def feed(self, pcm):
        return ""

    def finish(self):
        return Hypothesis(text="", confidence=0.0, words=())


def test_listening_writes_no_sound_anywhere(ears_of, monkeypatch):  # noqa: F811
    """An evening of talk: no file is opened for writing, by whatever way."""
    opened = []
    real_open, real_os, real_wave = builtins.open, os.open, wave.open

    def watch(name, mode="r", *given, **more):
        if set(str(mode)) & set("wax+"):
            opened.append(name)
        return real_open(name, mode, *given, **more)

    def watch_os(path, flags, *given, **more):
        if flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT):
            opened.append(path)
        return real_os(path, flags, *given, **more)

    def watch_wave(file, mode=None):
        opened.append(file)
        return real_wave(file, mode)

    monkeypatch.setattr(builtins, "open", watch)
    monkeypatch.setattr(os, "open", watch_os)
    monkeypatch.setattr(wave, "open", watch_wave)
    source = Silence()
    source.sound = blocks(np.concatenate([quiet(1), speech(2.0)]))
    ears, _ = ears_of(source, decoder=lambda _: Nothing())
    assert until(lambda: len(source.sound) <= 1), (ears.trouble, len(source.sound))
    ears.take_note()
    assert until(lambda: ears.noted_s > 0)
    ears.drop_note()
    ears.close()
    assert opened == []
