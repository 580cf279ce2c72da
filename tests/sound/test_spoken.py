"""Synthesised speech through the shipped voice model and the whole of the ears."""

import shutil
import subprocess

import numpy as np
import pytest

from counter.sound.hearing import hear
from engine.ears import wav
from engine.ears.listener import Listener
from engine.ears.recogniser import Recogniser
from models.command import Action, Context, Situation
from tests.ears.tone_words import pcm, quiet

pytestmark = pytest.mark.system


@pytest.fixture(scope="module")
def recogniser():
    made = Recogniser()
    yield made
    made.close()


@pytest.fixture
def speak(tmp_path):
    if shutil.which("flite") is None:
        pytest.skip("sudo apt-get install -y flite")

    def said(text):
        path = tmp_path / "said.wav"
        subprocess.run(["flite", "-voice", "slt", "-t", text, "-o", path], check=True)
        return np.frombuffer(wav.read(path), "<i2") * 0.4

    return said


def in_a_room(*pieces):
    sound = np.concatenate([np.zeros(16_000 * 2), *pieces, np.zeros(16_000)])
    return [pcm(sound + quiet(len(sound) / 16_000 + 0.01, level=12)[: len(sound)])]


@pytest.mark.parametrize("text", ["row done", "take back", "it fits", "too tight"])
def test_a_loud_voice_through_a_microphone_that_gives_pure_silence(recogniser, speak, text):
    """Two and a half times as loud as elsewhere here, and not one sample of hiss."""
    sound = pcm(np.concatenate([np.zeros(16_000), speak(text) * 2.5, np.zeros(16_000)]))
    (heard,) = Listener(recogniser).feed(sound)
    assert heard.taken
    assert heard.heard == text


@pytest.mark.parametrize(
    ("text", "context", "command"),
    [
        ("row done", Context.ROW, (Action.ADVANCE, None)),
        ("take back", Context.ROW, (Action.TAKE_BACK, None)),
        ("dropped loop at twelve", Context.ROW, (Action.DROPPED, 12)),
        ("rip back three rows", Context.ROW, (Action.RIP_BACK, 3)),
        ("measured forty point five", Context.ROW, (Action.MEASURED, 40.5)),
        ("yes", Context.YES_NO, (Action.YES, None)),
    ],
)
def test_a_spoken_command_is_taken_once_and_soon(recogniser, speak, text, context, command):
    speech = speak(text)
    listener = Listener(
        recogniser,
        lambda: Situation(context=context, question_open=context is Context.YES_NO),
    )
    heard = [h for h in hear(in_a_room(speech), listener) if h.taken]
    assert [(h.command.action, h.command.value) for h in heard] == [command]
    assert heard[0].decided_s - heard[0].end_s <= 0.5


def test_conversation_moves_nothing(recogniser, speak):
    pause = np.zeros(4000)
    talk = [
        speak("did you put the kettle on? the train was late this morning, and so was I"),
        pause,
        speak("she said that her mother would come on Thursday, if the weather holds"),
        pause,
        speak("well, we shall see about that when the time comes"),
    ]
    listener = Listener(recogniser)
    assert [h for h in hear(in_a_room(*talk), listener) if h.taken] == []
