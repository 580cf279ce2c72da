"""How it is read out: pace, loudness, and by whom."""

import shutil
import threading
import time

import numpy as np
import pytest

from counter.shared.setting_lines import LINES
from counter.shared.settings import Loudness, Pace, Reader, Settings
from counter.sound import natural, speech
from counter.sound.speech import Manner, find_voice
from counter.sound.tones import Loudspeaker


class Shelf(Loudspeaker):
    """A loudspeaker that keeps what it is given."""

    def __init__(self):
        super().__init__()
        self.kept = []

    def play(self, sound, rate=22050):
        self.kept.append((np.asarray(sound), rate))

    def hush(self):
        pass


def until(true):
    end = time.monotonic() + 5
    while not true():
        assert time.monotonic() < end
        time.sleep(0.005)


def test_the_small_voice_keeps_the_pace_that_is_set():
    if find_voice() is None:
        pytest.skip("sudo apt-get install -y espeak-ng")
    lengths = []
    for pace in Pace:
        sound, rate = find_voice("en", pace.times)("Row four of eight. Knit six.")
        lengths.append(len(sound) / rate)
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[0] > 1.2 * lengths[2]


def test_the_program_keeps_it_as_well():
    if shutil.which("espeak-ng") is None:
        pytest.skip("sudo apt-get install -y espeak-ng")
    slow, quick = (speech.ProgramVoice("en", p)("Row four of eight.")[0] for p in (0.8, 1.25))
    assert len(slow) > 1.2 * len(quick)


def test_loudness_is_of_everything_that_sounds():
    gains = [loudness.gain for loudness in Loudness]
    assert gains == sorted(gains)
    loudspeaker = Loudspeaker()

    class Open:
        active = True

    loudspeaker._stream = Open()
    loudspeaker.gain = Loudness.SOFT.gain
    loudspeaker.play(np.ones(100, np.float32))
    assert loudspeaker._turns.take(100, busy=False, into_ours=False)[0].max() == pytest.approx(0.25)


def test_who_speaks_changes_from_the_next_text_on(monkeypatch):
    said = []

    def small(language, pace):
        return lambda text: (said.append((text, pace)), (np.zeros(4, np.float32), 8000))[1]

    def opened(language, pace):
        return lambda text: (np.ones(4, np.float32), 24000)

    monkeypatch.setattr(speech, "find_voice", small)
    monkeypatch.setattr(natural, "speaks", lambda language: True)
    monkeypatch.setattr(natural, "synthesiser", opened)
    loudspeaker = Shelf()
    speaker = speech.Speaker(loudspeaker)
    speaker.use(Manner(natural=False, pace=1.25))
    speaker.say("row one")
    until(lambda: loudspeaker.kept)
    assert said == [("row one", 1.25)]
    speaker.prepare(["row two"])
    assert speaker.all_ready(["row two"])  # none is slow
    found = threading.Event()
    monkeypatch.setattr(speech, "find_voice", lambda *voice: found.wait(5) and small(*voice))
    speaker.use(Manner(natural=True))
    assert not speaker.all_ready(["row two"])  # the voice that is wanted is not there yet
    found.set()
    until(lambda: speaker.all_ready(["row two"]))
    speaker.say("row two")
    until(lambda: len(loudspeaker.kept) == 2)
    assert loudspeaker.kept[1][1] == 24000
    speaker.close()


def test_a_natural_voice_that_fails_is_told_and_the_small_one_speaks(monkeypatch):
    def broken(language, pace):
        raise OSError("no file")

    small = (np.zeros(4, np.float32), 8000)
    monkeypatch.setattr(speech, "find_voice", lambda language, pace: lambda text: small)
    monkeypatch.setattr(natural, "speaks", lambda language: True)
    monkeypatch.setattr(natural, "synthesiser", broken)
    loudspeaker = Shelf()
    speaker = speech.Speaker(loudspeaker)
    speaker.use(Manner(natural=True))
    until(lambda: speaker._prepared and speaker._prepared.trouble)
    speaker.say("row one")
    until(lambda: loudspeaker.kept)
    assert "no file" in speaker.trouble
    assert loudspeaker.kept[0][1] == 8000
    speaker.close()


def test_where_nothing_is_read_out_no_voice_is_loaded(monkeypatch):
    found = []
    monkeypatch.setattr(speech, "find_voice", lambda *_: found.append(1))
    speaker = speech.Speaker(Shelf())
    speaker.use(Manner(natural=False))
    time.sleep(0.1)  # for a thread that wakes up where it need not
    speaker.close()
    assert not found


def test_all_of_it_is_on_the_page_of_settings():
    names = {name for name, *_ in LINES}
    assert {"speaker", "pace", "loudness"} <= names
    wanted = Settings(speaker="small", pace="quick", loudness="soft")
    assert Settings.model_validate_json(wanted.model_dump_json()) == wanted
    assert wanted.speaker is Reader.SMALL
