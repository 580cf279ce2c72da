"""Kaldi's MFCC in PyTorch, for whole batches: what Vosk computes from the same options.

Formulas: Kaldi's feat/feature-mfcc, feature-window and mel-computations, with snip-edges,
no DC removal and no dither.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import torch
from torch import Tensor, nn

from engine.forge.settings import MFCC_OPTIONS
from engine.forge.student.speech import RATE
from engine.forge.tdnn import FRONT_END


@dataclass(frozen=True)
class MfccOptions:
    """The options that differ between teacher and student. Frequencies in Hz."""

    bins: int
    cepstra: int
    low: float
    high: float
    lifter: float
    window: str = "hamming"
    length: int = 410
    """Samples of a frame: 25.625 ms."""
    shift: int = 160


def _of(front_end: Mapping[str, str]) -> MfccOptions:
    return MfccOptions(
        bins=int(front_end["num-mel-bins"]),
        cepstra=int(front_end["num-ceps"]),
        low=float(front_end["low-freq"]),
        high=float(front_end["high-freq"]),
        lifter=float(front_end["cepstral-lifter"]),
    )


TEACHER = _of(MFCC_OPTIONS)
"""The front end of the CMU model."""
STUDENT = _of(FRONT_END)
"""The front end of the network that learns from it."""


def _mel(hz: np.ndarray | float) -> np.ndarray | float:
    return 1127.0 * np.log(1.0 + np.asarray(hz) / 700.0)


def _bank(options: MfccOptions, fft: int) -> np.ndarray:
    low, high = _mel(options.low), _mel(options.high)
    step = (high - low) / (options.bins + 1)
    mels = _mel(np.arange(fft // 2) * RATE / fft)
    bank = np.zeros((options.bins, fft // 2 + 1))
    for number in range(options.bins):
        left, centre, right = (low + (number + k) * step for k in range(3))
        up, down = (mels - left) / (centre - left), (right - mels) / (right - centre)
        bank[number, : fft // 2] = np.maximum(0, np.minimum(up, down))
    return bank


class Mfcc(nn.Module):
    """Sound (B, samples), 16-bit scale -> cepstra (B, frames, cepstra)."""

    def __init__(self, options: MfccOptions) -> None:
        super().__init__()
        self.options = options
        n = options.length
        self.fft = 1 << (n - 1).bit_length()
        window = 0.54 - 0.46 * np.cos(2 * math.pi * np.arange(n) / (n - 1))
        bins = options.bins
        cosine = np.cos(math.pi / bins * (np.arange(bins)[:, None] + 0.5) * np.arange(bins))
        dct = cosine * math.sqrt(2 / bins)
        dct[:, 0] = math.sqrt(1 / bins)
        dct = dct[:, : options.cepstra]
        if options.lifter:
            order = np.arange(options.cepstra)
            dct = dct * (1 + 0.5 * options.lifter * np.sin(math.pi * order / options.lifter))
        self.window: Tensor
        self.bank: Tensor
        self.dct: Tensor
        self.register_buffer("window", torch.tensor(window, dtype=torch.float32))
        self.register_buffer("bank", torch.tensor(_bank(options, self.fft), dtype=torch.float32))
        self.register_buffer("dct", torch.tensor(dct, dtype=torch.float32))

    def forward(self, sound: Tensor) -> Tensor:
        """The cepstra of a batch."""
        frames = sound.unfold(-1, self.options.length, self.options.shift)
        first = frames[..., :1]
        emphasised = frames - 0.97 * torch.cat([first, frames[..., :-1]], -1)
        power = torch.fft.rfft(emphasised * self.window, self.fft).abs().square()
        energies = (power @ self.bank.T).clamp_min(torch.finfo(torch.float32).eps)
        return energies.log() @ self.dct
