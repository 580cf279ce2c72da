"""The terminal itself fails: shrunk to nothing, suspended and resumed, hung up in mid-row."""

import fcntl
import os
import shutil
import signal
import struct
import termios
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from engine.keep.store import Store
from tests.keep.conftest import a_plan
from tests.tui.terminal import INSTALL, Terminal

pytestmark = [
    pytest.mark.system,
    pytest.mark.skipif(shutil.which("tmux") is None, reason=INSTALL),
]
DRAWING, PLAIN = ["1", "0"], ["0", "1"]
"""Alternate screen and cursor, with the app on the terminal and without."""


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    with Store(tmp_path / "makes.db") as store:
        store.create("throw", a_plan())
    made = Terminal(tmp_path)
    made.start("--data", tmp_path, "app", "--make", "throw", "--no-ears", "--quiet")
    made.wait_for("Foundation")
    yield made
    made.close()


def eventually(what: object, wanted: object, seconds: float = 10.0) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if what() == wanted:  # type: ignore[operator]
            return
        time.sleep(0.05)
    assert what() == wanted  # type: ignore[operator]


def rows_done(data: Path) -> int:
    with Store(data / "makes.db") as store:
        return len(store.load("throw")[1])


def resize(terminal: Terminal, columns: int, rows: int) -> None:
    """Tell the program's own terminal a size; tmux itself knows none below one."""
    device = os.open(f"/proc/{terminal.child()}/fd/0", os.O_RDWR | os.O_NOCTTY)
    try:
        fcntl.ioctl(device, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    finally:
        os.close(device)


def advance(terminal: Terminal) -> None:
    """A row done, and yes to the question that so quick a row brings."""
    terminal.press("Space")
    terminal.press("y")


def test_shrunk_to_nothing_it_still_counts(terminal: Terminal, tmp_path: Path) -> None:
    sizes = [(0, 0), (1, 1), (0, 24), (80, 0), (3, 2), (10, 3), (20, 1), (500, 1), (1, 200)]
    for done, (columns, rows) in enumerate(sizes, 1):
        resize(terminal, columns, rows)
        time.sleep(0.1)
        advance(terminal)
        eventually(lambda: rows_done(tmp_path), done)
    resize(terminal, 80, 24)
    terminal.wait_for("Row 9, right to left")


def test_suspended_and_resumed_the_terminal_is_given_back_and_taken_again(
    terminal: Terminal, tmp_path: Path
) -> None:
    child = terminal.child()
    for done in (1, 2):
        assert terminal.flags() == DRAWING
        os.kill(child, signal.SIGTSTP)
        eventually(terminal.flags, PLAIN)
        eventually(lambda: Path(f"/proc/{child}/stat").read_text().split()[2], "T")
        os.kill(child, signal.SIGCONT)
        eventually(terminal.flags, DRAWING)
        advance(terminal)
        eventually(lambda: rows_done(tmp_path), done)


def test_hung_up_it_leaves_the_rows_and_the_terminal(terminal: Terminal, tmp_path: Path) -> None:
    terminal.press("Space")
    eventually(lambda: rows_done(tmp_path), 1)
    os.kill(terminal.child(), signal.SIGHUP)
    terminal.wait_for("left with 129")
    assert terminal.flags() == PLAIN
    assert rows_done(tmp_path) == 1


def test_the_terminal_vanishes_and_the_program_with_it(terminal: Terminal, tmp_path: Path) -> None:
    terminal.press("Space")
    eventually(lambda: rows_done(tmp_path), 1)
    child = terminal.child()
    terminal.close()  # the window is closed: a hang-up, and nothing left to draw on
    eventually(lambda: Path(f"/proc/{child}").exists(), False)
    assert rows_done(tmp_path) == 1
    with Store(tmp_path / "makes.db") as store:
        store.open_for_writing("throw")


def test_closed_while_it_is_put_aside_the_program_ends_as_well(
    terminal: Terminal, tmp_path: Path
) -> None:
    child = terminal.child()
    os.kill(child, signal.SIGTSTP)
    eventually(lambda: Path(f"/proc/{child}/stat").read_text().split()[2], "T", 30)
    terminal.close()
    # what the kernel sends to a stopped program whose terminal has gone
    for number in (signal.SIGHUP, signal.SIGCONT):
        with suppress(ProcessLookupError):
            os.kill(child, number)
    eventually(lambda: Path(f"/proc/{child}").exists(), False, 30)
