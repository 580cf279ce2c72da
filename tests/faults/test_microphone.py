"""The microphone goes in mid-word. The bench runs more: `python -m tests.faults.microphone 50`."""

import ctypes.util
import shutil
import time
from pathlib import Path

import pytest
from textual.message import Message

from counter.sound.listening import Ears, EarsHeard
from engine.ears.fluency import Fluency
from models.command import Situation
from tests.ears.tone_words import RATE, ToneDecoder, say, scene
from tests.faults import microphone
from tests.sound.pulse import INSTALL

TRIES = 2


class Torn:
    """A microphone whose sound breaks off after each of these pieces but the last."""

    def __init__(self, *pieces: bytes) -> None:
        self.trouble = ""
        self.breaks = 0
        self.over = False
        self._pieces = list(pieces)

    def open(self) -> None:
        """Nothing to do."""

    def read(self, timeout_s: float = 0.1) -> bytes:
        """A piece, and the break after it."""
        if not self._pieces:
            self.over = True
            time.sleep(0.01)
            return b""
        piece = self._pieces.pop(0)
        self.breaks += bool(self._pieces)
        return piece

    def close(self) -> None:
        """Nothing to do."""


def taken(source: Torn) -> list[tuple[str, bool]]:
    """What the app's ears make of it: the words that were taken or withdrawn."""
    posted: list[Message] = []
    ears = Ears(
        source,
        lambda language: Fluency(folder=Path("a-model"), language=language),
        lambda _model: ToneDecoder(),
    )
    ears.open(posted.append, Situation, lambda pcm, _at_s: [(pcm, False)])
    while not source.over:
        time.sleep(0.01)
    ears.close()
    return [
        (one.heard.heard, one.heard.withdrawn)
        for one in posted
        if isinstance(one, EarsHeard) and (one.heard.taken or one.heard.withdrawn)
    ]


def torn(*sound: object, at_s: float) -> tuple[bytes, bytes]:
    """A scene before and after that moment."""
    whole, cut = scene(*sound), 2 * round(at_s * RATE)
    return whole[:cut], whole[cut:]


def test_half_a_word_before_the_break_and_half_after_it_are_no_word() -> None:
    words = 1, say("row done"), 1
    assert taken(Torn(scene(*words))) == [("row done", False)]
    for at_s in (1.2, 1.3, 1.4, 1.5):
        before, after = torn(*words, at_s=at_s)
        assert taken(Torn(before + after)) == [("row done", False)]
        assert taken(Torn(before, after)) == []


def test_words_cut_off_are_not_taken_when_the_microphone_is_back() -> None:
    before, _ = torn(1, say("row done"), 1, at_s=1.52)
    assert taken(Torn(before + scene(1))) == [("row done", False)], "it sounds like the whole"
    assert taken(Torn(before, scene(1))) == []


def test_a_word_after_the_break_withdraws_none_from_before() -> None:
    before, _ = torn(1, say("row done"), 1, at_s=1.85)
    after = scene(0.1, say("hum take"), 1)
    assert taken(Torn(before, after)) == [("row done", False)]
    assert ("row done", True) in taken(Torn(before + after)), "without a break it is one sentence"


@pytest.mark.system
def test_pulled_out_in_mid_word_no_row_moves_and_the_next_word_counts() -> None:
    programs = all(shutil.which(name) for name in ("pulseaudio", "pactl", "paplay"))
    if not programs or ctypes.util.find_library("portaudio") is None:
        pytest.skip(INSTALL)
    assert microphone.main(TRIES) == {"tries": TRIES, "wrong": 0, "how": []}
