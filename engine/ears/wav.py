"""Any recording as the ears want it: 16 kHz, mono, 16 bit.

Reading is libsndfile's work (through soundfile) and changing the rate is soxr's; this module
keeps the bounds and the sentences.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from engine.base.refusal import Refusal
from engine.ears.gate import RATE

LONGEST_S = 4 * 3600
"""Seconds of one recording; more than that is a mistake, not a knitting evening."""
_MOST_CHANNELS = 8
_RATES = (4_000, 384_000)
_BLOCK_S = 1.0


class AudioError(Refusal):
    """A recording that cannot be used. Its text is one sentence for the person who gave it."""


def blocks(path: Path) -> Iterator[bytes]:
    """The recording in pieces of about a second: 16 kHz mono 16-bit little-endian.

    Holds one piece at a time. Raises AudioError for a file that is not there, is no recording,
    is empty, damaged or out of bounds.
    """
    if not path.exists():
        raise AudioError(f"There is no file {path}: check the name.")
    if path.is_dir():
        raise AudioError(f"{path} is a folder: name a recording in it.")
    try:
        with soundfile.SoundFile(path) as file:
            _check(path, file)
            yield from _resampled(file)
    except soundfile.LibsndfileError as error:
        raise AudioError(
            f"{path} cannot be read as a recording ({error.error_string.rstrip('.')}): "
            "save it as a WAV file and try again."
        ) from error
    except OSError as error:
        raise AudioError(f"{path} cannot be opened: {error.strerror or error}.") from error


def read(path: Path) -> bytes:
    """The whole recording at once, as `blocks` gives it. Raises AudioError likewise."""
    return b"".join(blocks(path))


def _check(path: Path, file: soundfile.SoundFile) -> None:
    if file.frames == 0:
        raise AudioError(f"{path} is empty: record it again.")
    if not _RATES[0] <= file.samplerate <= _RATES[1]:
        raise AudioError(
            f"{path} says it has {file.samplerate} samples a second, which no recorder writes: "
            "save it again at 16000 or 44100."
        )
    if file.channels > _MOST_CHANNELS:
        raise AudioError(f"{path} has {file.channels} channels: give one with at most two.")
    if file.frames / file.samplerate > LONGEST_S:
        raise AudioError(
            f"{path} is longer than {LONGEST_S // 3600} hours: cut it into shorter pieces."
        )


def _resampled(file: soundfile.SoundFile) -> Iterator[bytes]:
    rate = file.samplerate
    stream = None if rate == RATE else soxr.ResampleStream(rate, RATE, 1, dtype="float32")
    while True:
        piece = file.read(round(rate * _BLOCK_S), dtype="float32", always_2d=True)
        last = len(piece) == 0
        mono = piece.mean(axis=1) if not last else np.zeros(0, np.float32)
        if stream is not None:
            mono = stream.resample_chunk(mono, last=last)
        if len(mono):
            yield to_pcm(mono)
        if last:
            return


def to_pcm(sound: NDArray[np.float32]) -> bytes:
    """Samples of -1 … 1 as 16-bit little-endian: clipped beyond, 0 for what is no number."""
    whole = np.nan_to_num(sound, nan=0.0, posinf=1.0, neginf=-1.0)
    return (np.clip(whole, -1.0, 32767 / 32768) * 32768).round().astype("<i2").tobytes()
