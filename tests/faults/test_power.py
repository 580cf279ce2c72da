"""Power cuts: what is painted was forced to the disk before, as the kernel saw it."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from engine.keep.store import Store
from tests.keep.conftest import a_plan

INSTALL = "sudo apt-get install -y strace"
PAINT = "painted"
COUNT = """
import os, sys
from pathlib import Path
from engine.make.making import Making
from engine.keep.store import Store
from models.command import Action, Command

with Store(Path(sys.argv[1])) as store:
    making = Making(*store.load("throw"), lambda new: store.append("throw", new))
    store.open_for_writing("throw")
    os.write(1, b"painted")
    for n in range(6):
        making.do(Command(action=Action.ADVANCE), float(n))
        os.write(1, b"painted")
"""
CALL = re.compile(r"(?P<call>\w+)\(\d+<(?P<file>[^>]*)>")


@pytest.mark.system
@pytest.mark.skipif(shutil.which("strace") is None, reason=INSTALL)
def test_log_and_copy_are_forced_to_the_disk_before_each_paint(tmp_path: Path) -> None:
    with Store(tmp_path / "makes.db") as store:
        store.create("throw", a_plan())
    trace = tmp_path / "trace"
    calls = "trace=write,pwrite64,fsync,fdatasync"
    command = ["strace", "-f", "-y", "-s", "12", "-e", calls, "-o", str(trace)]
    command += [sys.executable, "-c", COUNT, str(tmp_path / "makes.db")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    if "ptrace" in done.stderr.lower() and done.returncode:
        pytest.skip("run the tests where a program may be traced")
    assert done.stdout.count(PAINT) == 7, done.stderr
    waiting: set[str] = set()
    between: list[set[str]] = [set()]
    for line in trace.read_text().splitlines():
        found = CALL.search(line)
        if not found:
            continue
        name = Path(found["file"]).name
        if f'"{PAINT}"' in line:
            assert not waiting, f"{waiting} was written and not forced before the paint"
            between.append(set())
        elif name.endswith((".db-wal", ".journal")):
            if "sync" in found["call"]:
                waiting.discard(name)
                between[-1].add(name.rpartition(".")[2])
            else:
                waiting.add(name)
    assert between[1:-1] == [{"db-wal", "journal"}] * 6, "both, for every one"
