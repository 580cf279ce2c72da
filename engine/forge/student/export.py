"""Stage three: the trained network as plain affine layers, for the forge to build models with."""

from pathlib import Path

import numpy as np
import torch

from engine.forge.tdnn import OFFSETS, Affine

_EPSILON = 1e-5
"""PyTorch's own, in every batch norm."""
_RAREST = 2e-5
"""A senone that the teacher never found has this prior instead: no boost for what is not known."""


def folded(path: Path) -> list[Affine]:
    """The affine layers in order, each with the batch norm before it folded in; neck, output.

    `path` has what training saved: weights, and the prior of each senone.
    """
    learnt = torch.load(path, weights_only=True)
    w = {name: value.double().numpy() for name, value in learnt["weights"].items()}
    prior = learnt["prior"].double().numpy()

    def joined(name: str, norm: str, copies: int) -> Affine:
        scale = np.tile(1 / np.sqrt(w[f"{norm}.running_var"] + _EPSILON), copies)
        mean = np.tile(w[f"{norm}.running_mean"], copies)
        matrix = w[f"{name}.weight"] * scale
        return matrix, w[f"{name}.bias"] - matrix @ mean

    norms = ["input", *(f"layers.{k}.norm" for k in range(len(OFFSETS)))]
    affine = [
        joined(f"layers.{k}.affine", norms[k], len(offsets)) for k, offsets in enumerate(OFFSETS)
    ]
    bias = w["output.bias"] - np.log(np.maximum(prior, _RAREST))
    return [*affine, joined("neck", norms[-1], 1), (w["output.weight"], bias)]
