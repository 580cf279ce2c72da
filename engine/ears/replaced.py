"""How far a phrase is from the same phrase with one word replaced by a word that sounds like it.

The decoder knows few words that are no command; of hundreds that sound like one it takes the
command. So the phones of each of them are laid along the sound in the place of the word (Viterbi),
with all the rest of the phrase before and after it, found once in either direction.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Ways = Sequence[Sequence[int]]
"""The ways to say a word, each as numbers of phones."""

STATES = 3
_FAR = np.float32(-1e9)


def margin(
    scores: Floats, words: Sequence[Ways], others: Sequence[Ways], silence: int
) -> float | None:
    """How much likelier `words` are along `scores` (frames, phones, STATES) than the same with one
    of them said as one of its `others`, natural logarithm; None where there is no room for the
    words, infinity where none has others. Silence goes before, after and, or not, between them.
    """
    phrase = _Phrase(words, silence)
    came, goes = phrase.ways_along(scores)
    own = float(came[-1, phrase.end])
    if own < _FAR / 2:
        return None
    replaced = [(place, way) for place, ways in enumerate(others) for way in ways]
    if not replaced:
        return float("inf")
    lengths = np.array([STATES * len(way) for _, way in replaced])
    last = np.cumsum(lengths) - 1
    first = last + 1 - lengths
    phones = np.repeat([phone for _, way in replaced for phone in way], STATES)
    emitted = scores[:, phones, np.arange(len(phones)) % STATES]
    places = np.array([place for place, _ in replaced])
    before, after = phrase.beside(came, goes, scores)
    best = np.full(len(phones), _FAR, np.float32)
    step = np.empty_like(best)
    most = _FAR
    for t in range(1, len(scores)):
        step[1:] = best[:-1]
        step[first] = before[places, t - 1]
        best = np.maximum(best, step) + emitted[t]
        most = max(most, (best[last] + after[places, t]).max())
    return own - float(most)


class _Phrase:
    """The states of a phrase from left to right, and how its words hang together."""

    def __init__(self, words: Sequence[Ways], silence: int) -> None:
        self._states: list[tuple[int, int]] = []
        self._before: list[list[int]] = []
        self._entries: list[list[int]] = []
        """For each word the states that it follows."""
        self._exits: list[int] = []
        """For each word a last state of it."""
        ends = [self._phone(silence, [])]
        for place, ways in enumerate(words):
            if place:
                ends = [*ends, self._phone(silence, ends)]
            self._entries.append(ends)
            said = []
            for way in ways:
                came = ends
                for phone in way:
                    came = [self._phone(phone, came)]
                said += came
            self._exits.append(said[0])
            ends = said
        self.end = self._phone(silence, ends)
        self._after: list[list[int]] = [[] for _ in self._states]
        for state, befores in enumerate(self._before):
            for other in befores:
                self._after[other].append(state)

    def _phone(self, phone: int, came: list[int]) -> int:
        for state in range(STATES):
            self._states.append((phone, state))
            self._before.append(list(came) if state == 0 else [len(self._states) - 2])
        return len(self._states) - 1

    def _emitted(self, scores: Floats) -> Floats:
        phones, states = np.array(self._states).T
        found: Floats = scores[:, phones, states]
        return found

    def ways_along(self, scores: Floats) -> tuple[Floats, Floats]:
        """The best way to each state until each frame, and from it to the end after each frame;
        both (frames, states and one that is never reached).
        """
        count = len(self._states)
        emitted = self._emitted(scores)
        before, after = _table(self._before, count), _table(self._after, count)
        came = np.full((len(scores), count + 1), _FAR, np.float32)
        came[0, 0] = emitted[0, 0]
        for t in range(1, len(scores)):
            came[t, :count] = came[t - 1][before].max(1) + emitted[t]
        goes = np.full((len(scores), count + 1), _FAR, np.float32)
        goes[-1, self.end] = 0
        step = np.full(count + 1, _FAR, np.float32)
        for t in range(len(scores) - 2, -1, -1):
            step[:count] = goes[t + 1, :count] + emitted[t + 1]
            goes[t, :count] = step[after].max(1)
        return came, goes

    def beside(self, came: Floats, goes: Floats, scores: Floats) -> tuple[Floats, Floats]:
        """For each word, the best way up to it and from it on, at each frame: (words, frames)."""
        emitted = self._emitted(scores)
        up_to = np.stack([came[:, entry].max(1) for entry in self._entries])
        on = np.full_like(up_to, _FAR)
        for place, exit_ in enumerate(self._exits):
            following = self._after[exit_]
            on[place, :-1] = (goes[1:, following] + emitted[1:, following]).max(1)
        return up_to, on


def _table(beside: list[list[int]], count: int) -> NDArray[np.int64]:
    """Each state and those beside it, as many for all; `count` stands for none."""
    found = np.full((count, 1 + max(map(len, beside))), count)
    for state, others in enumerate(beside):
        found[state, 0] = state
        found[state, 1 : 1 + len(others)] = others
    return found
