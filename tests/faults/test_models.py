"""Voice models that are damaged: a sentence, whatever Kaldi would do. See `tests.faults.models`."""

import json
import shutil
import struct
import subprocess
import sys
from pathlib import Path

import pytest

from engine.ears import trial
from engine.ears.recogniser import ModelError, starter_dir
from engine.ears.trial import NOTED, open_recogniser

RUNS = 8


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """The starter unpacked by hand: nobody noted its digests."""
    return Path(shutil.copytree(starter_dir(), tmp_path / "model"))


def arcs_to_nowhere(graph: bytes) -> bytes:
    """A const graph of OpenFst of which most arcs lead to states that are not there.

    Its form stays right, so it is read without complaint. Layout: OpenFst's fst.cc and
    const-fst.h (magic, two names, version, flags, properties, start, counts; then the states of
    20 bytes each, and the arcs, each of two labels, weight and next state).
    """
    content = bytearray(graph)
    at = 4
    for _ in range(2):
        at += 4 + struct.unpack_from("<i", content, at)[0]
    at += 24
    states, arcs = struct.unpack_from("<qq", content, at)
    at += 16 + 20 * states
    assert at + 16 * arcs == len(content)
    for arc in range(arcs // 3, arcs):
        content[at + 16 * arc + 15] ^= 0x40
    return bytes(content)


def test_a_model_at_which_kaldi_ends_the_program_is_a_sentence(
    copied: Path, tmp_path: Path
) -> None:
    graph = copied / "graph" / "HCLG.fst"
    graph.write_bytes(arcs_to_nowhere(graph.read_bytes()))
    code = (
        "import sys; from pathlib import Path; from tests.faults.models import hear_with;"
        "sys.exit(hear_with(Path(sys.argv[1]), untried=True))"
    )
    alone = subprocess.run([sys.executable, "-c", code, copied], check=False)
    assert alone.returncode < 0, "without a trial a signal ends the program"
    with pytest.raises(ModelError, match="is damaged: the recogniser breaks off at it; unpack it"):
        open_recogniser(copied, data=tmp_path)
    assert not (tmp_path / NOTED).exists()


def test_an_unknown_model_is_tried_once_and_again_when_it_changed(
    copied: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried = []
    real = trial._try
    monkeypatch.setattr(trial, "_try", lambda *given: (tried.append(given), real(*given)))
    for _ in range(2):
        open_recogniser(copied, data=tmp_path).close()
    assert len(tried) == 1
    assert len((tmp_path / NOTED).read_text().splitlines()) == 1
    with (copied / "am" / "final.mdl").open("r+b") as file:
        file.truncate(100_000)
    with pytest.raises(ModelError, match="unpack it again"):
        open_recogniser(copied, data=tmp_path)
    assert len(tried) == 2


def test_where_nothing_can_be_noted_it_is_tried_each_time(copied: Path, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    open_recogniser(copied, data=tmp_path / "file").close()
    open_recogniser(copied).close()


def test_the_starter_is_not_tried(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trial, "_try", lambda *_: pytest.fail("it was tried"))
    open_recogniser(data=tmp_path).close()
    open_recogniser(starter_dir(), data=tmp_path).close()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("how", [[], ["--unknown"]], ids=["known digests", "unpacked by hand"])
def test_random_damage_never_ends_the_program(how: list[str]) -> None:
    """The bench runs more: `python -m tests.faults.models 1000`."""
    runs = RUNS // 4 if how else RUNS
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.models", str(runs), *how],
        capture_output=True,
        text=True,
        timeout=240,
        check=True,
    )
    count = json.loads(done.stdout)
    assert count.get("ended the program", 0) == 0, done.stderr
    assert count.get("another error", 0) == 0, done.stderr
    assert count["refused"] > runs / 3, "the damage was real"
