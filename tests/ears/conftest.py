import shutil

import pytest


@pytest.fixture
def needs_program():
    """Skips with the line that installs it where a program is not there."""

    def need(program, package):
        if shutil.which(program) is None:
            pytest.skip(f"sudo apt-get install -y {package}")

    return need
