"""Puts the model folder together: network, graph, settings, licence."""

from __future__ import annotations

import json
import lzma
import shutil
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pywrapfst as fst

from engine.ears import phones as spoken
from engine.ears.recogniser import context_graph
from engine.forge import kaldi, lexicon, sphinx, tdnn
from engine.forge.graph import STATES, Builder, Costs, Graph, transition_costs
from engine.forge.kaldi import token
from engine.forge.network import network, output_order
from engine.forge.settings import DECODER_OPTIONS, MFCC_OPTIONS, PRIOR_FRAMES, PRIOR_MEAN
from engine.forge.sphinx import AcousticModel
from engine.words.grammar import attention, lengths, numbers, patterns, vocabulary
from engine.words.vocabulary import words
from models.command import Action, Context


@dataclass(frozen=True)
class Acoustics:
    """What turns sound into scores of senones, with the costs of a graph that fit them."""

    costs: Costs
    nnet: Callable[[AcousticModel, list[int]], bytes]
    """The network for an order of outputs, as Kaldi's nnet3."""
    front_end: Mapping[str, str]
    """Kaldi's options for what the network hears."""
    mean: bool
    """Whether the cepstra's running mean is taken off first."""


MIXTURES = Acoustics(
    costs=Costs(garbage_frame=0.46, garbage=3.0, decoy=3.5, more=8.0, word=1.0, expected=-4.0),
    nnet=network,
    front_end=MFCC_OPTIONS,
    mean=True,
)
"""The CMU model's own Gaussian mixtures: the teacher of what ships."""
# The costs were tuned on the voices that the hearing bench keeps for tuning.


def learnt(layers: list[tdnn.Affine]) -> Acoustics:
    """The network that ships, of its layers (`tdnn.read`)."""
    return Acoustics(
        costs=Costs(
            acoustic_scale=0.25,
            garbage_frame=0.28,
            garbage=3.0,
            decoy=3.5,
            more=8.0,
            word=1.0,
            expected=-4.0,
        ),
        nnet=lambda model, order: tdnn.nnet(layers, model, order),
        front_end=tdnn.FRONT_END,
        mean=False,
    )


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


def plain(language: str = "en") -> set[tuple[str, ...]]:
    """The phrases as the table has them, without their numbers and the attention word."""
    return {
        tuple(word for word in phrase.split() if not word.startswith("{"))
        for line in words(language)
        for phrase in line.phrases
    }


def _tell_phones(
    folder: Path, model: AcousticModel, dictionary: lexicon.Dictionary, order: list[int]
) -> None:
    """Writes what `ears.phones` looks the network up by."""
    columns = {senone: column for column, senone in enumerate(order)}
    phones = [model.silence, *(p for p in range(len(model.names)) if p not in model.fillers)]
    numbers = {model.names[phone]: number for number, phone in enumerate(phones)}
    own = set(vocabulary()) | set(attention())
    told = {
        "phones": [model.names[phone] for phone in phones],
        "columns": [[columns[int(s)] for s in model.senones[phone]] for phone in phones],
        "words": {
            word: [[numbers[phone] for phone in said] for said in dictionary[word]]
            for word in sorted(own)
        },
        "alike": {
            word: [[numbers[phone] for phone in said] for said in ways]
            for word, ways in lexicon.alike(dictionary, own).items()
        },
        "offsets": [list(offsets) for offsets in tdnn.OFFSETS],
        "bins": tdnn.CEPSTRA,
        "low_hz": float(tdnn.FRONT_END["low-freq"]),
        "high_hz": float(tdnn.FRONT_END["high-freq"]),
    }
    text = json.dumps(told, separators=(",", ":"), sort_keys=True)
    (folder / spoken.FILE).write_text(text + "\n", encoding="utf-8", newline="\n")


def build(folder: Path, acoustics: Acoustics) -> list[int]:
    """Writes a model folder, the same bytes from the same inputs.

    Every context may hear every sentence; where an answer is expected, it is the likelier guess.
    Returns the senones of the CMU model in the order of the network's outputs.
    """
    model = sphinx.read_model()
    dictionary, dear = lexicon.with_variants(sphinx.read_dictionary())
    said = sentences()
    alone = {sentence[0] for sentence in said if len(sentence) == 1}
    decoys = lexicon.decoys(dictionary, set(vocabulary()), alone)
    builder = Builder(model, dictionary, acoustics.costs, dear)
    near: dict[str, list[str]] = {}
    if not acoustics.mean:  # the teacher is only compared with: built four times as fast without
        replaced = {word for phrase in plain() for word in phrase}
        near = lexicon.near(dictionary, replaced, set(vocabulary()))
    graph = builder.build(said, decoys, near=near)
    answered = builder.build(said, decoys, answers(), near)
    path = context_graph(folder, Context.NUMBER)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(lzma.compress(_packed(answered.machine).write_to_string()))
    order = write(folder, model, graph, acoustics)
    if not acoustics.mean:
        _tell_phones(folder, model, dictionary, order)
    return order


def answers(language: str = "en") -> set[str]:
    """The first words of what answers a question: of yes, no and each number."""
    yes_or_no = {
        phrase.split()[0]
        for line in words(language)
        if line.action in (Action.YES, Action.NO)
        for phrase in line.phrases
    }
    return yes_or_no | {said[0] for said in lengths(language)}


def _packed(machine: fst.Fst) -> fst.Fst:
    """The graph as one block of states and one of arcs: less to read, and less to keep."""
    return fst.convert(machine, "const")


def write(folder: Path, model: AcousticModel, graph: Graph, acoustics: Acoustics) -> list[int]:
    """Writes the model folder of a graph; returns the senones in the order of the outputs."""
    for name in ("am", "conf", "graph/phones"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    order = output_order(model, {s for unit in graph.units for s in unit.senones or ()})
    body = kaldi.BINARY + _transition_model(model, graph, order) + acoustics.nnet(model, order)
    (folder / "am" / "final.mdl").write_bytes(body)
    if acoustics.mean:
        (folder / "am" / "global_cmvn.stats").write_bytes(_mean_prior())
    shutil.copy(sphinx.model_dir() / "README", folder / "LICENSE.cmu-en-us")
    _packed(graph.machine).write(str(folder / "graph" / "HCLG.fst"))
    _write_lines(
        folder / "graph" / "words.txt", (f"{word} {i}" for i, word in enumerate(graph.words))
    )
    _write_lines(
        folder / "graph" / "phones" / "word_boundary.int",
        (f"{number} {unit.place}" for number, unit in enumerate(graph.units, 1)),
    )
    _write_lines(
        folder / "conf" / "mfcc.conf",
        (f"--{key}={value}" for key, value in acoustics.front_end.items()),
    )
    silent = ":".join(
        str(number) for number, unit in enumerate(graph.units, 1) if unit.place == "nonword"
    )
    settings = {
        **DECODER_OPTIONS,
        "acoustic-scale": str(acoustics.costs.acoustic_scale),
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
