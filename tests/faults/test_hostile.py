"""Nothing that a file, a name, a note or a device says is anything but text, wherever it is shown.

The whole table, with as many texts as are wanted, is `python -m tests.faults.hostile 20000`.
"""

import importlib
import os
import pkgutil
import pty
import re
import select
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from textual.screen import Screen

import counter.tui.screens
from engine.keep.store import Store
from engine.plan.planning import script_for
from engine.script import wording
from models.script import Craft
from tests.faults.hostile import screens
from tests.faults.hostile.__main__ import BATCH, a_round
from tests.faults.hostile.commands import commands, run
from tests.faults.hostile.makes import plan
from tests.faults.hostile.marks import Shown, faults, unseen
from tests.faults.hostile.paper import paper
from tests.faults.hostile.texts import KNOWN, TEXTS, Supply
from tests.times import times

pytest.importorskip("typst", reason="pip install 'spokenrow[paper]'")
KEPT = Path(__file__).parent / "kept" / "hostile-makes.db"
"""Two makes full of codes and brackets, written by the release before they were made legible."""


def test_every_known_text_once_through_all_places(tmp_path: Path) -> None:
    supply = Supply(KNOWN.values())
    shown = a_round(tmp_path, supply)
    assert supply.given >= len(KNOWN)
    assert [fault for one in shown for fault in faults(one)] == []


def test_no_screen_is_left_out() -> None:
    names = (m.name for m in pkgutil.iter_modules(counter.tui.screens.__path__))
    modules = [importlib.import_module(f"counter.tui.screens.{name}") for name in names]
    ours = {
        kind.__name__
        for module in modules
        for kind in vars(module).values()
        if isinstance(kind, type)
        and issubclass(kind, Screen)
        and kind.__module__ == module.__name__
    }
    # forms are shown by those that fill them in; the ears alone fill a spoken note
    assert ours - vars(screens).keys() == {"PlanForm", "SpokenNote"}


@pytest.mark.parametrize(
    ("note", "begun"),
    [("ü [MC]", "Ü [MC]"), ("ßx", "ßx"), ("a{0}", "A{0}"), ("ŉ", "ŉ"), ("9", "9")],
)
def test_a_note_begins_as_a_sentence_and_keeps_its_letters(note: str, begun: str) -> None:
    step = script_for(plan("x")).steps[1].model_copy(update={"note": note})
    assert wording.text(step, Craft.LOOP).endswith(f" {begun}.")


@settings(
    max_examples=times(1), database=None, deadline=None, phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
@given(st.lists(TEXTS, min_size=BATCH, max_size=BATCH))
def test_made_texts_through_commands_and_paper(
    tmp_path_factory: pytest.TempPathFactory, texts: list[str]
) -> None:
    supply = Supply(texts)
    shown = [*commands(tmp_path_factory.mktemp("made"), supply), *paper(supply)]
    assert [fault for one in shown for fault in faults(one)] == []


@pytest.mark.parametrize(
    "shown",
    [
        Shown("a code", "red \x1b[31m"),
        Shown("a direction", "x\u202e"),
        Shown("no width", "x\u200b"),
        Shown("lost brackets", "Use yarn", ["Use [red] yarn"]),
        Shown("a button", "press", odd=["can be pressed"]),
    ],
    ids=lambda shown: shown.place,
)
def test_the_marks_know_what_is_more_than_text(shown: Shown) -> None:
    assert faults(shown)


def test_texts_that_are_shown_in_signs_pass() -> None:
    for text in KNOWN.values():
        signs = "".join("�" if unseen(letter) or letter == "\n" else letter for letter in text)
        assert faults(Shown("signs", signs, [text])) == []


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A folder as the release before left it."""
    shutil.copy(KEPT, tmp_path / "makes.db")
    return tmp_path


def test_a_journal_full_of_codes_still_opens_and_shows_signs(old: Path) -> None:
    with Store(old / "makes.db") as store:
        begun, events = store.load("old-throw")
        assert begun.plan.title == "[@click=app.quit]Throw[/]␛[2J␊[/2 colours]"
        assert len(events) == 4
        assert store.load("old-scarf")[0].plan.title == "Scarf [/MC]␛]0;own␇�"
    code, out = run("--data", str(old), "log", "old-throw")
    assert (code, out.count("\n"), unseen(out)) == (0, 4, [])
    assert "note          text Use [red] yarn␛[31m␛]0;own␇ [/MC]␊2026-01-01" in out
    code, out = run("--data", str(old), "verify")
    assert (code, unseen(out)) == (0, [])
    code, out = run("--data", str(old), "plain", "old-scarf", typed="w\n")
    assert (code, unseen(out)) == (0, [])
    assert (
        "Use [red] yarn [2 balls], then [MC] here␛[31m"
        in run("--data", str(old), "write", "old-scarf")[1]
    )


def test_what_is_counted_goes_on_in_such_a_journal(old: Path) -> None:
    code, out = run("--data", str(old), "plain", "old-throw", typed=" \nnote mine\nq\n")
    assert (code, unseen(out)) == (0, [])
    with Store(old / "makes.db") as store:
        assert store.health == ()
        assert len(store.load("old-throw")[1]) == 6


SEQUENCE = re.compile(
    rb"\x1b(?:\[[0-?]*[ -/]*[@-~]|[()*+][0-9A-Za-z]|[=>78cDEHMNOZ]|\][^\x07\x1b]*(?:\x07|\x1b\\)"
    rb"|[PX^_][^\x1b]*\x1b\\)"
)
"""Source: ECMA-48, 5.4 and 5.6."""


@pytest.mark.skipif(
    sys.platform == "win32", reason="run the tests where there are pseudo-terminals"
)
def test_the_terminal_is_told_nothing_but_where_to_draw(old: Path) -> None:
    """No title, no link, no clipboard: the pointer's shape is all that Textual asks for."""
    master, slave = pty.openpty()
    command = ["--data", str(old), "app", "--make", "old-scarf", "--no-ears", "--quiet"]
    app = subprocess.Popen(
        [sys.executable, "-m", "counter", *command],
        stdin=slave, stdout=slave, stderr=slave, close_fds=True,
        env={**os.environ, "TERM": "xterm-256color", "COLUMNS": "100", "LINES": "40"},
    )  # fmt: skip
    os.close(slave)
    sent, out, end = list(b"j\x1bn"), b"", time.monotonic() + 60
    while time.monotonic() < end and app.poll() is None:
        ready, _, _ = select.select([master], [], [], 1.0)
        if ready:
            try:
                out += os.read(master, 65536)
            except OSError:
                break
        elif sent and b"Scarf" in out:
            os.write(master, bytes([sent.pop(0)]))
        elif not sent:
            app.terminate()
    app.wait(20)
    os.close(master)
    assert b"[/MC]" in out
    assert "␛]0;own␇".encode() in out
    told = SEQUENCE.findall(out)
    assert {one for one in told if one[1:2] in b"]PX^_"} <= {b"\x1b]22;default\x07"}
    assert {bytes(one[1:2]) for one in told} <= {b"[", b"]", b"(", b"=", b">", b"7", b"8"}
    rest = SEQUENCE.sub(b"", out).decode()
    assert set(unseen(rest)) <= {"'\\r'", "'\\t'"}
