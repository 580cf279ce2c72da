"""A short soak for every run; the long one: `python -m tests.soak.soak 120 --events 20000`."""

import json
import subprocess
import sys


def test_nothing_leaks_and_nothing_drifts() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.soak.soak", "1", "--events", "150", "--keys", "40"],
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
    )
    found = json.loads(done.stdout)
    assert found["ears"]["makes_that_drifted"] == 0
    assert found["app"]["sound"]
    assert found["ears"]["taken"] > 2, "there was something to hear"
    assert found["ears"]["by_key"] > 100
    before, after = found["threads"]
    assert after <= before
    before, after = found["open_files"]
    assert after <= before
