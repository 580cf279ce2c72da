"""Bundled recordings: `demo.flac`, made by `python -m tests.recording`."""

from importlib.resources import files
from pathlib import Path


def demo_recording() -> Path:
    """The recording of spoken commands that the demo plays."""
    return Path(str(files("counter.shared.recordings"))) / "demo.flac"
