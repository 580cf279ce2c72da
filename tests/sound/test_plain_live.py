"""`spokenrow plain NAME --listen`: an evening with the screen off, through a real stream."""

import subprocess
import sys
import threading
import time

import pytest

from engine.keep.store import Store
from engine.plan.planning import make_plan, read_gauge

pytestmark = pytest.mark.system


@pytest.fixture
def evening(pulse, tmp_path, needs_program):
    needs_program("flite", "flite")
    store = Store(tmp_path / "makes.db")
    given = {"width": 10.0, "height": 20.0}
    store.create("throw", make_plan("throw", read_gauge("5 x 3.75"), given=given))
    store.close()
    process = subprocess.Popen(
        [
            *(sys.executable, "-u", "-m", "counter", "--data", str(tmp_path)),
            *(
                "plain",
                "throw",
                "--listen",
                "--microphone",
                "testmic",
                "--quiet",
                "--sensitivity",
                "eager",
            ),
        ],
        env=pulse.env,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        text=True,
    )
    lines = []
    threading.Thread(
        target=lambda: lines.extend(line.rstrip() for line in process.stdout), daemon=True
    ).start()

    class Evening:
        def say(self, phrase):
            path = tmp_path / "said.wav"
            subprocess.run(["flite", "-voice", "slt", "-t", phrase, "-o", path], check=True)
            pulse.speak(path)

        def until(self, told):
            for _ in range(600):
                if any(told in line for line in lines):
                    return
                time.sleep(0.05)
            raise AssertionError(lines)

        def ends(self):
            return process.wait(20)

    yield Evening()
    process.kill()
    process.wait(5)


def test_rows_a_number_and_the_end_by_word_alone(evening):
    evening.until("It is listening.")
    time.sleep(0.8)
    evening.say("row done")
    evening.until("Heard: row done.")
    evening.until("Throw. Row 1,")
    time.sleep(0.8)
    evening.say("more rows")
    evening.until("How many rows more than planned?")
    time.sleep(0.8)
    evening.say("three")
    evening.until("rows in all in the throw")
    evening.until("Say “yes”.")
    time.sleep(0.8)
    evening.say("yes")
    evening.until("Heard: yes.")
    time.sleep(0.8)
    evening.say("show the shelf")
    evening.until("throw is on the shelf.")
    assert evening.ends() == 0
