"""The teacher: the CMU mixtures evaluated on an accelerator, all senones at once."""

import numpy as np
import torch
from torch import Tensor, nn
from torch.nn import functional

from engine.forge.network import CONTEXT, feature_map
from engine.forge.sphinx import AcousticModel


class Teacher(nn.Module):
    """Cepstra with their mean taken off (B, T, 13) -> log densities (B, T, senones).

    Each frame's values are right up to one constant, which a softmax over senones forgets.
    """

    def __init__(self, model: AcousticModel) -> None:
        super().__init__()
        self.streams = model.means.shape[1]
        self.map: Tensor
        self.weights: Tensor
        self.bias: Tensor
        self.back: Tensor
        self.mixing: Tensor
        self.register_buffer("map", _float(feature_map()))
        # A handful of Gaussians saw no data; they never win.
        unused = (model.variances <= 1e-4 * 1.01).any(-1)
        weights = np.concatenate([model.means / model.variances, -0.5 / model.variances], -1)
        bias = -0.5 * (model.means**2 / model.variances + np.log(model.variances)).sum(-1)
        weights[unused], bias[unused] = 0, -1e4
        self.register_buffer("weights", _float(weights.transpose(1, 0, 2, 3)))
        self.register_buffer("bias", _float(bias.transpose(1, 0, 2)))
        order = np.argsort(model.codebooks, kind="stable")
        self.register_buffer("back", torch.tensor(np.argsort(order)))
        self.counts = np.bincount(model.codebooks, minlength=len(model.means)).tolist()
        self.register_buffer("mixing", _float(model.weights[order].transpose(1, 0, 2)))

    def forward(self, cepstra: Tensor) -> Tensor:
        """The log densities of a batch."""
        padded = functional.pad(
            cepstra.transpose(1, 2), (CONTEXT, CONTEXT), mode="replicate"
        ).transpose(1, 2)
        windows = padded.unfold(1, 2 * CONTEXT + 1, 1).transpose(2, 3).flatten(2)
        features = (windows @ self.map.T).reshape(*windows.shape[:2], self.streams, -1)
        total: Tensor | None = None
        for stream in range(self.streams):
            x = features[:, :, stream]
            density = torch.einsum(
                "btd,ckd->btck", torch.cat([x, x.square()], -1), self.weights[stream]
            )
            density = (density + self.bias[stream]).flatten(2).log_softmax(-1)
            density = density.reshape(*density.shape[:2], len(self.counts), -1)
            pieces = []
            start = 0
            for codebook, count in enumerate(self.counts):
                if count:
                    mixing = self.mixing[stream, start : start + count].clamp_min(1e-12)
                    best = density[:, :, codebook].amax(-1, keepdim=True)
                    likely = (density[:, :, codebook] - best).exp() @ mixing.T
                    pieces.append(likely.clamp_min(1e-30).log() + best)
                start += count
            scores = torch.cat(pieces, -1)
            total = scores if total is None else total + scores
        assert total is not None
        return total[..., self.back]


def _float(values: np.ndarray) -> Tensor:
    return torch.tensor(np.ascontiguousarray(values), dtype=torch.float32)
