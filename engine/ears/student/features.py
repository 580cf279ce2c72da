"""Kaldi's MFCC in PyTorch, for whole batches: what Vosk computes from the same options.

Formulas: Kaldi's feat/feature-mfcc, feature-window and mel-computations, with snip-edges,
no DC removal and no dither.
"""

import math
from dataclasses import dataclass

import numpy as np
import torch
from torch import Tensor, nn

from engine.ears.student.speech import RATE


@dataclass(frozen=True)
class MfccOptions:
    """The options that differ between teacher and student. Frequencies in Hz."""

    bins: int
    cepstra: int
    low: float
    high: float
    lifter: float = 22.0
    window: str = "hamming"
    length: int = 410
    """Samples of a frame: 25.625 ms."""
    shift: int = 160


TEACHER = MfccOptions(bins=25, cepstra=13, low=130, high=6800)
"""The front end of the CMU model, as the starter model sets it."""
STUDENT = MfccOptions(bins=40, cepstra=40, low=60, high=7600, lifter=0.0)
"""A finer one: as many cepstra as bins, so that nothing is thrown away."""


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
