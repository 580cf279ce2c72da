"""The Gaussian mixtures as a Kaldi nnet3 network, exact but for the packing of its numbers.

Per frame: 7 frames of 13 cepstra -> the model's 39 features (an affine map, scaled to unit
variance) and their squares -> per stream the log density of every Gaussian (affine) -> softmax over
all of them, which only shifts every senone of a frame alike -> mixture weights, one block per
codebook -> logarithm -> sum of the streams. Vosk 0.3.45 knows no logarithm; a NormalizeComponent of
block size one that appends the log of its root mean square is one. A last output is the best of all
context-free states: how well *any* speech sound fits, the yardstick of the garbage filler.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from engine.forge import kaldi
from engine.forge.kaldi import token
from engine.forge.sphinx import VARIANCE_FLOOR, AcousticModel, Floats

CEPSTRA = 13
CONTEXT = 3
"""Frames before and after that the features reach."""
STREAMS = 3
_HEADROOM = 40.0
"""Weights are raised by e^40, far above the logarithm's floor of e^-22.9."""
_NEVER = -1e4
"""The log density of a Gaussian that must not count."""
_LEAST_SPREAD = 0.01
"""A variance floor as part of the feature's own: a handful of needle-thin Gaussians would
otherwise stretch the range that the packing has to cover."""
_ABSENT = 1e-12
"""The weight of an unused place: low, but no zero for the logarithm to stumble on."""


def feature_map() -> Floats:
    """(39, 91): seven frames of cepstra to c, c[+2]-c[-2], c[+3]-c[-1]-c[+1]+c[-3].

    The feature type 1s_c_d_dd of CMU Sphinx, which the model was trained on.
    """
    rows = np.zeros((STREAMS * CEPSTRA, (2 * CONTEXT + 1) * CEPSTRA))
    parts = {0: {0: 1}, 1: {2: 1, -2: -1}, 2: {3: 1, -1: -1, 1: -1, -3: 1}}
    for stream, terms in parts.items():
        for offset, sign in terms.items():
            for cepstrum in range(CEPSTRA):
                column = (offset + CONTEXT) * CEPSTRA + cepstrum
                rows[stream * CEPSTRA + cepstrum, column] = sign
    return rows


