import ctypes.util
import shutil

import pytest

from tests.ears.pulse import INSTALL, Pulse


@pytest.fixture
def needs_program():
    """Skips with the line that installs it where a program is not there."""

    def need(program, package):
        if shutil.which(program) is None:
            pytest.skip(f"sudo apt-get install -y {package}")

    return need


@pytest.fixture
def pulse(tmp_path):
    """A sound server of the test's own; skips where its programs are missing."""
    programs = all(shutil.which(name) for name in ("pulseaudio", "pactl", "paplay"))
    if not programs or ctypes.util.find_library("portaudio") is None:
        pytest.skip(INSTALL)
    server = Pulse(tmp_path)
    server.start()
    yield server
    server.kill()
