"""The student: a small TDNN that looks 36 frames back and 6 ahead.

It looks further back than ahead because every frame ahead is 10 ms of waiting for the answer.
"""

import torch
from torch import Tensor, nn
from torch.nn import functional

from engine.forge.tdnn import OFFSETS

WIDTH = 512
NECK = 160
DROPOUT = 0.1


class Layer(nn.Module):
    """Joined frames -> affine -> ReLU -> batch norm, the norm without scale and shift."""

    def __init__(self, inputs: int, offsets: tuple[int, ...], width: int) -> None:
        super().__init__()
        self.offsets = offsets
        self.affine = nn.Linear(inputs * len(offsets), width)
        self.norm = nn.BatchNorm1d(width, affine=False)

    def forward(self, x: Tensor) -> Tensor:
        """(B, T, inputs) -> (B, T - reach, width)."""
        low, high = min(self.offsets), max(self.offsets)
        length = x.shape[1] - (high - low)
        joined = torch.cat([x[:, o - low : o - low + length] for o in self.offsets], -1)
        y = torch.relu(self.affine(joined))
        normed: Tensor = self.norm(y.flatten(0, 1)).view_as(y)
        return functional.dropout(normed, DROPOUT, self.training)


class Student(nn.Module):
    """Cepstra (B, LEFT + T + RIGHT, C) -> logits over all senones (B, T, senones)."""

    def __init__(self, cepstra: int, senones: int) -> None:
        super().__init__()
        self.input = nn.BatchNorm1d(cepstra, affine=False)
        widths = [cepstra] + [WIDTH] * len(OFFSETS)
        self.layers = nn.ModuleList(
            Layer(inputs, offsets, WIDTH)
            for inputs, offsets in zip(widths[:-1], OFFSETS, strict=True)
        )
        self.neck = nn.Linear(WIDTH, NECK)
        self.output = nn.Linear(NECK, senones)

    def forward(self, x: Tensor) -> Tensor:
        """The logits of a batch."""
        x = self.input(x.flatten(0, 1)).view_as(x)
        for layer in self.layers:
            x = layer(x)
        scores: Tensor = self.output(self.neck(x))
        return scores
