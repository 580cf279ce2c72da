"""No PortAudio, no model, a damaged model: keys work, and one sentence says how to get ears."""

import shutil
from pathlib import Path

import pytest

from counter.commandline import main
from counter.shared.recordings import demo_recording
from engine.ears.recogniser import starter_dir
from engine.keep.store import Store
from tests.keep.conftest import a_plan
from tests.tui.terminal import INSTALL, Terminal

RECORDING = demo_recording()

HOOK = """
import importlib.abc, sys

class NoPortAudio(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if name == "sounddevice":
            raise OSError("PortAudio library not found")

sys.meta_path.insert(0, NoPortAudio())
"""
"""What importing sounddevice does where the library is not there."""


@pytest.mark.system
@pytest.mark.skipif(shutil.which("tmux") is None, reason=INSTALL)
def test_without_portaudio_the_app_runs_by_keys_and_says_how_to_get_ears(tmp_path: Path) -> None:
    with Store(tmp_path / "makes.db") as store:
        store.create("throw", a_plan())
    (tmp_path / "hook").mkdir()
    (tmp_path / "hook" / "sitecustomize.py").write_text(HOOK)
    terminal = Terminal(tmp_path, width=120, height=40)
    try:
        path = {"PYTHONPATH": f"{tmp_path / 'hook'}:{Path(__file__).parents[2]}"}
        terminal.start("--data", tmp_path, environment=path)
        terminal.wait_for("go on with it")
        terminal.press("Enter")
        terminal.wait_for("PortAudio is missing")
        terminal.press("Space")
        terminal.wait_for("Row 2, left to right")  # told as what comes next
    finally:
        terminal.close()
    with Store(tmp_path / "makes.db") as store:
        assert len(store.load("throw")[1]) == 1


def test_a_model_folder_that_is_missing_or_damaged_is_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    damaged = Path(shutil.copytree(starter_dir(), tmp_path / "damaged"))
    (damaged / "am" / "final.mdl").write_bytes(b"\0B<TransitionModel> ")
    lacking = Path(shutil.copytree(starter_dir(), tmp_path / "lacking"))
    (lacking / "graph" / "words.txt").unlink()
    for folder in (tmp_path / "gone", tmp_path, damaged, lacking, RECORDING):
        assert main(["hear", str(RECORDING), "--model", str(folder)]) == 2
        err = capsys.readouterr().err.strip()
        assert str(folder) in err.splitlines()[-1]
        assert "Traceback" not in err
