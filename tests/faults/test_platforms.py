"""What differs on Windows and macOS, by standing in for their answers."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from engine.keep.store import Store
from tests.keep.conftest import a_plan

SYSTEMS = ("windows", "macos", "macos-drive")
OLD_ENCODING = {
    "PYTHONUTF8": "0",
    "PYTHONCOERCECLOCALE": "0",
    "LC_ALL": "C",
    "PYTHONIOENCODING": "cp1252",
}
"""A console of Windows, and files that are not UTF-8 unless it is asked for."""


@pytest.mark.skipif(sys.platform != "linux", reason="run on Linux: it stands in for the others")
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_main_paths_run_on_what_another_system_has(system: str, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.elsewhere", system, str(tmp_path / "data")],
        capture_output=True,
        env=os.environ | OLD_ENCODING,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr.decode("cp1252")[-2000:]
    told = json.loads(done.stdout.decode("cp1252").splitlines()[-1])
    assert (told.pop("full syncs") > 0) == (system != "windows")
    assert told == {
        "start": 0,
        "held": 1,
        "events": 3,
        "copy is whole": True,
        "I run": True,
        "another by my number runs": False,
        "who has ended runs": False,
        "log": 0,
        "verify": 0,
        "export": 0,
    }


def test_a_claim_that_nobody_could_have_made_stands_in_nobodys_way(tmp_path: Path) -> None:
    with Store(tmp_path / "makes.db") as store:
        store.create("throw", a_plan())
        store.open_for_writing("throw")
    for told in ("", "{}", '{"pid": 1e99}', "[" * 10_000):
        with Store(tmp_path / "makes.db") as store:
            store._db.execute("UPDATE claim SET owner = ?", (told,))
            assert store.holder("throw") is None
            store.open_for_writing("throw")
