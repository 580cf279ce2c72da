"""Stage three: the student as a Vosk model folder, with the starter's own graph and word list.

Batch norms are folded into the affine layers that follow them; what is left are affine layers,
ReLUs and the maximum that the garbage filler is measured by. Log priors are taken off the output's
bias. The log softmax is left out: it takes the same from every output of a frame, and the decoder
compares outputs only.
"""

from pathlib import Path

import numpy as np
import torch
from numpy.typing import NDArray

from engine.ears.forge import kaldi, network
from engine.ears.forge.build import build
from engine.ears.forge.graph import Costs
from engine.ears.forge.kaldi import token
from engine.ears.forge.settings import MFCC_OPTIONS
from engine.ears.forge.sphinx import AcousticModel
from engine.ears.student.features import STUDENT
from engine.ears.student.network import LEFT, OFFSETS, RIGHT

_EPSILON = 1e-5
"""PyTorch's own, in every batch norm."""
_RAREST = 2e-5
"""A senone that the teacher never found has this prior instead: no boost for what is not known."""

Floats = NDArray[np.float64]
Affine = tuple[Floats, Floats]


def folded(learnt: dict[str, object]) -> list[Affine]:
    """The affine layers in order, each with the batch norm before it folded in; neck, output.

    `learnt` is what training saved: weights, and the prior of each senone.
    """
    weights, prior = learnt["weights"], learnt["prior"]
    assert isinstance(weights, dict)
    assert isinstance(prior, torch.Tensor)
    w = {name: value.double().numpy() for name, value in weights.items()}

    def joined(name: str, norm: str, copies: int) -> Affine:
        scale = np.tile(1 / np.sqrt(w[f"{norm}.running_var"] + _EPSILON), copies)
        mean = np.tile(w[f"{norm}.running_mean"], copies)
        matrix = w[f"{name}.weight"] * scale
        return matrix, w[f"{name}.bias"] - matrix @ mean

    norms = ["input", *(f"layers.{k}.norm" for k in range(len(OFFSETS)))]
    affine = [
        joined(f"layers.{k}.affine", norms[k], len(offsets)) for k, offsets in enumerate(OFFSETS)
    ]
    bias = w["output.bias"] - np.log(np.maximum(prior.double().numpy(), _RAREST))
    return [*affine, joined("neck", norms[-1], 1), (w["output.weight"], bias)]


def nnet(affine: list[Affine], model: AcousticModel, order: list[int]) -> bytes:
    """The nnet3 part of a Kaldi model for senones in `forge.network.output_order`."""
    free = len(network.free_senones(model))
    *hidden, neck, (matrix, bias) = affine
    layers = [*hidden, neck, (matrix[order], bias[order])]
    components = [
        (f"affine{k}", network.affine(*layer, packed=True)) for k, layer in enumerate(layers)
    ]
    lines = [f"input-node name=input dim={STUDENT.cepstra}"]
    below = "input"
    for k, offsets in enumerate(OFFSETS):
        parts = ", ".join(f"Offset({below}, {o})" if o else below for o in offsets)
        lines.append(f"component-node name=affine{k} component=affine{k} input=Append({parts})")
        lines.append(f"component-node name=relu{k} component=relu{k} input=affine{k}")
        components.append((f"relu{k}", _rectifier(len(hidden[k][1]))))
        below = f"relu{k}"
    for k in (len(hidden), len(hidden) + 1):
        lines.append(f"component-node name=affine{k} component=affine{k} input={below}")
        below = f"affine{k}"
    lines += [
        f"dim-range-node name=free input-node={below} dim-offset={len(order) - free} dim={free}",
        "component-node name=best component=best input=free",
        f"output-node name=output input=Append({below}, best) objective=linear",
    ]
    components.append(("best", network.maximum(free)))
    return network.assembled(lines, components, LEFT, RIGHT)


def _rectifier(size: int) -> bytes:
    empty, none = kaldi.vector([]), kaldi.float64(0)
    return (
        token("<RectifiedLinearComponent>")
        + token("<Dim>") + kaldi.int32(size)
        + token("<ValueAvg>") + empty + token("<DerivAvg>") + empty
        + token("<Count>") + none
        + token("<OderivRms>") + empty + token("<OderivCount>") + none
        + token("<NumDimsSelfRepaired>") + none + token("<NumDimsProcessed>") + none
        + token("</RectifiedLinearComponent>")
    )  # fmt: skip


FRONT_END = {
    **MFCC_OPTIONS,
    "num-mel-bins": str(STUDENT.bins),
    "num-ceps": str(STUDENT.cepstra),
    "low-freq": f"{STUDENT.low:g}",
    "high-freq": f"{STUDENT.high:g}",
    "cepstral-lifter": f"{STUDENT.lifter:g}",
}
COSTS = Costs(acoustic_scale=0.3, garbage_frame=0.32, garbage=3.0, decoy=3.5, more=8.0, word=1.0)
"""Tuned on the voices that the hearing bench keeps for tuning."""


def export(learnt: Path, target: Path, costs: Costs = COSTS) -> list[int]:
    """Writes the model folder; returns the senones in the order of the network's outputs."""
    affine = folded(torch.load(learnt, weights_only=True))
    return build(
        target,
        costs,
        nnet=lambda model, order: nnet(affine, model, order),
        front_end=FRONT_END,
        mean=False,
    )
