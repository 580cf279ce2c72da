"""The app moved by voice: what was heard, whether it was taken, and why not."""

import json
import subprocess
import sys
import time
import wave
from pathlib import Path

import numpy as np
import pytest
import soundfile
from textual.widgets import Select

from counter.shared.recordings import demo_recording
from counter.shared.settings import Asked, Readback, Settings, save
from counter.sound.listening import Ears, EarsHeard, EarsState, Recording
from counter.tui.host import FromEars
from engine.base.refusal import Refusal
from engine.ears.fluency import Fluency, model_for
from engine.ears.recogniser import Recogniser
from engine.plan.planning import make_plan, read_gauge
from engine.words.vocabulary import word
from models.command import Action, Command, Context, Heard
from models.script import Kind
from tests.ears.languages import korean_model, needs_espeak
from tests.ears.tone_words import ToneDecoder, say, scene
from tests.recording import RATE, room, spoken

_FIRST_WORD = round(3.3 * 16_000)
"""Samples of the demo's recording that hold its first command, "row done", and quiet around it."""


def whole(language):
    """A voice model that knows every word."""
    return Fluency(folder=Path("a-model"), language=language)


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
            self.aloud = []
            self.app.voice.answer = lambda outcome, said, **_: self.aloud.append(
                said or outcome.tone.value
            )

        async def __call__(self, pilot, *utterances):
            for utterance in utterances:
                self.app.post_message(FromEars(EarsHeard(utterance)))
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
        quick = heard(
            "row done", Action.ADVANCE, reason="that was quick: does it count?", asks=True
        )
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


async def test_a_number_that_does_not_fit_is_said_with_why_and_the_dialog_stays(hear, text_of):
    async with hear.app.run_test(size=(80, 24)) as pilot:
        await pilot.press("space", "d")
        await pilot.pause()
        await hear(pilot, heard("forty", Action.MEASURED, 40.0))
        assert "there is no number 40" in text_of(hear.app)
        assert "Which loop was dropped?" in text_of(hear.app)
        await hear(pilot, heard("[unk]", reason="none of the words"))
        assert "heard “…”: not taken (none of the words)" in text_of(hear.app)
        await hear(pilot, heard("[unk]", reason="none of the words"))
        assert "· once more" in text_of(hear.app)
        await hear(pilot, heard("four", Action.MEASURED, 4.0))
        assert [mark.loop for mark in hear.state.open_marks] == [4]


@pytest.mark.parametrize(
    ("words", "action", "asks"),
    [
        ("measured", Action.MEASURED, "What does the tape say"),
        ("rip back", Action.RIP_BACK, "Rip back how many rows?"),
        ("more rows", Action.MORE_ROWS, "How many rows more"),
    ],
)
async def test_a_word_without_its_number_asks_for_it(hear, text_of, words, action, asks):
    """On the screen and aloud: who spoke looks at her hands."""
    hear.app.settings = Settings(readback=Readback.FULL)
    async with hear.app.run_test() as pilot:
        await hear(pilot, heard("row done", Action.ADVANCE))
        await hear(pilot, heard(words, action))
        assert asks in text_of(hear.app)
        assert asks in hear.aloud[-1]
        assert hear.app.situation().context is Context.NUMBER
        await hear(pilot, heard("no", Action.NO))
        assert hear.aloud[-1] == "Left as it was."


@pytest.mark.parametrize("size", [(40, 15), (80, 24), (120, 40)])
async def test_one_row_that_adds_two_says_why_on_the_line_that_is_seen(
    app_of, store, text_of, size
):
    store.create("cardigan", make_plan("cardigan", read_gauge("5 x 3.75"), size="M"))
    app = app_of("cardigan")
    async with app.run_test(size=size) as pilot:
        await pilot.press("space")
        app.post_message(FromEars(EarsHeard(heard("one more row", Action.MORE_ROWS, 1.0))))
        await pilot.pause()
        said = " ".join(text_of(app).split())
        assert "2 rows are added, not 1: its rows come in pairs" in said


async def test_a_choice_without_its_number_asks_which_and_reads_them_out(hear, text_of):
    hear.app.settings = Settings(readback=Readback.FULL)
    async with hear.app.run_test(size=(80, 24)) as pilot:
        await hear(pilot, heard("choice", Action.CHOOSE))
        assert hear.app.screen is hear.app.row_screen  # nothing to choose from
        while hear.state.step.kind is not Kind.MEASURE:
            hear.app.row_screen.work.do(Command(action=Action.ADVANCE), 1.0)
        await hear(pilot, heard("measured forty", Action.MEASURED, 40.0))
        assert hear.state.open_verdict
        await hear(pilot, heard("choice", Action.CHOOSE))
        assert "Which choice?" in text_of(hear.app)
        assert "Which choice? Choice 1: " in hear.aloud[-1]
        assert hear.app.situation().context is Context.NUMBER
        await hear(pilot, heard("nine", Action.MEASURED, 9.0))
        assert "Which choice?" in text_of(hear.app)
        assert "There are 2 choices: " in hear.aloud[-1]