@dataclass(frozen=True)
class Blocks:
    """Which senones share a block of the mixture layer, all blocks being of one size.

    A codebook with many senones has its Gaussians more than once, for the sake of small blocks.
    """

    codebooks: list[int]
    senones: list[list[int]]
    size: int

    @classmethod
    def packed(cls, model: AcousticModel, senones: list[int]) -> Blocks:
        """The block size with the fewest stored numbers."""
        by_codebook: dict[int, list[int]] = {}
        for senone in senones:
            by_codebook.setdefault(int(model.codebooks[senone]), []).append(senone)
        gaussian_cost = STREAMS * 2 * CEPSTRA

        def cost(size: int) -> int:
            count = sum(-(-len(group) // size) for group in by_codebook.values())
            return count * (gaussian_cost + STREAMS * size)

        size = min(range(4, 129), key=cost)
        pieces = [
            (codebook, group[start : start + size])
            for codebook, group in sorted(by_codebook.items())
            for start in range(0, len(group), size)
        ]
        return cls([codebook for codebook, _ in pieces], [piece for _, piece in pieces], size)


def free_senones(model: AcousticModel) -> list[int]:
    """The states of the base phones without context, noises and silence left out."""
    speech = (phone for phone in range(len(model.names)) if phone not in model.fillers)
    return sorted({int(senone) for phone in speech for senone in model.senones[phone]})


def output_order(model: AcousticModel, wanted: set[int]) -> list[int]:
    """The senones in the order of the network's outputs: those wanted, then the context-free ones.

    One more output follows them: the best of the context-free states.
    """
    free = free_senones(model)
    return sorted(wanted - set(free)) + free


def network(model: AcousticModel, order: list[int]) -> bytes:
    """The nnet3 part of a Kaldi model for senones in `output_order`."""
    blocks = Blocks.packed(model, order)
    places = {
        senone: block * blocks.size + place
        for block, group in enumerate(blocks.senones)
        for place, senone in enumerate(group)
    }
    outputs = len(blocks.senones) * blocks.size
    # The logarithm stands behind each normalised value: odd places of twice as many.
    columns = [2 * places[senone] + 1 for senone in order]
    free = len(free_senones(model))
    components = [
        *_features(model),
        *_mixtures(model, blocks),
        ("logarithm", _logarithm(outputs)),
        ("choose", _permutation(columns, 2 * outputs)),
        ("best", maximum(free)),
    ]
    return _assemble(components, len(order), free)


def affine(
    weights: NDArray[np.float64],
    bias: NDArray[np.float64],
    store: Callable[[ArrayLike], bytes] = kaldi.matrix,
) -> bytes:
    """An affine layer, (outputs, inputs) and (outputs,); `store` writes its weights."""
    return (
        token("<FixedAffineComponent>")
        + token("<LinearParams>") + store(weights)
        + token("<BiasParams>") + kaldi.vector(bias)
        + token("</FixedAffineComponent>")
    )  # fmt: skip


def _scaling(model: AcousticModel) -> tuple[Floats, Floats]:
    """Mean and deviation of each feature over all Gaussians, (F, D) each, to keep numbers small."""
    mean = model.means.mean((0, 2))
    deviation = np.sqrt(model.variances.mean((0, 2)) + model.means.var((0, 2)))
    return mean, deviation


def _features(model: AcousticModel) -> list[tuple[str, bytes]]:
    mean, deviation = (values.reshape(-1) for values in _scaling(model))
    square = (
        token("<ElementwiseProductComponent>")
        + token("<InputDim>") + kaldi.int32(2 * STREAMS * CEPSTRA)
        + token("<OutputDim>") + kaldi.int32(STREAMS * CEPSTRA)
        + token("</ElementwiseProductComponent>")
    )  # fmt: skip
    feature = affine(feature_map() / deviation[:, None], -mean / deviation)
    return [("feature", feature), ("square", square)]


def _mixtures(model: AcousticModel, blocks: Blocks) -> list[tuple[str, bytes]]:
    densities = model.means.shape[2]
    count = len(blocks.codebooks)
    mean, deviation = _scaling(model)
    made: list[tuple[str, bytes]] = []
    for stream in range(STREAMS):
        centre = (model.means[blocks.codebooks, stream] - mean[stream]) / deviation[stream]
        spread = model.variances[blocks.codebooks, stream] / deviation[stream] ** 2
        centre = centre.reshape(-1, CEPSTRA)
        spread = np.maximum(spread.reshape(-1, CEPSTRA), _LEAST_SPREAD)
        weights = np.concatenate([centre / spread, -0.5 / spread], 1)
        bias = -0.5 * (centre**2 / spread + np.log(spread)).sum(1)
        # A few Gaussians saw no data and are spikes at the variance floor: they never win.
        unused = (model.variances[blocks.codebooks, stream] <= VARIANCE_FLOOR).any(-1).reshape(-1)
        weights[unused] = 0
        bias[unused] = _NEVER
        made.append((f"density{stream}", affine(weights, bias, kaldi.packed_matrix)))
    made.append(("posterior", _softmax(count * densities)))
    for stream in range(STREAMS):
        mixing = np.full((count, blocks.size, densities), _ABSENT)
        for block, group in enumerate(blocks.senones):
            mixing[block, : len(group)] = model.weights[group, stream]
        mixing *= math.exp(_HEADROOM)
        made.append((f"mixture{stream}", _block_affine(mixing)))
    return made


def _softmax(size: int) -> bytes:
    empty = kaldi.vector([])
    none = kaldi.float64(0)
    return (
        token("<SoftmaxComponent>")
        + token("<Dim>") + kaldi.int32(size)
        + token("<ValueAvg>") + empty + token("<DerivAvg>") + empty + token("<Count>") + none
        + token("<OderivRms>") + empty + token("<OderivCount>") + none
        + token("<NumDimsSelfRepaired>") + none + token("<NumDimsProcessed>") + none
        + token("</SoftmaxComponent>")
    )  # fmt: skip


def _block_affine(blocks: Floats) -> bytes:
    count, size, inputs = blocks.shape
    return (
        token("<BlockAffineComponent>")
        + token("<LearningRate>") + kaldi.float32(0.001)
        + token("<NumBlocks>") + kaldi.int32(count)
        + token("<LinearParams>") + kaldi.packed_matrix(blocks.reshape(count * size, inputs))
        + token("<BiasParams>") + kaldi.vector(np.zeros(count * size))
        + token("</BlockAffineComponent>")
    )  # fmt: skip


def _logarithm(size: int) -> bytes:
    return (
        token("<NormalizeComponent>")
        + token("<InputDim>") + kaldi.int32(size)
        + token("<BlockDim>") + kaldi.int32(1)
        + token("<TargetRms>") + kaldi.float32(1.0)
        + token("<AddLogStddev>") + b"T"
        + token("</NormalizeComponent>")
    )  # fmt: skip


def _permutation(front: list[int], size: int) -> bytes:
    """Brings the columns `front` to the front, in order; the rest follow."""
    taken = set(front)
    columns = [*front, *(column for column in range(size) if column not in taken)]
    return (
        token("<PermuteComponent>")
        + token("<ColumnMap>")
        + kaldi.int_vector(columns)
        + token("</PermuteComponent>")
    )


def maximum(size: int) -> bytes:
    """The greatest of `size` values."""
    fields = {
        "<InputXDim>": size, "<InputYDim>": 1, "<InputZDim>": 1,
        "<PoolXSize>": size, "<PoolYSize>": 1, "<PoolZSize>": 1,
        "<PoolXStep>": 1, "<PoolYStep>": 1, "<PoolZStep>": 1,
    }  # fmt: skip
    body = b"".join(token(name) + kaldi.int32(value) for name, value in fields.items())
    return token("<MaxpoolingComponent>") + body + token("</MaxpoolingComponent>")


def _assemble(components: list[tuple[str, bytes]], senones: int, free: int) -> bytes:
    offsets = range(-CONTEXT, CONTEXT + 1)
    frames = ", ".join(f"Offset(input, {offset})" if offset else "input" for offset in offsets)
    lines = [
        f"input-node name=input dim={CEPSTRA}",
        f"component-node name=feature component=feature input=Append({frames})",
        "component-node name=square component=square input=Append(feature, feature)",
    ]
    for stream in range(STREAMS):
        part = f"dim-offset={stream * CEPSTRA} dim={CEPSTRA}"
        lines += [
            f"dim-range-node name=x{stream} input-node=feature {part}",
            f"dim-range-node name=xx{stream} input-node=square {part}",
            f"component-node name=density{stream} component=density{stream}"
            f" input=Append(x{stream}, xx{stream})",
            f"component-node name=posterior{stream} component=posterior input=density{stream}",
            f"component-node name=mixture{stream} component=mixture{stream}"
            f" input=posterior{stream}",
            f"component-node name=logarithm{stream} component=logarithm input=mixture{stream}",
        ]
    lines += [
        "component-node name=choose component=choose"
        " input=Sum(logarithm0, Sum(logarithm1, logarithm2))",
        f"dim-range-node name=senones input-node=choose dim-offset=0 dim={senones}",
        f"dim-range-node name=free input-node=choose dim-offset={senones - free} dim={free}",
        "component-node name=best component=best input=free",
        "output-node name=output input=Append(senones, best) objective=linear",
    ]
    return assembled(lines, components, CONTEXT, CONTEXT)


def assembled(
    lines: list[str], components: list[tuple[str, bytes]], left: int, right: int
) -> bytes:
    """A network of its configuration lines and components, with its context in frames."""
    text = token("<Nnet3>") + b"\n" + ("\n".join(lines) + "\n\n").encode("ascii")
    body = token("<NumComponents>") + kaldi.int32(len(components))
    for name, component in components:
        body += token("<ComponentName>") + token(name) + component
    context = token("<LeftContext>") + kaldi.int32(left)
    context += token("<RightContext>") + kaldi.int32(right)
    return text + body + token("</Nnet3>") + context + token("<Priors>") + kaldi.vector([])
