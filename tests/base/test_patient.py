"""Nobody waits for ever at a pipe that says nothing."""

import os

import pytest

from engine.base.patient import read_patiently
from engine.base.refusal import Refusal


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_that_nobody_writes_to_is_given_up_and_told(tmp_path):
    pipe, told = tmp_path / "pipe", []
    os.mkfifo(pipe)
    with pytest.raises(Refusal, match=r"Nothing more has come from .*pipe"):
        read_patiently(pipe, 100, tell=told.append, soon_s=0.02, never_s=0.05)
    assert told == [f"Waiting for what is to come from {pipe}: Ctrl-C leaves."]


def test_what_comes_through_a_pipe_is_read_whole_and_no_further_than_asked(tmp_path):
    for most, got in ((100, b"all of it"), (3, b"all")):
        read, write = os.pipe()
        os.write(write, b"all ")
        os.write(write, b"of it")
        os.close(write)
        assert read_patiently(read, most) == got
        os.close(read)


def test_a_pipe_that_stops_in_the_middle_is_given_up():
    read, write = os.pipe()
    os.write(write, b"half")
    with pytest.raises(Refusal, match="standard input"):
        read_patiently(read, 100, soon_s=0.02, never_s=0.05)
    os.close(write)


def test_a_file_and_a_folder_are_as_they_were(tmp_path):
    (tmp_path / "file").write_bytes(b"text")
    assert read_patiently(tmp_path / "file", 3) == b"tex"
    with pytest.raises(OSError, match=r".*"):
        read_patiently(tmp_path, 3)
    with pytest.raises(FileNotFoundError):
        read_patiently(tmp_path / "none", 3)
