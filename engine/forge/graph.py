"""The decoding graph: the phrases of the table, decoys and a garbage filler, down to HMM states.

A phrase stands once, with unknown speech before or after it if there was any, so that a command in
the midst of talk shows that talk. Words inside a phrase are pronounced in the context of their
neighbours, across the edges and with or without a silence between. Decoys and garbage read
"[unk]", and so do words that sound like one of a phrase and stand in its place: "new bowl" is no
"new ball". A phrase broken off is accepted at a price as the words it has: no command, but no wrong
one either.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import pywrapfst as fst

from engine.forge.sphinx import AcousticModel, Position
from engine.words.grammar import Tokens

UNKNOWN = "[unk]"
STATES = 3
_CLASSES = {
    Position.INTERNAL: "internal",
    Position.BEGIN: "begin",
    Position.END: "end",
    Position.SINGLE: "singleton",
}
_NONWORD = "nonword"


@dataclass(frozen=True)
class Costs:
    """Negative log probabilities at the scale of the decoder (acoustic scale applied)."""

    acoustic_scale: float = 0.1
    word: float = 0.0
    """Each word of a phrase."""
    phrase: float = 0.0
    """Any phrase at all."""
    broken_off: float = 4.0
    """A phrase that ends too soon."""
    decoy: float = 0.0
    near: float = 2.0
    """A word that sounds like one of a phrase, in its place there."""
    garbage: float = 2.0
    """Entering the filler."""
    garbage_frame: float = 0.35
    """Each 10 ms of the filler."""
    noise: float = 2.0
    """A noise phone instead of silence."""
    more: float = 2.0
    """Unknown speech beside the phrase."""
    dear: float = 0.7
    """A pronunciation that is taken at a price."""
    expected: float = 0.0
    """A sentence that answers what was asked, beside the others."""


@dataclass(frozen=True)
class Unit:
    """One phone of the Kaldi model: its senones, transition matrix and place in a word.

    `senones` is None for the garbage phone, whose three states all use the network's last output.
    """

    senones: tuple[int, ...] | None
    transition: int
    place: str


@dataclass(frozen=True)
class _Sound:
    """A label of the phone graph: a base phone, its word position and the word that it begins."""

    phone: int
    position: Position | None
    """None for silence, noise and garbage, which have no context."""
    word: int
    decoy: bool = False


@dataclass(frozen=True)
class _Phone:
    """A phone of the acoustic model, in context, at its place in a word."""

    number: int
    place: str
    decoy: bool


@dataclass
class Graph:
    """A finished graph with its symbols."""

    machine: fst.Fst
    words: list[str]
    units: list[Unit]


def tree(sentences: Iterable[Tokens]) -> tuple[list[dict[str, int]], list[bool], int]:
    """The smallest acyclic word automaton of the sentences: arcs, ends and the start state."""
    root: dict[str, object] = {}
    for sentence in sorted(sentences):
        node = root
        for word in sentence:
            node = node.setdefault(word, {})  # type: ignore[assignment]
        node[""] = True
    arcs: list[dict[str, int]] = []
    ends: list[bool] = []
    known: dict[tuple[bool, tuple[tuple[str, int], ...]], int] = {}

    def place(node: dict[str, object]) -> int:
        out = {
            word: place(after)  # type: ignore[arg-type]
            for word, after in sorted(node.items())
            if word
        }
        key = ("" in node, tuple(out.items()))
        if key not in known:
            known[key] = len(arcs)
            arcs.append(out)
            ends.append("" in node)
        return known[key]

    start = place(root)
    return arcs, ends, start


class Builder:
    """Builds the graphs of one model: they share its words, its phones and its network."""

    def __init__(
        self,
        model: AcousticModel,
        dictionary: dict[str, list[tuple[str, ...]]],
        costs: Costs,
        dear: set[tuple[str, tuple[str, ...]]],
    ) -> None:
        self.model = model
        self.dictionary = dictionary
        self.costs = costs
        self.dear = dear
        self.numbers = {name: number for number, name in enumerate(model.names)}
        self.garbage = len(model.names)
        """The garbage phone's number, one past the model's own."""
        self.words = ["<eps>", UNKNOWN]
        self.word_ids = {word: number for number, word in enumerate(self.words)}
        self.labels: list[_Sound | None] = [None]
        self.label_ids: dict[_Sound, int] = {}
        self.sounds = fst.VectorFst()
        self.spoken: set[int] = set()
        """The senones of the phrases; a decoy has these and context-free ones only."""
        self.units: list[Unit] = []
        self.unit_ids: dict[Unit, int] = {}

    def build(
        self,
        sentences: Iterable[Tokens],
        decoys: Iterable[str],
        expected: Collection[str] = frozenset(),
        near: Mapping[str, Sequence[str]] | None = None,
    ) -> Graph:
        """The graph of the sentences, with the words that are `near` theirs. Those that begin with
        an expected word, and follow no unknown speech, cost as much more or less as
        `Costs.expected` says.

        Raises KeyError for a word that the dictionary lacks.
        """
        sentences = list(sentences)
        for word in sorted({word for sentence in sentences for word in sentence}):
            if word not in self.word_ids:
                self.word_ids[word] = len(self.words)
                self.words.append(word)
        self.sounds = fst.VectorFst()
        self._sound_graph(sentences, sorted(decoys), expected, near or {})
        machine = self._states(*self._in_context())
        return Graph(machine, [*self.words, "#0", "<s>", "</s>"], self.units)

    # The phone graph ------------------------------------------------------------------------

    def _arc(self, source: int, sound: _Sound | None, target: int, cost: float = 0.0) -> None:
        label = 0
        if sound is not None:
            if sound not in self.label_ids:
                self.label_ids[sound] = len(self.labels)
                self.labels.append(sound)
            label = self.label_ids[sound]
        weight = fst.Weight(self.sounds.weight_type(), cost)
        self.sounds.add_arc(source, fst.Arc(label, label, weight, target))

    def _quiet(self, source: int, target: int) -> None:
        """Nothing, silence, or noise at a price, from one state to another."""
        self._arc(source, None, target)
        for name, cost in (("SIL", 0.0), ("+NSN+", self.costs.noise)):
            self._arc(source, _Sound(self.numbers[name], None, 0), target, cost)

    def _say(self, source: int, word: str, shown: int, target: int, cost: float = 0.0) -> None:
        new = self.sounds.add_state
        decoy = shown == self.word_ids[UNKNOWN]
        for phones in self.dictionary[word]:
            price = cost + (self.costs.dear if (word, phones) in self.dear else 0.0)
            at = source
            for place, phone in enumerate(phones):
                first, last = place == 0, place == len(phones) - 1
                position = (
                    Position.SINGLE if first and last
                    else Position.BEGIN if first
                    else Position.END if last
                    else Position.INTERNAL
                )  # fmt: skip
                sound = _Sound(self.numbers[phone], position, shown if first else 0, decoy)
                after = target if last else new()
                self._arc(at, sound, after, price if first else 0.0)
                at = after

    def _sound_graph(
        self,
        sentences: list[Tokens],
        decoys: list[str],
        expected: Collection[str],
        near: Mapping[str, Sequence[str]],
    ) -> None:
        new = self.sounds.add_state
        start, fresh, before, phrases, said, end = (new() for _ in range(6))
        self.sounds.set_start(start)
        self.sounds.set_final(end)
        self._quiet(start, fresh)
        self._arc(fresh, None, before)
        self._arc(before, None, phrases, self.costs.phrase)
        arcs, ends, root = tree(sentences)
        # Each word state twice: before and after the optional silence.
        entry = [new() for _ in arcs]
        ready = [new() for _ in arcs]
        self._arc(phrases, None, ready[root])
        for state, out in enumerate(arcs):
            if state != root:
                self._quiet(entry[state], ready[state])
                self._arc(entry[state], None, said, 0.0 if ends[state] else self.costs.broken_off)
            for word, target in out.items():
                cost = self.costs.word
                self._say(ready[state], word, self.word_ids[word], entry[target], cost)
                for other in near.get(word, ()):
                    price = cost + self.costs.near
                    self._say(ready[state], other, self.word_ids[UNKNOWN], entry[target], price)
        # Not after unknown speech: "dropped loop at nine" would be the likelier for its last word.
        for word in sorted(set(expected) & set(arcs[root])):
            cost = self.costs.word + self.costs.expected
            self._say(fresh, word, self.word_ids[word], entry[arcs[root][word]], cost)
        after = new()
        self._quiet(said, after)
        self._arc(after, None, end)
        # Unknown speech: alone, before a phrase, after one.
        only = new()
        self._unknown(before, only, decoys)
        self._quiet(only, end)
        self._arc(only, None, before, self.costs.more)
        trailing = new()
        self._garbage(after, trailing, self.costs.more)
        self._quiet(trailing, end)

    def _unknown(self, source: int, target: int, decoys: list[str]) -> None:
        unknown = self.word_ids[UNKNOWN]
        inside = self.sounds.add_state()
        self._arc(source, None, inside, self.costs.decoy)
        outside = self.sounds.add_state()
        for word in decoys:
            self._say(inside, word, unknown, outside)
        self._arc(outside, None, target)
        self._garbage(source, target, 0.0)

    def _garbage(self, source: int, target: int, cost: float) -> None:
        unknown = self.word_ids[UNKNOWN]
        noise = _Sound(self.numbers["+SPN+"], None, unknown)
        self._arc(source, noise, target, cost + self.costs.garbage)
        self._arc(source, _Sound(self.garbage, None, unknown), target, cost + self.costs.garbage)

    # Context ----------------------------------------------------------------------------------

    def _in_context(
        self,
    ) -> tuple[list[tuple[int, int | None, int, float, int]], dict[int, float]]:
        """Edges (from, unit, word, cost, to) with every phone in the context of its neighbours."""
        self.sounds.rmepsilon()
        graph = fst.determinize(self.sounds)
        graph.minimize()
        silence = self.model.silence
        arcs = [
            [(arc.ilabel, float(arc.weight), arc.nextstate) for arc in graph.arcs(state)]
            for state in graph.states()
        ]
        final = [float(graph.final(state)) for state in graph.states()]

        def context(label: int) -> int:
            sound = self.labels[label]
            assert sound is not None
            return silence if sound.position is None else sound.phone

        # A state of the result is a phone to be said (an arc) with the phone before it, or a phone
        # said with the phone that is to follow.
        ids: dict[tuple[int, ...], int] = {}
        waiting: list[tuple[int, int, int]] = []
        edges: list[tuple[int, _Phone | None, int, float, int]] = []
        ends: dict[int, float] = {}

        def pending(left: int, state: int, arc: int) -> int:
            key = (left, state, arc)
            if key not in ids:
                ids[key] = len(ids)
                waiting.append(key)
            return ids[key]

        start = ids.setdefault((-1,), 0)
        for number in range(len(arcs[graph.start()])):
            edges.append((start, None, 0, 0.0, pending(silence, graph.start(), number)))
        while waiting:
            left, state, number = key = waiting.pop()
            label, cost, target = arcs[state][number]
            sound = self.labels[label]
            assert sound is not None
            following: dict[int, list[int]] = {}
            for index, (next_label, _, _) in enumerate(arcs[target]):
                following.setdefault(context(next_label), []).append(index)
            is_end = not math.isinf(final[target])
            if is_end:
                following.setdefault(silence, [])
            if sound.position is None:
                everything = [index for group in following.values() for index in group]
                groups = {-1: everything}
            else:
                groups = following
            for right, nexts in groups.items():
                unit = self._phone(sound, left, right)
                middle = ids.setdefault((-2, label, target, left, right), len(ids))
                # Keyed by the left context too: the unit said differs with it.
                edges.append((ids[key], unit, sound.word, cost, middle))
                new_left = silence if sound.position is None else sound.phone
                for index in nexts:
                    edges.append((middle, None, 0, 0.0, pending(new_left, target, index)))
                if is_end and right in (-1, silence):
                    ends[middle] = final[target]
        self.spoken = {
            int(senone)
            for _, phone, _, _, _ in edges
            if phone is not None and phone.number != self.garbage and not phone.decoy
            for senone in self.model.senones[phone.number]
        }
        numbered = [
            (source, None if phone is None else self._unit(phone), word, cost, target)
            for source, phone, word, cost, target in edges
        ]
        return numbered, ends

    def _phone(self, sound: _Sound, left: int, right: int) -> _Phone:
        if sound.position is None:
            return _Phone(sound.phone, "singleton" if sound.word else _NONWORD, False)
        number = self.model.phone(sound.phone, left, right, sound.position)
        return _Phone(number, _CLASSES[sound.position], sound.decoy)

    def _unit(self, phone: _Phone) -> int:
        if phone.number == self.garbage:
            unit = Unit(None, int(self.model.transition_ids[self.numbers["+SPN+"]]), phone.place)
        else:
            senones = [int(senone) for senone in self.model.senones[phone.number]]
            if phone.decoy:
                # A decoy is a guess anyhow, and two thousand senones only decoys use are not small.
                base = int(self.model.codebooks[senones[0]])
                free = self.model.senones[base]
                senones = [
                    senone if senone in self.spoken else int(free[state])
                    for state, senone in enumerate(senones)
                ]
            unit = Unit(tuple(senones), int(self.model.transition_ids[phone.number]), phone.place)
        if unit not in self.unit_ids:
            self.units.append(unit)
            self.unit_ids[unit] = len(self.units)
        return self.unit_ids[unit]

    # HMM states -------------------------------------------------------------------------------

    def _states(
        self,
        edges: list[tuple[int, int | None, int, float, int]],
        ends: dict[int, float],
    ) -> fst.Fst:
        machine: fst.MutableFst = fst.VectorFst()
        machine.add_states(1 + max(max(source, target) for source, *_, target in edges))
        machine.set_start(0)
        kind = machine.weight_type()

        def arc(source: int, label: int, word: int, cost: float, target: int) -> None:
            machine.add_arc(source, fst.Arc(label, word, fst.Weight(kind, cost), target))

        for state, cost in ends.items():
            machine.set_final(state, fst.Weight(kind, cost))
        done: set[tuple[int, int | None, int, float, int]] = set()
        for edge in edges:
            if edge in done:
                continue
            done.add(edge)
            source, unit, word, cost, target = edge
            if unit is None:
                arc(source, 0, word, cost, target)
                continue
            per_frame = self.costs.garbage_frame if self.units[unit - 1].senones is None else 0.0
            at = source
            for state in range(STATES):
                stay, leave = transition_costs(self.model, self.units[unit - 1].transition, state)
                first = state == 0
                forward = 1 + 2 * (STATES * (unit - 1) + state) + 1
                after = machine.add_state()
                scale = self.costs.acoustic_scale
                arc(
                    at, forward, word if first else 0,
                    (cost if first else 0.0) + scale * leave + per_frame, after,
                )  # fmt: skip
                arc(after, forward - 1, 0, scale * stay + per_frame, after)
                at = after
            arc(at, 0, 0, 0.0, target)
        machine.connect()
        machine.rmepsilon()
        mapper = fst.EncodeMapper(encode_labels=True)
        machine.encode(mapper)
        machine = fst.determinize(machine)
        machine.minimize()
        machine.decode(mapper)
        machine.arcsort("ilabel")
        machine.connect()
        return machine


def transition_costs(model: AcousticModel, matrix: int, state: int) -> tuple[float, float]:
    """Negative log probabilities to stay in a state and to leave it."""
    row = model.transitions[matrix, state]
    stay, leave = row[state], row[state + 1]
    return -math.log(stay / (stay + leave)), -math.log(leave / (stay + leave))
