"""The natural voice: never waited for, never in the way. The synthesiser itself where installed."""

import threading
import time

import numpy as np
import pytest

from counter.sound import natural
from counter.sound.natural import Prepared

QUICK = (np.zeros(10, np.float32), 8000)


def quick(_text):
    return QUICK


def slow_of(gate=None, said=None):
    def opened():
        def say(text):
            if gate:
                gate.wait(5)
            if said is not None:
                said.append(text)
            return np.full(len(text), 0.5, np.float32), 24000

        return say

    return opened


def until(true):
    end = time.monotonic() + 5
    while not true():
        assert time.monotonic() < end
        time.sleep(0.005)


def test_what_is_prepared_is_said_by_the_slow_voice_and_the_rest_by_the_quick_one():
    gate = threading.Event()
    voice = Prepared(slow_of(gate), quick)
    voice.prepare(["row one", "row two"])
    assert voice("row one") is QUICK  # nobody waits
    gate.set()
    until(lambda: voice.ready("row one") and voice.ready("row two"))
    assert voice("row one")[1] == 24000
    assert voice("row three") is QUICK
    until(lambda: voice.ready("row three"))  # and is ready when it is said again
    voice.close()


def test_a_newer_wish_goes_before_an_older_one():
    gate, said = threading.Event(), []
    voice = Prepared(slow_of(gate, said), quick)
    voice.prepare(["a"])
    until(lambda: not voice._wanted)  # it is being computed
    voice.prepare(["b", "c"])
    voice.prepare(["d"])
    gate.set()
    until(lambda: voice.ready("d"))
    assert said == ["a", "d"]
    voice.close()


def test_only_so_many_are_kept():
    voice = Prepared(slow_of(), quick, kept=3)
    texts = [f"row {n}" for n in range(6)]
    voice.prepare(texts)
    until(lambda: voice.ready(texts[-1]))
    assert [voice.ready(text) for text in texts] == [False] * 3 + [True] * 3
    voice.close()


@pytest.mark.parametrize("wrong", [ImportError("no module"), OSError("no file"), MemoryError()])
def test_a_slow_voice_that_fails_leaves_the_quick_one(wrong):
    def opened():
        raise wrong

    voice = Prepared(opened, quick)
    until(lambda: voice.trouble)
    assert voice("row one") is QUICK
    assert voice.trouble.endswith("the small one speaks.")


def test_a_language_that_it_does_not_speak_is_no_voice():
    with pytest.raises(ValueError, match="'ko'"):
        natural.synthesiser("ko")
