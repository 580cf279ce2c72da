import wave

import numpy as np
import pytest
import soundfile

from counter.sound.hearing import hear_file
from engine.ears.wav import AudioError
from models.command import Action, Context, Situation
from tests.ears.tone_words import ToneDecoder, say, scene


def save(path, sound, rate=16_000):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(sound)
    return path


def test_a_recording_is_heard_utterance_by_utterance(tmp_path):
    sound = scene(1, say("row done"), 1.5, say("hum"), 1.5, say("take back"), 1)
    heard = list(hear_file(save(tmp_path / "a.wav", sound), ToneDecoder()))
    assert [(h.heard, h.taken) for h in heard] == [
        ("row done", True),
        ("hum", False),
        ("take back", True),
    ]


def test_a_command_at_the_very_end_of_a_recording_is_decided(tmp_path):
    (heard,) = hear_file(save(tmp_path / "a.wav", scene(1, say("row done"))), ToneDecoder())
    assert heard.taken


def test_what_one_answer_changed_holds_for_the_next(tmp_path):
    """Two commands within the same second of the recording."""
    sound = scene(1.02, say("row done", word_s=0.13), 0.55, say("yes", word_s=0.2), 1)
    asked = [False]
    answers = []
    for heard in hear_file(
        save(tmp_path / "a.wav", sound),
        ToneDecoder(),
        lambda: Situation(
            context=Context.YES_NO if asked[0] else Context.ROW, question_open=asked[0]
        ),
    ):
        answers.append((heard.command.action, heard.taken))
        asked[0] = True
    assert answers == [(Action.ADVANCE, True), (Action.YES, True)]


def test_any_rate_is_heard(tmp_path):
    sound = np.frombuffer(scene(1, say("row done"), 1), "<i2")
    upsampled = np.repeat(sound, 3)
    soundfile.write(tmp_path / "a.wav", np.stack([upsampled, upsampled], 1), 48_000, "PCM_24")
    (heard,) = hear_file(tmp_path / "a.wav", ToneDecoder())
    assert heard.taken


def test_a_bad_recording_is_refused_in_a_sentence(tmp_path):
    with pytest.raises(AudioError):
        list(hear_file(tmp_path / "none.wav", ToneDecoder()))
