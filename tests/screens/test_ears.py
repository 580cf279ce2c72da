"""The app moved by voice: what was heard, whether it was taken, and why not."""

import subprocess
import sys
import time
import wave

import pytest
import soundfile

from counter.listening import Ears, EarsHeard, Recording
from counter.recordings import demo_recording
from engine.vocabulary import word
from models.command import Action, Command, Context, Heard
from tests.ears.tone_words import ToneDecoder, say, scene

_FIRST_WORD = round(3.3 * 16_000)
"""Samples of the demo's recording that hold its first command, "row done", and quiet around it."""


def heard(words, action=None, value=None, *, reason="", asks=False, withdrawn=False):
    command = Command(action=action, value=value) if action else None
    return Heard(
        start_s=1.0,
        end_s=1.5,
        decided_s=1.7,
        heard=words,
        confidence=0.9,
        command=command,
        taken=not reason,
        reason=reason,
        asks=asks,
        withdrawn=withdrawn,
    )


@pytest.fixture
def hear(app_of, small_throw):
    """The app after two rows, and a way to let it hear."""

    class Hearing:
        def __init__(self):
            self.app = app_of(small_throw)

        async def __call__(self, pilot, *utterances):
            for utterance in utterances:
                self.app.post_message(EarsHeard(utterance))
                await pilot.pause()

        @property
        def state(self):
            return self.app.row_screen.work.state

    return Hearing()


async def test_a_taken_word_moves_the_make_and_is_shown(hear, text_of):
    async with hear.app.run_test() as pilot:
        await hear(pilot, heard("row done", Action.ADVANCE))
        assert hear.state.at == 1
        assert "heard “row done”" in text_of(hear.app)


async def test_a_refused_word_changes_nothing_and_says_why(hear, text_of):
    async with hear.app.run_test() as pilot:
        await hear(pilot, heard("row done", Action.ADVANCE, reason="it came in the middle of talk"))
        assert hear.state.at == 0
        assert "✗ heard “row done”: not taken (it came in the middle of talk)" in text_of(hear.app)


async def test_a_withdrawn_word_is_taken_back(hear, text_of):
    async with hear.app.run_test() as pilot:
        again = heard("row done", Action.ADVANCE, reason="the voice went on", withdrawn=True)
        await hear(pilot, heard("row done", Action.ADVANCE))
        assert hear.state.at == 1
        await hear(pilot, again)
        assert hear.state.at == 0
        assert "taken back" in text_of(hear.app)


async def test_a_doubtful_advance_asks_and_a_spoken_yes_counts_it(hear, text_of):
    async with hear.app.run_test() as pilot:
        await pilot.press("space")
        quick = heard("row done", Action.ADVANCE, reason="that was quick — say yes", asks=True)
        await hear(pilot, quick)
        assert "That was quick" in text_of(hear.app)
        assert hear.state.at == 1
        await hear(pilot, heard("yes", Action.YES))
        assert hear.state.at == 2


async def test_a_dialog_takes_a_spoken_number(hear, text_of):
    async with hear.app.run_test() as pilot:
        await pilot.press("space", "d")
        await pilot.pause()
        assert "Which loop was dropped?" in text_of(hear.app)
        assert hear.app.situation().context is Context.NUMBER
        await hear(pilot, heard("four", Action.MEASURED, 4.0))
        assert [mark.loop for mark in hear.state.open_marks] == [4]
        assert hear.app.screen is hear.app.row_screen


async def test_a_dialog_is_left_by_a_spoken_no(hear):
    async with hear.app.run_test() as pilot:
        await pilot.press("space", "d")
        await pilot.pause()
        await hear(pilot, heard("no", Action.NO))
        assert hear.app.screen is hear.app.row_screen
        assert not hear.state.open_marks


async def test_a_word_closes_the_help_that_lies_over_the_row(hear):
    async with hear.app.run_test() as pilot:
        await hear(pilot, heard("help", Action.HELP))
        assert hear.app.screen is not hear.app.row_screen
        await hear(pilot, heard("row done", Action.ADVANCE))
        assert hear.app.screen is hear.app.row_screen
        assert hear.state.at == 1


async def test_ears_that_cannot_start_leave_the_keys_and_can_be_tried_again(
    app_of, small_throw, text_of
):
    mended = []

    def decoder():
        if not mended:
            raise OSError("No voice model in the folder: give another.")
        return ToneDecoder()

    class Silence:
        trouble = ""

        def open(self):
            pass

        def read(self):
            time.sleep(0.02)
            return b""

        def close(self):
            pass

    app = app_of(small_throw, ears=Ears(Silence(), decoder))
    async with app.run_test() as pilot:
        await pilot.pause(0.5)
        assert "No voice model in the folder" in text_of(app)
        assert "ears lost, keys work" in text_of(app)
        mended.append(True)
        await pilot.press(*word(Action.START_LISTENING).keys)
        await pilot.pause(0.5)
        assert "ears open" in text_of(app)
        await pilot.press("space")
        assert app.row_screen.work.state.at == 1


def _save(path, sound):
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(sound)
    return path


async def test_a_recording_is_heard_at_the_pace_of_speech(app_of, small_throw, tmp_path, text_of):
    sound = scene(1.0, say("row done"), 0.8, say("row hum"), 1.0)
    path = _save(tmp_path / "said.wav", sound)
    ears = Ears(Recording(path), ToneDecoder)
    app = app_of(small_throw, ears=ears)
    async with app.run_test() as pilot:
        for _ in range(60):
            await pilot.pause(0.1)
            if "not a whole phrase" in text_of(app):
                break
        assert app.row_screen.work.state.at == 1
        assert "heard “row hum”: not taken (not a whole phrase)" in text_of(app)
        assert "ears open" in text_of(app)
    assert not ears.listening  # the app closed them when it ended


@pytest.mark.system
def test_a_voice_in_a_real_microphone_stream_brings_the_next_row(pulse, tmp_path, small_throw):
    """sounddevice, gate, Vosk with the shipped model, guard, make, screen: the whole path."""
    program = subprocess.Popen(
        [sys.executable, "-m", "tests.screens.hearing_app", str(tmp_path), small_throw],
        env=pulse.env,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        assert program.stdout.readline().strip() == "ears open"
        sound, rate = soundfile.read(demo_recording(), dtype="int16", stop=_FIRST_WORD)
        soundfile.write(tmp_path / "said.wav", sound, rate)
        pulse.speak(str(tmp_path / "said.wav"))
        shown = program.communicate(timeout=60)[0]
    finally:
        program.kill()
    assert "Row 1, right to left: knit 5." in shown
    assert "heard “row done”" in shown
