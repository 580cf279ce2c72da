"""Spoken notes on disk: kept whole, told where they are not, gone with the make."""

import json
import os
import re
import stat
import sys
from datetime import datetime

import pytest

from counter.paper.document import sheet
from counter.shared.settings import Settings
from counter.shared.work import open_work
from engine.base.refusal import Refusal
from engine.keep import exchange, notes, restore, shelving
from engine.keep.store import Store
from engine.keep.verify import verify
from engine.make.history import entries
from models.command import Action, Command
from models.event import Advanced, Noted
from tests.keep.conftest import BEGAN, a_plan

VOICE = bytes(range(256)) * 250
"""Two seconds of something."""


@pytest.fixture
def store(tmp_path):
    with Store(tmp_path / "mine" / "makes.db") as opened:
        opened.create("throw", a_plan(), [Advanced(at=BEGAN, step=1)])
        yield opened


@pytest.fixture
def noted(store):
    """The make with one spoken note: the work and the digest."""
    work = open_work(store, "throw", Settings(), timed=False)
    assert work.keep_note(VOICE, BEGAN + 100).taken
    return work, work.note()[1].sound


def files(store):
    return sorted(path.relative_to(store.folder).as_posix() for path in store.folder.rglob("*.wav"))


def check_of(store, name="throw"):
    return next(c for c in verify(store, name).checks if c.what == "spoken notes")


def test_it_is_kept_beside_the_row_and_comes_back_as_it_was(store, noted):
    work, digest = noted
    assert work.note()[0] == VOICE
    assert len(files(store)) == 2
    assert all(name.endswith(f"{digest}.wav") for name in files(store))
    last = entries(work.making.begun, work.making.events)[-1]
    assert last.text == "a spoken note, 2 s"
    (note,) = work.state.notes
    assert (note.at, note.seconds) == (BEGAN + 100, 2.0)
    at = datetime.fromtimestamp(note.at)
    shown = f"spoken on {at.day} {at:%B %Y} at {at:%H:%M}, 2 s"
    assert shown in dict(sheet([(work.state.plan, work.state.script)], work.state).facts)["Notes"]
    assert check_of(store).sound


@pytest.mark.skipif(sys.platform == "win32", reason="there a user's folder is the user's")
def test_it_is_its_owners_alone(store, noted):
    for name in files(store):
        assert stat.S_IMODE((store.folder / name).stat().st_mode) == 0o600


def test_no_more_than_half_a_minute_is_kept(store):
    work = open_work(store, "throw", Settings(), timed=False)
    assert work.keep_note(bytes(2 * 16_000 * 40), BEGAN + 100).taken
    assert len(work.note()[0]) == 2 * 16_000 * 30


def test_a_damaged_file_is_read_from_the_backups(store, noted):
    work, _ = noted
    first = store.folder / files(store)[-1]
    first.write_bytes(b"RIFF" + os.urandom(40))
    assert work.note()[0] == VOICE
    assert check_of(store).sound


@pytest.mark.parametrize("harm", ["missing", "damaged", "empty"])
def test_one_that_is_lost_is_told_and_the_make_goes_on(store, noted, harm):
    work, _ = noted
    for name in files(store):
        path = store.folder / name
        if harm == "missing":
            path.unlink()
        else:
            path.write_bytes(b"" if harm == "empty" else b"no sound")
    with pytest.raises(Refusal, match=r"damaged|not there any more"):
        work.note()
    assert not check_of(store).sound
    assert work.do(Command(action=Action.ADVANCE), BEGAN + 200).taken


def test_a_note_taken_back_is_gone_and_the_others_stay(store, noted):
    work, first = noted
    assert work.keep_note(VOICE[::-1], BEGAN + 101).taken
    assert len(files(store)) == 4
    assert work.do(Command(action=Action.TAKE_BACK), BEGAN + 102).taken
    assert [name[-68:-4] for name in files(store)] == [first, first]
    assert work.note()[0] == VOICE
    assert work.do(Command(action=Action.TAKE_BACK), BEGAN + 103).taken
    assert files(store) == []


def test_it_goes_with_the_make(store, noted):
    store.release("throw")
    shelving.throw_out(store, "throw", now=BEGAN)
    assert len(files(store)) == 2  # there is a way back for a month
    assert shelving.clear(store, BEGAN + 31 * 86_400) == ["throw"]
    assert files(store) == []


def test_it_comes_along_under_another_name(store, noted):
    store.release("throw")
    fresh = shelving.rename(store, "throw", "Sunday throw")
    assert open_work(store, fresh, Settings(), timed=False).note()[0] == VOICE
    assert len(files(store)) == 2


def test_it_comes_along_in_a_file_and_back(store, noted, tmp_path):
    text = exchange.export_text(store, "throw")
    with Store(tmp_path / "other" / "makes.db") as other:
        name = exchange.import_text(other, text)
        assert open_work(other, name, Settings(), timed=False).note()[0] == VOICE
        assert check_of(other, name).sound


@pytest.mark.parametrize("harm", ["short", "other", "no base64", "long"])
def test_a_false_sound_in_a_file_is_refused_and_nothing_is_kept(store, noted, tmp_path, harm):
    data = json.loads(exchange.export_text(store, "throw"))
    (digest,) = data["sounds"]
    whole = data["sounds"][digest]
    data["sounds"][digest] = {
        "short": whole[:400],
        "other": "AAAA",
        "no base64": "?" * 80,
        "long": "AAAA" * 600_000,
    }[harm]
    with Store(tmp_path / "other" / "makes.db") as other:
        with pytest.raises(Refusal, match="spoken note"):
            exchange.import_text(other, json.dumps(data))
        assert other.names() == []
        assert files(other) == []


def test_a_sound_that_no_note_names_is_not_kept(store, noted, tmp_path):
    data = json.loads(exchange.export_text(store, "throw"))
    data["sounds"]["ab" * 32] = "AAAA"
    with Store(tmp_path / "other" / "makes.db") as other:
        exchange.import_text(other, json.dumps(data))
        assert len(files(other)) == 2


def test_what_is_restored_beside_has_its_notes(store, noted):
    store.release("throw")
    made = store.chain("throw")
    state = restore.State(
        name="throw", source="readable", actions=1, last_at=None, place="", lines=made
    )
    name = restore.bring_back(store, state, "throw again")
    assert open_work(store, name, Settings(), timed=False).note()[0] == VOICE


def test_a_disk_that_cannot_be_written_is_told_and_nothing_is_counted(store, monkeypatch):
    work = open_work(store, "throw", Settings(), timed=False)
    count = len(work.making.events)

    def full(*_given, **_more):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(notes, "replace", full)
    outcome = work.keep_note(VOICE, BEGAN + 100)
    assert not outcome.taken
    assert "full" in outcome.say
    assert len(work.making.events) == count
    assert files(store) == []


def test_a_digest_names_no_other_file():
    with pytest.raises(ValueError, match="sound"):
        Noted(at=1.0, text="", sound="../../" + "a" * 58)
    assert re.fullmatch(r"[0-9a-f]{64}", Noted(at=1.0, text="", sound="a" * 64).sound)
