"""`spokenrow rehearse` with a real microphone stream, in which a synthetic voice does as asked."""

import json
import re
import signal
import subprocess
import sys
import threading
import time

import pytest

from counter.sound import profiles
from counter.sound.speech import find_voice
from engine.ears.rehearsal import TIMES

pytestmark = pytest.mark.system
_ASKED = re.compile(r"say “(.+)” \((\d) of 3\)")


@pytest.fixture
def rehearse(pulse, tmp_path, needs_program):
    """The program, and what it says line by line; `say` is the maker's voice."""
    needs_program("flite", "flite")
    started = []

    class Rehearsal:
        def __init__(self, *phrases, aloud=False):
            self.data = tmp_path / "data"
            self.process = subprocess.Popen(
                [
                    *(sys.executable, "-m", "counter", "--data", str(self.data)),
                    *("rehearse", *phrases, "--microphone", "testmic", "--json"),
                    *([] if aloud else ["--quiet"]),
                ],
                env=pulse.env,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
                # What a shell starts in the background heeds no Ctrl-C, and nothing it starts does.
                preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509
            )
            started.append(self.process)
            self.said = []

        def line(self):
            line = self.process.stderr.readline().rstrip()
            self.said.append(line)
            return line

        def say(self, phrase):
            path = tmp_path / "said.wav"
            subprocess.run(["flite", "-voice", "slt", "-t", phrase, "-o", path], check=True)
            time.sleep(0.5)  # she reads first
            pulse.speak(path)

        def end(self):
            out, rest = self.process.communicate(timeout=60)
            self.said += rest.splitlines()
            return self.process.returncode, out

        def kept(self):
            found = profiles.load(profiles.profiles_path(self.data / "settings.json"))[0]
            mine = found.of("", "testmic")
            return [(t.phrase, t.heard) for t in mine.tries] if mine else []

    yield Rehearsal
    for process in started:
        process.kill()
        process.communicate()


def test_each_phrase_is_asked_for_heard_and_judged(rehearse):
    wanted = ["too tight", "start listening"]  # for which the ears must be closed
    rehearsal = rehearse(*wanted)
    for phrase in wanted:
        for count in range(1, TIMES + 1):
            asked = _ASKED.fullmatch(rehearsal.line())
            assert asked, rehearsal.said
            assert asked.groups() == (phrase, str(count))
            rehearsal.say(phrase)
    code, out = rehearsal.end()
    assert code == 0
    assert [(v["phrase"], v["said"]) for v in json.loads(out)["phrases"]] == [
        ("too tight", TIMES),
        ("start listening", TIMES),
    ]
    assert json.loads(out)["phrases"][0]["safe"]
    kept = rehearsal.kept()
    assert [phrase for phrase, _ in kept] == ["too tight"] * 3 + ["start listening"] * 3
    assert all(kept.count((phrase, phrase)) >= 2 for phrase in wanted)


def test_stopped_by_ctrl_c_the_tries_made_so_far_are_kept(rehearse):
    rehearsal = rehearse("too tight")
    rehearsal.line()
    rehearsal.say("too tight")
    assert "(2 of 3)" in rehearsal.line()
    rehearsal.process.send_signal(signal.SIGINT)
    code, out = rehearsal.end()
    assert code == 130
    assert rehearsal.said[-1] == "Stopped; what was made so far is kept: 1 try."
    assert json.loads(out)["phrases"][0]["said"] == 1
    assert [phrase for phrase, _ in rehearsal.kept()] == ["too tight"]


def test_stopped_before_the_first_try_nothing_is_kept_and_nothing_said(rehearse):
    rehearsal = rehearse("too tight")
    asked = rehearsal.line()
    rehearsal.process.send_signal(signal.SIGINT)
    assert rehearsal.end() == (130, "")
    assert rehearsal.said == [asked]
    assert rehearsal.kept() == []


def test_a_microphone_that_goes_in_mid_word_is_waited_for_and_the_word_asked_for_again(
    rehearse, pulse
):
    pulse.unload("spk")  # or the stream would be moved there
    rehearsal = rehearse("too tight")
    rehearsal.line()
    rehearsal.say("too tight")
    assert "(2 of 3)" in rehearsal.line()
    pull = threading.Timer(0.8, lambda: pulse.unload("mic"))
    pull.start()
    with pytest.raises(subprocess.CalledProcessError):
        rehearsal.say("too tight")  # paplay has nowhere to play to any more
    pull.join()
    assert rehearsal.line() == "The microphone 'testmic' is gone; it is used again when it is back."
    pulse.load("mic")
    for count in (2, 3):
        assert f"({count} of 3)" in rehearsal.line()
        rehearsal.say("too tight")
    code, _ = rehearsal.end()
    assert code == 0
    assert rehearsal.kept() == [("too tight", "too tight")] * 3


def test_the_sound_server_dies_under_a_rehearsal_that_speaks_and_it_goes_on(rehearse, pulse):
    if find_voice() is None:
        pytest.skip("sudo apt-get install -y espeak-ng")
    rehearsal = rehearse("too tight", aloud=True)
    rehearsal.line()
    time.sleep(2)  # it says the phrase, deaf to itself
    rehearsal.say("too tight")
    assert "(2 of 3)" in rehearsal.line()
    pulse.kill()
    assert "is gone" in rehearsal.line()
    pulse.start()
    for count in (2, 3):
        assert f"({count} of 3)" in rehearsal.line()
        time.sleep(2)
        rehearsal.say("too tight")
    assert rehearsal.end()[0] == 0
    assert rehearsal.kept() == [("too tight", "too tight")] * 3
