"""What the app's first screen does without, so that it is there soon."""

import subprocess
import sys

SLOW = {"numpy", "soxr", "soundfile", "sounddevice", "vosk", "lark", "selenium", "xml.etree"}
"""Libraries of sound, drawing and the pattern reader: a tenth of a second each, or so."""


def test_the_first_screen_waits_for_no_library_that_it_does_not_need():
    modules = "counter.doors.app, counter.sound.opening, counter.sound.voice, counter.tui.app"
    told = subprocess.run(
        [sys.executable, "-c", f"import {modules}, sys; print(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    ).stdout.split()
    assert "textual.app" in told
    assert not SLOW & set(told)