async def test_what_moved_stays_said_when_the_breath_goes_on(hear, text_of):
    async with hear.app.run_test() as pilot:
        await hear(pilot, heard("row done", Action.ADVANCE))
        await hear(pilot, heard("[unk] am i", reason="other words stood around it"))
        shown = text_of(hear.app)
        assert "✓ heard “row done”" in shown
        assert "✗ heard “… am i”: not taken" in shown
        await hear(pilot, heard("[unk] am i", reason="other words stood around it"))
        assert "· once more" in text_of(hear.app)


class Silence:
    """A microphone in an empty room; its `trouble` can be set."""

    def __init__(self):
        self.trouble = ""
        self.breaks = 0

    def open(self):
        pass

    def read(self):
        time.sleep(0.02)
        return b""

    def close(self):
        pass


async def until(pilot, true, tries=100):
    for _ in range(tries):
        if true():
            return
        await pilot.pause(0.05)
    raise AssertionError("it did not come")


class Pieces(Silence):
    """A microphone that gives sound as quickly as it is asked for, up to a place; then waits."""

    def __init__(self, sound):
        super().__init__()
        self._sound, self.at, self.to = sound, 0, 0

    def read(self):
        if self.at >= min(self.to, len(self._sound)):
            return super().read()
        piece = self._sound[self.at : self.at + 640]
        self.at += len(piece)
        return piece


@pytest.mark.parametrize("whole_word", [True, False])
async def test_a_word_said_while_we_speak_is_answered_afterwards_if_it_was_heard_whole(
    app_of, small_throw, text_of, whole_word
):
    """Held back while we speak, and said to be; then heard, or not, by what is left of it."""
    sound = scene(1.0, say("row done"), 2.0)
    said_until = 2 * round(1.8 * RATE)
    microphone, held, speaking = Pieces(sound), [], [True]

    def without_ours(pcm, _at_s):
        if speaking[0]:
            held.append(pcm)
            return []
        given = [(piece, not whole_word) for piece in held] + [(pcm, False)]
        held.clear()
        return given

    app = app_of(small_throw, ears=Ears(microphone, whole, lambda _model: ToneDecoder()))
    app.voice.without_ours = without_ours
    async with app.run_test() as pilot:
        await until(pilot, lambda: "I listen" in text_of(app))
        microphone.to = said_until
        await until(pilot, lambda: microphone.at >= said_until)
        await until(pilot, lambda: "I speak, then listen" in text_of(app))
        assert app.row_screen.work.state.at == 0
        speaking[0], microphone.to = False, len(sound)
        await until(pilot, lambda: microphone.at >= len(sound))
        await until(pilot, lambda: "I listen" in text_of(app))
        if whole_word:
            await until(pilot, lambda: app.row_screen.work.state.at == 1)
            assert "heard “row done”" in text_of(app)
        else:
            await pilot.pause(0.2)
            assert app.row_screen.work.state.at == 0
            assert "heard" not in text_of(app)


async def test_a_dialog_offers_to_hear_a_number_only_while_something_hears(
    app_of, small_throw, text_of
):
    offer = "or say the number"
    app = app_of(small_throw)
    async with app.run_test() as pilot:
        await pilot.press("space", "d")
        await pilot.pause()
        assert "Which loop was dropped?" in text_of(app)
        assert offer not in text_of(app)
    microphone = Silence()
    app = app_of(small_throw, ears=Ears(microphone, whole, lambda _model: ToneDecoder()))
    async with app.run_test() as pilot:
        await until(pilot, lambda: "I listen" in text_of(app))
        await until(pilot, lambda: "say “row done”" in text_of(app))
        await pilot.press("d")
        await pilot.pause()
        assert offer in text_of(app)
        microphone.trouble = "The microphone is gone."
        await until(pilot, lambda: offer not in text_of(app))
        microphone.trouble = ""
        await until(pilot, lambda: offer in text_of(app))
        await pilot.press("escape", "z", "d")
        await pilot.pause()
        assert offer not in text_of(app)  # she has closed them
        await pilot.press("escape", "z", "o")
        await pilot.pause()
        assert "Your note" in text_of(app)
        assert offer not in text_of(app)  # a note is typed


async def test_other_words_are_learnt_at_once_and_kept(app_of, small_throw, tmp_path, text_of):
    asked = []

    def find(language):
        asked.append(language)
        if language == "fr":
            raise Refusal("No voice model here speaks it: fetch one.")
        return whole(language)

    app = app_of(small_throw, ears=Ears(Silence(), find, lambda _model: ToneDecoder()))
    async with app.run_test(size=(120, 40)) as pilot:

        async def choose(language):
            await pilot.press("g")
            await pilot.pause()
            app.screen.query_one("#language", Select).value = language
            await pilot.press("escape")
            await pilot.pause()

        await until(pilot, lambda: "I listen" in text_of(app))
        await choose("de")
        await until(pilot, lambda: asked == ["en", "de"] and "I listen" in text_of(app))
        await pilot.press("question_mark")
        await pilot.pause()
        assert "reihe fertig" in text_of(app)
        await pilot.press("escape")
        await choose("fr")
        await until(pilot, lambda: "No voice model here speaks it" in text_of(app))
        assert "not hearing, keys work" in text_of(app)
        await pilot.press("space")
        assert app.row_screen.work.state.at == 1
        await choose("en")  # the ears come back by themselves
        await until(pilot, lambda: "I listen" in text_of(app))
        assert "not hearing" not in text_of(app)
        await choose("de")
        assert json.loads((tmp_path / "settings.json").read_text())["language"] == "de"


