"""The network that ships: a small TDNN that has learnt the CMU model's senones in noise and talk.

`learnt.npz` beside this module has its layers for every senone of that model, in half precision, as
`engine.forge.student` trained them; a graph picks the outputs that its words need. Batch norms are
folded into the affine layers that follow them; what is left are affine layers, ReLUs and the
maximum that the garbage filler is measured by. Log priors are taken off the output's bias. The log
softmax is left out: it takes the same from every output of a frame, and the decoder compares
outputs only.
"""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from engine.forge import kaldi, network
from engine.forge.kaldi import token
from engine.forge.settings import MFCC_OPTIONS
from engine.forge.sphinx import AcousticModel

Floats = NDArray[np.float64]
Affine = tuple[Floats, Floats]
"""Weights (outputs, inputs) and bias (outputs,)."""

OFFSETS = (
    (-2, -1, 0, 1, 2), (-1, 0, 1), (-3, 0, 3), (-3, 0), (-6, 0), (-9, 0), (-12, 0),
)  # fmt: skip
"""Frames that each layer joins, relative to its own. They reach further back than ahead because
every frame ahead is 10 ms of waiting for the answer; and far enough to tell a voice from the room
that went on before it."""
LEFT = -sum(min(offsets) for offsets in OFFSETS)
RIGHT = sum(max(offsets) for offsets in OFFSETS)
CEPSTRA = 40
FRONT_END = {
    **MFCC_OPTIONS,
    # finer than the teacher's: as many cepstra as bins, so that nothing is thrown away
    "num-mel-bins": str(CEPSTRA),
    "num-ceps": str(CEPSTRA),
    "low-freq": "60",
    "high-freq": "7600",
    "cepstral-lifter": "0",
}
LEARNT = Path(__file__).with_name("learnt.npz")


def read(path: Path = LEARNT) -> list[Affine]:
    """The hidden layers, then the neck, then the output for every senone."""
    with np.load(path) as stored:
        count = len(stored.files) // 2
        return [
            (stored[f"weights{k}"].astype(np.float64), stored[f"bias{k}"].astype(np.float64))
            for k in range(count)
        ]


def write(path: Path, layers: list[Affine]) -> None:
    """Keeps the layers, their weights in half precision."""
    parts: dict[str, NDArray[np.floating]] = {}
    for k, (weights, bias) in enumerate(layers):
        parts[f"weights{k}"] = weights.astype(np.float16)
        parts[f"bias{k}"] = bias.astype(np.float32)
    np.savez_compressed(path, allow_pickle=False, **parts)


def nnet(layers: list[Affine], model: AcousticModel, order: list[int]) -> bytes:
    """The nnet3 part of a Kaldi model for senones in `forge.network.output_order`."""
    free = len(network.free_senones(model))
    *hidden, neck, (matrix, bias) = layers
    layers = [*hidden, neck, (matrix[order], bias[order])]
    # The first layer sees numbers of all sizes; the others can do with a byte a weight.
    stores = [kaldi.packed_matrix] + [kaldi.byte_matrix] * (len(layers) - 1)
    components = [
        (f"affine{k}", network.affine(*layer, store))
        for k, (layer, store) in enumerate(zip(layers, stores, strict=True))
    ]
    lines = [f"input-node name=input dim={CEPSTRA}"]
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
