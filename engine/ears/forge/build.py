"""Puts the model folder together: network, graph, settings, licence."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Mapping
from pathlib import Path

import numpy as np

from engine.ears.forge import kaldi, lexicon, sphinx
from engine.ears.forge.graph import STATES, Builder, Costs, Graph, transition_costs
from engine.ears.forge.kaldi import token
from engine.ears.forge.network import CEPSTRA, network, output_order
from engine.ears.forge.sphinx import AcousticModel
from engine.ears.grammar import lengths, numbers, patterns, vocabulary
from models.command import Context

MFCC_OPTIONS = {
    "sample-frequency": "16000",
    "frame-length": "25.625",
    "frame-shift": "10",
    "window-type": "hamming",
    "preemphasis-coefficient": "0.97",
    "remove-dc-offset": "false",
    "dither": "1.0",
    "snip-edges": "true",
    "use-energy": "false",
    "num-mel-bins": "25",
    "low-freq": "130",
    "high-freq": "6800",
    "num-ceps": str(CEPSTRA),
    "cepstral-lifter": "22",
}
"""The original's front end (its feat.params) in Kaldi's words."""

DECODER_OPTIONS = {
    "min-active": "200",
    "max-active": "2000",
    "beam": "10.0",
    "lattice-beam": "6.0",
    "frame-subsampling-factor": "1",
    "frames-per-chunk": "10",
    # The gate in front decides where an utterance ends, so Vosk's own end-pointer never does.
    "endpoint.rule1.min-trailing-silence": "60",
    "endpoint.rule2.min-trailing-silence": "60",
    "endpoint.rule3.min-trailing-silence": "60",
    "endpoint.rule4.min-trailing-silence": "60",
    "endpoint.rule5.min-utterance-length": "600",
}

PRIOR_MEAN = (68.4, -12.6, 0.1, 3.5, 2.5, -5.2, -1.7, -2.8, -5.3, -2.7, -6.4, -1.7, 1.1)
"""The cepstral mean to begin with: the one CMU gives for a live start (41.00 -5.29 -0.12 5.09 2.48
-4.07 -1.37 -1.78 -5.08 -2.05 -6.45 -1.42 1.17; from memory), less the constant by which the two
front ends differ. No voice of ours is in it."""
PRIOR_FRAMES = 1000

COSTS = Costs(garbage_frame=0.32, garbage=3.0, decoy=3.5, more=8.0, word=1.0)
"""Tuned on some synthetic voices and reported on others: see DEVELOPERS.md."""


def sentences(language: str = "en") -> set[tuple[str, ...]]:
    """Every sentence that the ears understand in any context."""
    fillings = {"{n}": list(numbers(language)), "{m}": list(lengths(language))}
    found: set[tuple[str, ...]] = set()
    for pattern in patterns(Context.NUMBER, language):
        filled: list[tuple[str, ...]] = [()]
        for word in pattern:
            filled = [had + more for had in filled for more in fillings.get(word, [(word,)])]
        found.update(filled)
    return found


def build(
    folder: Path, costs: Costs = COSTS, options: Mapping[str, str] = DECODER_OPTIONS
) -> list[int]:
    """Writes the starter model into `folder`, the same bytes from the same inputs.

    Returns the senones of the CMU model in the order of the network's outputs.
    """
    model = sphinx.read_model()
    dictionary = lexicon.with_variants(sphinx.read_dictionary())
    said = sentences()
    alone = {sentence[0] for sentence in said if len(sentence) == 1}
    decoys = lexicon.decoys(dictionary, set(vocabulary()), alone)
    graph = Builder(model, dictionary, costs).build(said, decoys)
    for name in ("am", "conf", "graph/phones"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    order = output_order(model, {s for unit in graph.units for s in unit.senones or ()})
    body = kaldi.BINARY + _transition_model(model, graph, order) + network(model, order)
    (folder / "am" / "final.mdl").write_bytes(body)
    (folder / "am" / "global_cmvn.stats").write_bytes(_mean_prior())
    shutil.copy(sphinx.model_dir() / "README", folder / "LICENSE.cmu-en-us")
    graph.machine.write(str(folder / "graph" / "HCLG.fst"))
    _write_lines(
        folder / "graph" / "words.txt", (f"{word} {i}" for i, word in enumerate(graph.words))
    )
    _write_lines(
        folder / "graph" / "phones" / "word_boundary.int",
        (f"{number} {unit.place}" for number, unit in enumerate(graph.units, 1)),
    )
    _write_lines(
        folder / "conf" / "mfcc.conf", (f"--{key}={value}" for key, value in MFCC_OPTIONS.items())
    )
    silent = ":".join(
        str(number) for number, unit in enumerate(graph.units, 1) if unit.place == "nonword"
    )
    settings = {
        **options,
        "acoustic-scale": str(costs.acoustic_scale),
        "endpoint.silence-phones": silent,
    }
    _write_lines(
        folder / "conf" / "model.conf", (f"--{key}={value}" for key, value in settings.items())
    )
    return order


def _write_lines(path: Path, lines: Iterable[str]) -> None:
    path.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8", newline="\n")


def _mean_prior() -> bytes:
    """Kaldi's mean statistics: sums and count, then squares, which are not used."""
    sums = np.array([*PRIOR_MEAN, 1.0]) * PRIOR_FRAMES
    squares = np.array([*np.square(PRIOR_MEAN), 0.0]) * PRIOR_FRAMES
    return kaldi.BINARY + kaldi.double_matrix(np.stack([sums, squares]))


def _transition_model(model: AcousticModel, graph: Graph, order: list[int]) -> bytes:
    """Three states left to right for every unit; each state's output and probabilities."""
    outputs = {senone: number for number, senone in enumerate(order)}
    count = len(graph.units)
    topology = token("<Topology>") + kaldi.int_vector(range(1, count + 1))
    topology += kaldi.int_vector([-1] + [0] * count) + kaldi.int32(1) + kaldi.int32(STATES + 1)
    for state in range(STATES):
        topology += kaldi.int32(state) + kaldi.int32(2)
        for target in (state, state + 1):
            topology += kaldi.int32(target) + kaldi.float32(0.5)
    topology += kaldi.int32(-1) + kaldi.int32(0) + token("</Topology>")
    triples = token("<Triples>") + kaldi.int32(STATES * count)
    logs = [0.0]
    for number, unit in enumerate(graph.units, 1):
        for state in range(STATES):
            output = len(order) if unit.senones is None else outputs[unit.senones[state]]
            triples += kaldi.int32(number) + kaldi.int32(state) + kaldi.int32(output)
            stay, leave = transition_costs(model, unit.transition, state)
            logs += [-stay, -leave]
    triples += token("</Triples>")
    return (
        token("<TransitionModel>") + topology + triples
        + token("<LogProbs>") + kaldi.vector(logs) + token("</LogProbs>")
        + token("</TransitionModel>")
    )  # fmt: skip
