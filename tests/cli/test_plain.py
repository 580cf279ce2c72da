"""`spokenrow plain` as its maker runs it: lines in, lines out; some in a process of its own."""

import contextlib
import io
import subprocess
import sys
from pathlib import Path

import pytest

from counter.commandline import main
from counter.shared.demo import demo_making
from counter.shared.recordings import demo_recording
from engine.keep.store import Store
from models.event import Advanced, Dropped, Measured, Noted, RippedBack, Undone


def spokenrow(folder: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    """In this process, which is quicker."""
    out, err = io.StringIO(), io.StringIO()
    with (
        pytest.MonkeyPatch.context() as patch,
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        patch.setattr("sys.stdin", io.StringIO(typed))
        code = main(["--data", str(folder), *words])
    return subprocess.CompletedProcess(words, code, out.getvalue(), err.getvalue())


def apart(folder: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "counter", "--data", str(folder), *words],
        input=typed,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def events(folder: Path, name: str) -> list[object]:
    store = Store(folder / "makes.db")
    try:
        return list(store.load(name)[1])
    finally:
        store.close()


def test_a_piped_session_moves_the_make_and_ends_well(tmp_path: Path) -> None:
    assert spokenrow(tmp_path, "start", "cardigan", "--name", "mine").returncode == 0
    typed = " \nrow done\nd 12\nloop repaired\nu\nu\nrip back 1 rows\ny\nnote so far\nblah\nq\n\n"
    run = spokenrow(tmp_path, "plain", "mine", typed=typed)
    assert run.returncode == 0
    assert run.stderr == ""
    lines = run.stdout.splitlines()
    # A heading, the first instruction, then one answer for every line that was typed.
    assert lines[1].startswith("Body. Foundation: count 42 loops")
    assert lines[2] == "Body. Row 1, right to left: knit 42."
    assert lines[3] == "Body. Row 2, left to right: knit 42."
    assert lines[4].startswith("Marked at row 2 of the body, loop 12.")
    assert any(line.endswith("Say “yes”.") for line in lines)
    assert "'blah' is neither a key nor a word of the table: type ? for all of them." in lines
    assert lines[-1].startswith("mine is on the shelf.")
    kinds = [type(event) for event in events(tmp_path, "mine")]
    # What came after the leaving key was not read.
    assert kinds[:3] == [Advanced, Advanced, Dropped]
    assert kinds.count(Undone) == 2
    assert kinds[-2:] == [RippedBack, Noted]


def test_enter_alone_moves_nothing_and_says_the_step_again(tmp_path: Path) -> None:
    spokenrow(tmp_path, "start", "throw", "--name", "mine")
    lines = spokenrow(tmp_path, "plain", "mine", typed=" \n\n\n\n").stdout.splitlines()
    assert lines[1].startswith("Throw. Foundation")
    assert len([line for line in lines if "Row 1" in line]) >= 4
    assert [type(event) for event in events(tmp_path, "mine")] == [Advanced]


def test_the_tape_is_not_passed_by_row_done_in_plain_lines(tmp_path: Path) -> None:
    start = ("start", "throw", "--name", "mine", "--width", "20", "--height", "32")
    spokenrow(tmp_path, *start)
    run = spokenrow(tmp_path, "plain", "mine", typed=" \n" * 40)
    made = events(tmp_path, "mine")
    assert len(made) == 14
    assert "Measure first: 32 cm is wanted. Go on without measuring? Say “yes”." in run.stdout
    spokenrow(tmp_path, "plain", "mine", typed="row done\nyes\n")
    assert events(tmp_path, "mine")[-1].skipped


def test_there_is_no_escape_code_and_no_prompt_in_a_pipe(tmp_path: Path) -> None:
    spokenrow(tmp_path, "start", "throw", "--name", "mine")
    out = apart(tmp_path, "plain", "mine", typed="\n?\nw\ns\n").stdout
    assert "\x1b" not in out
    assert not any(line.startswith(">") for line in out.splitlines())
    assert all(char.isprintable() for line in out.splitlines() for char in line)


def test_a_whole_throw_can_be_made_in_plain_lines(tmp_path: Path) -> None:
    start = ("start", "throw", "--name", "mine", "--width", "20", "--height", "32")
    spokenrow(tmp_path, *start)
    typed = " \n" * 14 + "32\n" + " \n" * 6
    run = spokenrow(tmp_path, "plain", "mine", typed=typed)
    assert run.returncode == 0
    made = events(tmp_path, "mine")
    assert any(isinstance(event, Measured) and event.cm == 32 for event in made)
    assert "The make is done." in run.stdout


def test_the_end_of_the_input_keeps_what_was_done(tmp_path: Path) -> None:
    spokenrow(tmp_path, "start", "throw", "--name", "mine")
    assert spokenrow(tmp_path, "plain", "mine", typed=" \n \n \n").returncode == 0
    again = spokenrow(tmp_path, "plain", "mine").stdout
    assert "Row 3, right to left" in again.splitlines()[1]


def test_bytes_that_are_no_text_are_refused_and_do_no_harm(tmp_path: Path) -> None:
    spokenrow(tmp_path, "start", "throw", "--name", "mine")
    run = subprocess.run(
        [sys.executable, "-m", "counter", "--data", str(tmp_path), "plain", "mine"],
        input=b"\xff\xfe\x00\n \n",
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert run.returncode == 0
    assert b"neither a key nor a word" in run.stdout
    assert b"Row 1" in run.stdout


def test_an_unknown_make_is_one_sentence(tmp_path: Path) -> None:
    run = spokenrow(tmp_path, "plain", "nothing-such")
    assert run.returncode == 2
    assert run.stderr.count("\n") == 1
    assert "nothing-such" in run.stderr


def test_a_make_that_is_open_elsewhere_is_left_alone_or_taken_over(tmp_path: Path) -> None:
    spokenrow(tmp_path, "start", "throw", "--name", "mine")
    other = Store(tmp_path / "makes.db")
    other.load("mine")
    other.open_for_writing("mine")
    run = spokenrow(tmp_path, "plain", "mine", typed="\n")
    assert run.returncode == 2
    assert run.stderr.count("\n") == 1
    assert "--take-over" in run.stderr
    run = spokenrow(tmp_path, "plain", "mine", "--take-over", typed=" \n")
    assert run.returncode == 0
    assert "Row 1" in run.stdout
    other.close()


def test_a_recording_moves_it_by_the_same_words(tmp_path: Path) -> None:
    making = demo_making()
    store = Store(tmp_path / "makes.db")
    store.create("mine", making.begun)
    store.append("mine", making.events)
    store.close()
    run = spokenrow(tmp_path, "plain", "mine", "--hear", str(demo_recording()))
    assert run.returncode == 0, run.stderr
    lines = run.stdout.splitlines()
    assert "Heard: row done." in lines
    assert any(line.startswith("Right front. Row 4") for line in lines)
    assert len(events(tmp_path, "mine")) > len(making.events)
