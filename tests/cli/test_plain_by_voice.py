"""`plain NAME --listen` without a microphone of its own: what is heard, said aloud and done."""

from types import SimpleNamespace

import pytest

from counter.cli import plain_session
from counter.commandline import main
from counter.shared.settings import Readback, Settings, save, settings_path
from counter.sound.listening import EarsNote
from engine.keep.store import Store
from engine.make import progress
from engine.words.phrases import phrase_book
from models.command import Context, Heard


class Voice:
    """Keeps what is read out."""

    said: list[str]

    def __init__(self, *, quiet=False):
        self.said, Voice.last = [], self
        self.quiet = quiet

    def answer(self, outcome, said, *, heard_nothing=False):
        self.said.append("" if heard_nothing else said)

    def use(self, _settings):
        pass

    def prepare(self, _texts):
        pass

    speaking = False


class Live:
    """Hears one phrase after the other, in the context that holds then, whatever lines there are.

    `notes` is what stands beside it: after each phrase, what was said aloud since the one before.
    """

    phrases: list[str]
    notes: dict[str, str]

    def __init__(self, ears, voice, situation):
        self.ears, self.voice, self._situation = ears, voice, situation

    def items(self, _lines, *, until_they_end):
        Live.notes = {}
        for phrase in Live.phrases:
            self.voice.said.clear()
            if phrase.startswith("("):
                yield EarsNote(bytes(32_000))
            else:
                yield self._heard(phrase)
            Live.notes[phrase] = " / ".join(filter(None, self.voice.said))

    def _heard(self, phrase):
        context = self._situation().context
        assert context is not Context.ASLEEP or phrase == "start listening"
        command = phrase_book("en").read(phrase, context).command
        return Heard(
            start_s=1.0, end_s=1.5, decided_s=1.7, heard=phrase, confidence=1.0, command=command,
            taken=command is not None, reason="" if command else "none of the words",
        )  # fmt: skip


@pytest.fixture
def evening(monkeypatch, tmp_path):
    """Says phrases to a throw of five loops; gives what was read out after each, and the state."""
    ears = SimpleNamespace(microphone=None, ask_attention=lambda _: "", take_note=lambda: None)
    monkeypatch.setattr(plain_session, "Voice", Voice)
    monkeypatch.setattr(plain_session, "Live", Live)
    monkeypatch.setattr(plain_session, "ears_from", lambda *_: ears)

    def run(*phrases, settings=None):
        folder = ["--data", str(tmp_path)]
        main([*folder, "start", "throw", "--width", "10", "--height", "20"])
        if settings is not None:
            save(settings_path(tmp_path), settings)
        Live.phrases = list(phrases)
        assert main([*folder, "plain", "throw", "--listen"]) == 0
        with Store(tmp_path / "makes.db") as store:
            state = progress.fold(*store.load("throw"))
        return Live.notes, state

    return run


def test_whole_rows_are_read_out_unless_she_wants_less(evening, capsys):
    """With the screen off nothing else tells of the next row: it is on from the beginning."""
    said, state = evening(
        "row done", "where am i", "[unk]", "read briefly", "take back", "be quiet", "say again",
        "read aloud", "leave the program", "row done",
    )  # fmt: skip
    assert said["row done"] == "Throw. Row 1, right to left: knit 5."
    assert said["where am i"].startswith("Throw, row 1")
    assert said["[unk]"] == ""  # it may have been our own voice
    assert said["read briefly"] == "It is read out."
    assert said["be quiet"] == "Nothing is read out any more."
    assert "Count 5 loops" in said["say again"]  # who asks is answered
    assert "leave the program" not in said
    assert state.at == 0
    out = capsys.readouterr().out
    assert "Heard: ….\nNot" not in out
    assert "throw is on the shelf." in out


def test_what_she_set_herself_is_kept(evening):
    said, _ = evening("row done", settings=Settings(readback=Readback.SHORT))
    assert said["row done"] == "Row 1, to the left. Knit 5."


def test_numbers_questions_and_notes_by_word_alone(evening):
    said, state = evening(
        "row done", "row done", "rip back", "ninety", "no", "take a note", "(she speaks)",
        "change the make", "three", "sixty", "no", "measured", "stop listening", "start listening",
        "show the journal", "close the page",
    )  # fmt: skip
    assert said["rip back"] == "Rip back how many rows?"
    assert "Only" in said["ninety"]
    assert said["take a note"] == "Speak; a little quiet ends it."
    assert "spoken note" in said["(she speaks)"]
    assert said["change the make"].startswith("What has changed? 1, the gauge; 2, Width;")
    assert said["three"].startswith("Height, in centimetres?")
    assert said["sixty"].startswith("60. What is worked stays.")
    assert said["measured"] == "What does the tape say?"
    assert "spoken note, 1 s" in said["show the journal"]
    assert said["close the page"]
    assert state.at == 2
    assert [note.seconds for note in state.notes] == [1.0]
