"""Standard streams that are closed, and files that are there already."""

import io
import subprocess
import sys
from pathlib import Path

import pytest

from counter.commandline import main
from engine.keep.store import Store
from tests.keep.conftest import a_plan


@pytest.fixture
def data(tmp_path: Path) -> Path:
    with Store(tmp_path / "makes.db") as store:
        store.create("mine", a_plan())
    return tmp_path


@pytest.mark.parametrize(
    ("command", "closed"),
    [
        ("words", ">&-"),
        ("log mine", ">&- 2>&-"),
        ("plain mine", "<&-"),
        ("plain mine", "<&- >&- 2>&-"),
        ("import -", "<&-"),
        ("export mine", ">&-"),
    ],
)
def test_a_stream_that_is_closed_is_no_mistake_of_ours(
    command: str, closed: str, data: Path
) -> None:
    run = f'"{sys.executable}" -m counter --data "{data}" {command} {closed}'
    done = subprocess.run(["sh", "-c", run], capture_output=True, text=True, check=False)
    assert done.returncode == (2 if command == "import -" else 0), done.stderr
    assert "mistake of its own" not in done.stderr
    assert "Traceback" not in done.stderr
    with Store(data / "makes.db") as store:  # nothing of what was said went into a file
        assert store.health == ()
        assert store.load("mine")[1] == []


def test_a_stream_closed_meanwhile_is_told_as_such(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    gone = io.StringIO()
    gone.close()
    monkeypatch.setattr(sys, "stdin", gone)
    assert main(["--data", str(data), "plain", "mine"]) == 2
    assert "closed" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "command"),
    [
        ("out.svg", ["picture", "mine", "-o"]),
        ("out.html", ["sheet", "mine", "-o"]),
        ("out.json", ["export", "mine"]),
    ],
)
def test_a_file_that_is_there_is_not_written_over_unasked(
    name: str, command: list[str], data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = data / name
    out.write_text("mine")
    given = ["--data", str(data), *command, str(out)]
    assert main(given) == 2
    assert out.read_text() == "mine"
    assert "--overwrite" in capsys.readouterr().err
    assert main([*given, "--overwrite"]) == 0
    assert len(out.read_text()) > 100
    out.unlink()
    assert main(given) == 0
    assert main([*given[:-1], str(data / "no" / "such" / name)]) == 2
    assert not (data / "no").exists()


def test_a_person_at_the_terminal_is_asked(
    data: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    out = data / "out.svg"
    out.write_text("mine")
    given = ["--data", str(data), "picture", "mine", "-o", str(out)]
    for answer, code in (("n\n", 2), ("", 2), ("y\n", 0)):
        stream = io.StringIO(answer)
        monkeypatch.setattr(stream, "isatty", lambda: True, raising=False)
        monkeypatch.setattr(sys, "stdin", stream)
        monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
        assert main(given) == code
        assert (out.read_text() == "mine") == (code == 2)