async def test_what_a_model_cannot_hear_is_told(app_of, small_throw, tmp_path, text_of):
    """Korean has no attention word, and this model lacks a word of it."""
    save(tmp_path / "settings.json", Settings(attention=True))

    def find(language):
        return Fluency(folder=Path("a-model"), language=language, missing=("수선",))

    ears = Ears(Silence(), find, lambda _model: ToneDecoder())
    app = app_of(small_throw, ears=ears, asked=Asked(language="ko"))
    async with app.run_test(size=(120, 40)) as pilot:
        await until(pilot, lambda: "I listen" in text_of(app))
        await pilot.pause()
        told = " ".join(note.message for note in app._notifications)
        assert "does not know 수선" in told
        assert "have no attention word" in told


@needs_espeak
@pytest.mark.system
async def test_a_korean_voice_is_answered(app_of, small_throw, tmp_path, text_of):
    """Recording, gate, the Korean Vosk model, guard, make, screen."""
    korean_model()
    sound = np.concatenate([np.zeros(RATE), 0.6 * spoken("지금 위치", "ko"), np.zeros(RATE)])
    soundfile.write(tmp_path / "said.wav", sound + room(len(sound) / RATE)[: len(sound)], RATE)
    save(tmp_path / "settings.json", Settings(language="ko"))
    ears = Ears(
        Recording(tmp_path / "said.wav"),
        lambda language: model_for(language, tmp_path),
        lambda model: Recogniser(model.folder, model.language),
    )
    app = app_of(small_throw, ears=ears)
    async with app.run_test() as pilot:
        await until(pilot, lambda: "heard “지금 위치”" in " ".join(text_of(app).split()), 600)
        assert "✓ heard" in text_of(app)


async def test_ears_that_cannot_start_leave_the_keys_and_can_be_tried_again(
    app_of, small_throw, text_of
):
    mended = []

    def decoder():
        if not mended:
            raise OSError("No voice model in the folder: give another.")
        return ToneDecoder()

    app = app_of(small_throw, ears=Ears(Silence(), whole, lambda _model: decoder()))
    async with app.run_test() as pilot:
        await pilot.pause(0.5)
        assert "No voice model in the folder" in text_of(app)
        assert "not hearing, keys work" in text_of(app)
        mended.append(True)
        await pilot.press(*word(Action.START_LISTENING).keys)
        await pilot.pause(0.5)
        assert "I listen" in text_of(app)
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
    ears = Ears(Recording(path), whole, lambda _model: ToneDecoder())
    app = app_of(small_throw, ears=ears)
    async with app.run_test() as pilot:
        for _ in range(60):
            await pilot.pause(0.1)
            if "not a whole phrase" in text_of(app):
                break
        assert app.row_screen.work.state.at == 1
        assert "heard “row hum”: not taken (not a whole phrase)" in text_of(app)
        assert "I listen" in text_of(app)
    assert not ears.listening  # the app closed them when it ended


async def test_what_the_ears_still_say_while_the_app_ends_does_no_harm(
    app_of, small_throw, monkeypatch
):
    """Their messages wait in a queue, which Textual empties while it takes the screens apart."""
    app = app_of(small_throw, ears=Ears(Silence(), whole, lambda _model: ToneDecoder()))
    close_all, late = app._close_all, []

    async def close_all_and_hear():
        await close_all()
        app.on_from_ears(FromEars(EarsState(0.5)))
        app.on_from_ears(FromEars(EarsHeard(heard("row done", Action.ADVANCE))))
        late.append("heard")

    monkeypatch.setattr(app, "_close_all", close_all_and_hear)
    async with app.run_test() as pilot:
        await pilot.pause(0.3)
    assert late == ["heard"]


@pytest.mark.system
def test_a_voice_in_a_real_microphone_stream_brings_the_next_row(pulse, tmp_path, small_throw):
    """sounddevice, gate, Vosk with the shipped model, guard, make, screen: the whole path."""
    program = subprocess.Popen(
        [sys.executable, "-m", "tests.tui.hearing_app", str(tmp_path), small_throw],
        env=pulse.env,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        assert program.stdout.readline().strip() == "I listen"
        sound, rate = soundfile.read(demo_recording(), dtype="int16", stop=_FIRST_WORD)
        soundfile.write(tmp_path / "said.wav", sound, rate)
        pulse.speak(str(tmp_path / "said.wav"))
        shown = program.communicate(timeout=60)[0]
    finally:
        program.kill()
    assert "Row 1, right to left: knit 5." in shown
    assert "heard “row done”" in shown
