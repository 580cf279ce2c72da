"""No network, ever, outside `voices fetch`; and no sound kept on disk.

The main paths run in a process to which the kernel has forbidden every socket but local ones. It
does not say no: it ends the process, so that an attempt cannot go unnoticed.
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import soundfile

from counter.shared.recordings import demo_recording
from engine.keep.store import Store
from tests.faults.syscalls import SUPPORTED
from tests.keep.conftest import a_plan, some_events

FIRST_S = 7
"""The recording's first two words."""
KILLED = -31
"""SIGSYS."""

RUN = """
import json, socket, sys
socket.has_ipv6 = False  # vosk imports urllib3, which tries one on the loopback to see if it can
from tests.faults.syscalls import NETWORK, end_at
end_at(*NETWORK)
from counter.commandline import main
codes = [main(line) for line in json.loads(sys.argv[1])]
print(json.dumps(codes))
"""
APP = """
import asyncio, socket, sys
socket.has_ipv6 = False
from pathlib import Path
from tests.faults.syscalls import NETWORK, end_at
end_at(*NETWORK)
from counter.tui.app import SpokenrowApp
from tests.tui.unhurried import unhurried
from engine.keep.store import Store

async def knit():
    with Store(Path(sys.argv[1]) / "makes.db") as store:
        app = SpokenrowApp(store, Path(sys.argv[1]) / "settings.json", make="throw", **unhurried())
        async with app.run_test() as pilot:
            for key in ("space", "space", "u", "question_mark", "escape", "space", "q"):
                await pilot.press(key)
        print(len(store.load("throw")[1]))

asyncio.run(knit())
"""

pytestmark = pytest.mark.skipif(not SUPPORTED, reason="run on Linux, x86-64 or arm64")


def offline(code: str, home: Path, *arguments: object) -> subprocess.CompletedProcess[str]:
    home.mkdir(exist_ok=True)
    temporary = home / "tmp"
    temporary.mkdir(exist_ok=True)
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        env={
            **os.environ,
            "HOME": str(home),
            "XDG_DATA_HOME": str(home / "data"),
            "XDG_CONFIG_HOME": str(home / "config"),
            "TMPDIR": str(temporary),
            "PYTHONDONTWRITEBYTECODE": "1",
        },
    )


@pytest.fixture
def data(tmp_path: Path) -> Path:
    with Store(tmp_path / "data" / "makes.db") as store:
        store.create("throw", a_plan(), some_events(1, 6))
    return tmp_path / "data"


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    """The beginning of the bundled one: what comes after is heard no other way."""
    sound, rate = soundfile.read(demo_recording())
    path = tmp_path / "data" / "said.wav"
    path.parent.mkdir(exist_ok=True)
    soundfile.write(path, sound[: FIRST_S * rate], rate)
    return path


COMMANDS = [
    ["rows", "cardigan", "--size", "M", "--json"],
    ["words"],
    ["demo"],
    ["log", "throw"],
    ["verify"],
    ["export", "throw"],
    ["voices"],
    ["licences"],
    ["doctor"],
]


def test_no_command_needs_a_network(data: Path, recording: Path, tmp_path: Path) -> None:
    commands = [["hear", str(recording), "--json"], *COMMANDS]
    lines = [["--data", str(data), *command] for command in commands]
    done = offline(RUN, tmp_path / "home", json.dumps(lines))
    assert done.returncode == 0, done.stderr
    codes = json.loads(done.stdout.splitlines()[-1])
    assert codes[:-1] == [0] * len(COMMANDS), done.stderr
    assert "“row done”" in done.stdout


def test_the_app_needs_no_network(data: Path, tmp_path: Path) -> None:
    done = offline(APP, tmp_path / "home", data)
    assert (done.returncode, done.stdout) == (0, "10\n"), done.stderr


def test_the_ban_is_real(data: Path, tmp_path: Path) -> None:
    line = ["--data", str(data), "voices", "fetch", "en-us"]
    done = offline(RUN, tmp_path / "home", json.dumps([line]))
    assert done.returncode == KILLED


def test_hearing_leaves_no_sound_on_disk(data: Path, recording: Path, tmp_path: Path) -> None:
    home = tmp_path / "home"
    line = ["--data", str(data), "hear", str(recording), "--make", "throw"]
    done = offline(RUN, home, json.dumps([line]))
    assert done.returncode == 0
    recording.unlink()
    left = {path.relative_to(tmp_path) for path in tmp_path.rglob("*") if path.is_file()}
    assert {path.parts[0] for path in left} == {"data"}, "nothing outside the data folder"
    kept = {path.name for path in left}
    suffixes = {Path(name).suffix for name in kept}
    assert suffixes <= {".db", ".lock", ".journal"}
    # And nothing of what was said but the actions it came to.
    text = (data / "makes.db").read_bytes() + b"".join(
        path.read_bytes() for path in data.rglob("*.journal")
    )
    assert b"row done" not in text
    assert b'"advance"' in text
