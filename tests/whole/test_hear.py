"""Speech to a moved make, through the command line: nothing in between is replaced."""

import json
import shutil
import subprocess
import sys

import numpy as np
import pytest
import soundfile

from tests.recording import RATE, room, spoken

pytestmark = [
    pytest.mark.system,
    pytest.mark.skipif(
        shutil.which("espeak-ng") is None, reason="sudo apt-get install -y espeak-ng"
    ),
]


def spokenrow(*arguments, data):
    return subprocess.run(
        [sys.executable, "-m", "counter", "--data", str(data), *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.fixture
def say(tmp_path):
    """A WAV of phrases with two seconds of quiet room before each."""

    def make(*phrases, voice="en-us"):
        quiet = np.zeros(2 * RATE)
        sound = np.concatenate([p for text in phrases for p in (quiet, spoken(text, voice))])
        sound = np.concatenate([sound, np.zeros(RATE)])
        path = tmp_path / "said.wav"
        soundfile.write(path, 0.6 * sound + room(len(sound) / RATE + 1)[: len(sound)], RATE)
        return path

    return make


def heard(say, tmp_path, *phrases, make=None):
    which = ["--make", make] if make else []
    result = spokenrow("hear", say(*phrases), *which, "--json", data=tmp_path / "data")
    assert result.returncode == 0, result.stderr
    return [json.loads(line) for line in result.stdout.splitlines()]


def test_spoken_words_move_a_make_and_are_in_its_journal(say, tmp_path):
    data = tmp_path / "data"
    started = spokenrow("start", "throw", "--width", 60, "--height", 40, data=data)
    assert started.returncode == 0, started.stderr
    name = started.stdout.split()[0]

    lines = heard(say, tmp_path, "row done", "dropped loop at four", "loop repaired", make=name)
    assert [(line["command"], line["value"], line["taken"]) for line in lines] == [
        ("advance", None, True),
        ("dropped loop", 4.0, True),
        ("repaired", None, True),
    ]
    assert lines[-1]["step"] == 2
    for line in lines:
        assert line["start_s"] < line["end_s"] <= line["decided_s"]

    log = json.loads(spokenrow("log", name, "--json", data=data).stdout)
    assert [event["kind"] for event in log] == ["advance", "dropped loop", "repaired"]


def test_talk_is_refused_with_a_reason_and_moves_nothing(say, tmp_path):
    talk = "the boat is late again so put the kettle on would you dear"
    asked, *lines = heard(say, tmp_path, "where am i", talk)
    assert (asked["command"], asked["taken"]) == ("where am i", True)
    assert lines
    assert not any(line["taken"] for line in lines)
    assert all(line["reason"] and line["step"] == asked["step"] for line in lines)


def test_ripping_back_waits_for_a_spoken_yes(say, tmp_path):
    lines = heard(say, tmp_path, "rip back one row", "yes")
    steps = [line["step"] for line in lines]
    assert [line["command"] for line in lines] == ["rip back", "yes"]
    assert steps[1] == steps[0] - 1
