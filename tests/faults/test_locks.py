"""A drive that does not lock files, as network drives may not: one window, and nothing lost."""

import subprocess
import sys
from pathlib import Path

import pytest

from engine.keep.store import Store
from tests.faults.syscalls import SUPPORTED
from tests.keep.conftest import a_plan, some_events

pytestmark = pytest.mark.skipif(not SUPPORTED, reason="run on Linux, x86-64 or arm64")

WITHOUT_LOCKS = """
import sys, time
from pathlib import Path
from tests.faults.syscalls import LOCKS, refuse
refuse(*LOCKS)
from engine.base.refusal import Refusal
from engine.keep.store import Store
from tests.keep.conftest import some_events
try:
    store = Store(Path(sys.argv[1]))
    print(*store.health, sep="\\n", flush=True)
    for event in some_events(int(sys.argv[2]), int(sys.argv[3])):
        store.append("throw", [event])
    print("done", flush=True)
    if len(sys.argv) > 4:
        time.sleep(60)
    store.close()
except Refusal as refusal:
    print("refused:", refusal, flush=True)
"""


def without_locks(main: Path, first: int, last: int, *more: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", WITHOUT_LOCKS, str(main), str(first), str(last), *more]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def test_it_works_and_says_so(tmp_path: Path) -> None:
    main = tmp_path / "makes.db"
    with Store(main) as store:
        store.create("throw", a_plan())
    out = without_locks(main, 1, 20).communicate(timeout=60)[0]
    assert "does not lock files (No locks available)" in out
    assert out.endswith("done\n")
    with Store(main) as store:
        assert store.health == ()
        assert store.load("throw")[1] == some_events(1, 20)


def test_a_second_window_is_refused_and_a_killed_one_leaves_the_folder_free(
    tmp_path: Path,
) -> None:
    main = tmp_path / "makes.db"
    with Store(main) as store:
        store.create("throw", a_plan())
    first = without_locks(main, 1, 10, "stay")
    assert first.stdout is not None
    assert "does not lock" in first.stdout.readline()
    assert first.stdout.readline() == "done\n"
    out = without_locks(main, 11, 12).communicate(timeout=60)[0]
    assert out.startswith("refused: This drive does not lock files, so only one window may use it")
    first.kill()
    first.wait()
    first.stdout.close()
    assert without_locks(main, 11, 20).communicate(timeout=60)[0].endswith("done\n")
    with Store(main) as store:
        assert store.load("throw")[1] == some_events(1, 20)
