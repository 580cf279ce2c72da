"""SIGKILL between key and paint. The bench runs more: `python -m tests.faults.kill 1000`."""

import json
import os
import subprocess
import sys

import pytest

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="run on Linux or macOS")


@pytest.mark.parametrize("how", [["10"], ["20", "--bare"]], ids=["app", "engine"])
def test_nothing_shown_is_lost(how: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.kill", *how],
        capture_output=True,
        text=True,
        timeout=240,
        check=True,
    )
    count = json.loads(done.stdout)
    assert count["lost"] == 0, count
    assert count["runs"] == int(how[0])
    assert count["working"] > count["runs"] / 2, "most were killed at work"
    assert count["paints"] > count["runs"]
