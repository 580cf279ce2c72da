"""The ears' thread: what is set while it is busy is not lost, nor is sound it never got."""

import threading
import time
from pathlib import Path

import pytest

from counter.sound.listening import BREAK, Ears, EarsLack
from counter.sound.microphone import Microphone, State
from engine.base.refusal import Refusal
from engine.ears.fluency import Fluency
from engine.ears.guard import Sensitivity
from engine.ears.listener import Listener
from models.command import Situation


class Silence:
    """A source that gives quiet, and breaks off when it is told to."""

    def __init__(self):
        self.trouble, self.breaks = "", 0
        self.sound = [b""]

    def open(self):
        pass

    def close(self):
        pass

    def read(self, timeout_s=0.1):
        time.sleep(0.005)
        if len(self.sound) > 1:
            return self.sound.pop(0)
        return bytes(640)


class NoWords:
    """A decoder that hears nothing."""

    def start(self, context, **_):
        pass

    def __getattr__(self, name):
        return lambda *_, **__: None


class Gate:
    """Holds a load up, and tells when one waits."""

    def __init__(self):
        self.waits, self.opens = threading.Event(), threading.Event()

    def __call__(self):
        self.waits.set()
        assert self.opens.wait(20)


class Watched(Listener):
    """A listener that tells what it was fed."""

    made = []

    def __init__(self, *given, **more):
        super().__init__(*given, **more)
        self.fed = []
        Watched.made.append(self)

    def feed(self, pcm, *, deaf=False):
        self.fed.append((bytes(pcm), deaf))
        return iter(())


@pytest.fixture(autouse=True)
def watched(monkeypatch):
    Watched.made = []
    monkeypatch.setattr("engine.ears.listener.Listener", Watched)


def whole(language):
    return Fluency(folder=Path("a-model"), language=language)


def until(what):
    for _ in range(2000):
        if what():
            return True
        time.sleep(0.01)
    return False


@pytest.fixture
def ears_of():
    made = []

    def build(source=None, find=whole, decoder=lambda _: NoWords(), cleaner=lambda _: None):
        news = []
        ears = Ears(source or Silence(), find, decoder, cleaner)
        ears.open(news.append, Situation, lambda pcm, _at_s: [(pcm, False)])
        made.append(ears)
        return ears, news

    yield build
    for ears in made:
        ears.close()


@pytest.mark.parametrize("slow", ["decoder", "cleaner"])
def test_what_is_set_while_a_model_loads_holds_afterwards(ears_of, slow):
    gate = Gate()
    slowly = {"decoder": lambda _: gate() or NoWords(), "cleaner": lambda _: gate()}[slow]
    ears, _ = ears_of(**{slow: slowly})
    assert gate.waits.wait(20)
    ears.sensitivity = Sensitivity.CAREFUL
    assert ears.ask_attention(True) == ""
    gate.opens.set()
    assert until(lambda: Watched.made and Watched.made[-1].sensitivity is Sensitivity.CAREFUL)
    assert until(lambda: Watched.made[-1].attention)
    ears.sensitivity = Sensitivity.EAGER
    ears.ask_attention(False)
    assert until(lambda: Watched.made[-1].sensitivity is Sensitivity.EAGER)
    assert until(lambda: not Watched.made[-1].attention)


def test_a_language_chosen_while_another_loads_is_the_one_that_is_heard(ears_of):
    gate, read = Gate(), []

    def decoder(fluency):
        read.append(fluency.language)
        if len(read) == 1:
            gate()
        return NoWords()

    ears, _ = ears_of(decoder=decoder)
    assert gate.waits.wait(20)
    ears.language = "de"
    gate.opens.set()
    assert until(lambda: ears.hearing)
    assert read == ["en", "de"]


def test_a_model_that_fails_does_not_close_the_ears_that_another_would_open(ears_of):
    gate = Gate()

    def find(language):
        if language == "ko":
            gate()
            raise Refusal("No voice model here speaks Korean.")
        return whole(language)

    ears, news = ears_of()
    assert until(lambda: ears.hearing)
    ears._find = find
    ears.language = "ko"
    assert gate.waits.wait(20)
    ears.language = "en"
    gate.opens.set()
    assert until(lambda: ears.hearing)
    assert ears.trouble == ""
    assert not [one for one in news if isinstance(one, EarsLack)]


def test_half_a_word_before_lost_sound_does_not_go_on_after_it(ears_of):
    source = Silence()
    ears, _ = ears_of(source)
    assert until(lambda: ears.hearing)
    source.breaks += 1
    (listener,) = Watched.made
    assert until(lambda: (BREAK, True) in listener.fed)
    count = len(listener.fed)
    assert until(lambda: len(listener.fed) > count + 3)
    assert sum(fed == (BREAK, True) for fed in listener.fed) == 1


@pytest.mark.parametrize(
    ("state", "line"),
    [
        (State.DEAD, "the microphone gives no sound"),
        (State.OPEN, "the sound has gaps, keys work"),
        (State.LOST, "not hearing, keys work"),
    ],
)
def test_a_mute_microphone_is_not_called_lost_ears(state, line):
    microphone = Microphone()
    microphone.state, microphone.trouble = state, "Something is wrong."
    assert Ears(microphone, whole, lambda _: NoWords()).line(0.0, listening=True) == line
