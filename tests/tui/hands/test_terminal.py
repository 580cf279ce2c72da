"""The app in a real terminal, with keys only."""

import os
import shlex
import shutil
import signal
import sys

import pytest

from engine.keep.store import Store
from engine.plan.planning import script_for
from tests.tui.hands.test_pasting import LONG, ROWS
from tests.tui.terminal import INSTALL, Terminal

pytestmark = [
    pytest.mark.system,
    pytest.mark.skipif(shutil.which("tmux") is None, reason=INSTALL),
]


@pytest.fixture
def terminal(tmp_path):
    terminal = Terminal(tmp_path)
    yield terminal
    terminal.close()


def test_keys_move_a_make_in_a_terminal(terminal, tmp_path, store, small_throw):
    terminal.start("--data", tmp_path, "--make", small_throw, "--no-ears", "--quiet")
    terminal.wait_for("Foundation: count 5 loops")
    terminal.press("Space")
    terminal.wait_for("Row 1, right to left: knit 5.")
    terminal.press("Space")
    terminal.wait_for("Row 2, left to right: knit 5.")
    terminal.press("u")
    terminal.wait_for("Row 1, right to left: knit 5.")
    terminal.press("q")
    terminal.wait_for("go on with it")
    terminal.press("q")
    terminal.wait_for("left with 0")
    assert [e.kind for e in Store(tmp_path / "makes.db").load(small_throw)[1]] == [
        "advance",
        "advance",
        "undo",
    ]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_leaves_the_terminal_as_it_was(terminal, tmp_path, small_throw, number):
    terminal.start("--data", tmp_path, "--make", small_throw, "--no-ears", "--quiet")
    terminal.wait_for("Foundation")
    assert terminal.flags() == ["1", "0"]
    os.kill(terminal.child(), number)
    terminal.wait_for(f"left with {128 + number}")
    assert terminal.flags() == ["0", "1"]


def test_a_killed_app_has_lost_nothing_that_it_showed(terminal, tmp_path, small_throw):
    arguments = ("--data", tmp_path, "--make", small_throw, "--no-ears", "--quiet")
    terminal.start(*arguments)
    terminal.wait_for("Foundation")
    terminal.press("Space")
    terminal.wait_for("Row 1")
    os.kill(terminal.child(), signal.SIGKILL)
    terminal.wait_for("left with 137")
    other = tmp_path / "again"
    other.mkdir()
    again = Terminal(other).start(*arguments)
    try:
        again.wait_for("Row 1")
    finally:
        again.close()


def test_ctrl_z_gives_the_shell_and_fg_the_row(terminal, tmp_path, small_throw):
    app = [sys.executable, "-m", "counter", "--data", str(tmp_path), "--make", small_throw]
    terminal.shell()
    terminal.type(shlex.join([*app, "--no-ears", "--quiet"]))
    terminal.wait_for("count 5 loops")
    terminal.press("C-z")
    terminal.wait_for("Stopped")
    assert terminal.flags() == ["0", "1"]
    terminal.type("fg")
    terminal.wait_for("count 5 loops")
    terminal.press("Space")
    terminal.wait_for("Row 1, right to left: knit 5.")
    terminal.press("C-q")
    terminal.wait_for("Stopped")


def test_the_demo_is_moved_by_a_recorded_voice(terminal):
    terminal.start("demo", "--hear")
    terminal.wait_for("Row 3, right to left")
    terminal.wait_for("heard “row done”: right front, row 3 done")
    terminal.wait_for("1 open mark")
    terminal.press("C-q")
    terminal.wait_for("left with 0")


def test_a_held_space_bar_counts_one_row_and_a_comma_is_a_comma(terminal, tmp_path, small_throw):
    terminal.start("--data", tmp_path, "--make", small_throw, "--no-ears", "--quiet")
    terminal.wait_for("Foundation: count 5 loops")
    terminal.hold("Space", 60)
    terminal.wait_for("space is held: it counts once")
    terminal.wait_for("Row 1, right to left: knit 5.")
    terminal.press("Space")
    terminal.wait_for("Row 2, left to right: knit 5.")
    terminal.press("m")
    terminal.wait_for("tape")
    for key in "6,5":
        terminal.press(key)
    terminal.press("Enter")
    terminal.wait_for("6.5 cm after 1 row cannot be")  # read as it was typed, and no 65
    terminal.press("Escape")
    terminal.wait_for("What does the tape say", gone=True)
    terminal.press("q")
    terminal.wait_for("go on with it")
    terminal.press("q")
    terminal.wait_for("left with 0")
    made = Store(tmp_path / "makes.db").load(small_throw)[1]
    assert [event.kind for event in made] == ["advance", "advance"]


def test_a_pattern_of_four_hundred_rows_is_pasted_and_none_is_lost(terminal, tmp_path):
    terminal.start("--data", tmp_path)
    terminal.wait_for("practice piece")
    terminal.press("n")
    terminal.wait_for("What will it be?")
    terminal.press("End")
    terminal.press("Up")
    terminal.press("Enter")
    terminal.wait_for("Paste the pattern here")
    terminal.paste(LONG)
    terminal.wait_for("BO")
    terminal.press("C-s")
    terminal.wait_for(f"Read: {ROWS} rows")
    terminal.wait_for("Nothing is left over")
    terminal.press("C-s")
    terminal.wait_for("Long strip")
    with Store(tmp_path / "makes.db") as store:
        rows = [s for s in script_for(store.load("long-strip")[0].plan).steps if s.counts_row]
    assert [row.row for row in rows] == list(range(1, ROWS + 1))
