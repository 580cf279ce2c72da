"""Which senone each frame of the clean speech is, by the teacher: Viterbi over whole batches.

Speech whose words are known follows its words, with a pause allowed between any two. The rest goes
through a loop of all phones: the language does not matter, only which English sounds are nearest.
Either way the phones found, in the context of their neighbours, name the senones.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import torch
from torch import Tensor

from engine.forge.sphinx import AcousticModel, Position

STATES = 3
ENTRY = 12.0
"""Cost of entering a phone of the loop, nats of the teacher's (unscaled) log densities."""
_FAR = -1e9


@dataclass(frozen=True)
class Line:
    """The states of one piece in order: silences and the phones of its words."""

    senones: list[int]
    free: list[int]
    """The context-free senone of each."""
    after_pause: list[bool]
    """Whether the silence just before may be left out."""


def line(model: AcousticModel, words: list[tuple[str, ...]]) -> Line:
    """The states of some words, each given by its phones; pauses at the ends and between."""
    numbers = {name: number for number, name in enumerate(model.names)}
    said = [[numbers[phone] for phone in word] for word in words]
    flat = [model.silence, *(phone for word in said for phone in word), model.silence]
    senones = model.senones[model.silence].tolist()
    free, skips = list(senones), [False] * STATES
    pause = list(senones)
    at = 0
    for word in said:
        for place, phone in enumerate(word):
            at += 1
            first, last = place == 0, place == len(word) - 1
            position = (
                Position.SINGLE if first and last
                else Position.BEGIN if first
                else Position.END if last
                else Position.INTERNAL
            )  # fmt: skip
            own = model.phone(phone, flat[at - 1], flat[at + 1], position)
            senones += model.senones[own].tolist()
            free += model.senones[phone].tolist()
            skips += [first, False, False]
        senones += pause
        free += pause
        skips += [False] * STATES
    return Line(senones, free, skips)


def along_lines(scores: Tensor, lines: list[Line]) -> tuple[Tensor, Tensor]:
    """Scores (B, T, S), a line for each -> senone and context-free senone of each frame, (B, T)."""
    device = scores.device
    longest = max(len(one.senones) for one in lines)

    def table(rows: list[list[int]] | list[list[bool]], kind: torch.dtype) -> Tensor:
        padded = [[*row, *[row[-1]] * (longest - len(row))] for row in rows]
        return torch.tensor(padded, dtype=kind, device=device)

    senones = table([one.senones for one in lines], torch.long)
    free = table([one.free for one in lines], torch.long)
    skips = table([one.after_pause for one in lines], torch.bool)
    ends = torch.tensor([len(one.senones) - 1 for one in lines], device=device)
    emitted = scores.gather(2, senones[:, None].expand(-1, scores.shape[1], -1))
    best = torch.full_like(emitted[:, 0], _FAR)
    best[:, 0] = emitted[:, 0, 0]
    best[:, STATES] = emitted[:, 0, STATES]
    came = []

    def moved(values: Tensor, by: int) -> Tensor:
        return torch.nn.functional.pad(values, (by, 0), value=_FAR)[:, : values.shape[1]]

    for t in range(1, scores.shape[1]):
        jump = torch.where(skips, moved(best, STATES + 1), torch.full_like(best, _FAR))
        best, step = torch.stack([best, moved(best, 1), jump]).max(0)
        best = best + emitted[:, t]
        came.append(step)
    steps = torch.tensor([0, 1, STATES + 1], device=device)
    # the last word may end the piece, or the pause after it
    rows = torch.arange(len(lines), device=device)
    state = torch.where(best[rows, ends] >= best[rows, ends - STATES], ends, ends - STATES)
    path = [state]
    for step in reversed(came):
        state = (state - steps[step[rows, state]]).clamp_min(0)
        path.append(state)
    states = torch.stack(path[::-1], 1)
    return senones.gather(1, states), free.gather(1, states)


class PhoneLoop:
    """Any phones in any order."""

    def __init__(self, model: AcousticModel, device: torch.device) -> None:
        self.model = model
        self.phones = [model.silence] + [
            phone for phone in range(len(model.names)) if phone not in model.fillers
        ]
        # the senones of each state of each phone, padded with a repeat
        groups: list[list[int]] = []
        bases = {base: [base] for base in self.phones}
        for (base, *_), number in model.triphones.items():
            if base in bases:
                bases[base].append(number)
        for base in self.phones:
            own = model.senones[bases[base]]
            groups += [sorted(set(own[:, state].tolist())) for state in range(STATES)]
        most = max(map(len, groups))
        self.members = torch.tensor(
            [group + [group[0]] * (most - len(group)) for group in groups], device=device
        )
        self.device = device

    def __call__(self, scores: Tensor) -> tuple[Tensor, Tensor]:
        """Scores (B, T, S) -> senone and context-free senone of each frame, (B, T)."""
        frames = scores.shape[1]
        emitted = torch.stack([scores[:, :, group].amax(-1) for group in self.members], -1)
        emitted = emitted.reshape(len(scores), frames, len(self.phones), STATES)
        best = torch.full_like(emitted[:, 0], _FAR)
        best[:, :, 0] = emitted[:, 0, :, 0]
        came, origins = [], []
        for t in range(1, frames):
            enters, origin = (best[..., -1] - ENTRY).max(1)
            before = torch.cat(
                [enters[:, None, None].expand(-1, len(self.phones), 1), best[..., :-1]], -1
            )
            came.append(before > best)
            origins.append(origin)
            best = torch.maximum(best, before) + emitted[:, t]
        states = self._traced(best, torch.stack(came), torch.stack(origins))
        return self._named(states)

    def _traced(self, best: Tensor, came: Tensor, origins: Tensor) -> np.ndarray:
        """The best path as phone * STATES + state, with a mark where a phone is entered, (B, T)."""
        moves, sources = came.cpu().numpy(), origins.cpu().numpy()
        flat = best.flatten(1).argmax(1).cpu().numpy()
        phone, state = flat // STATES, flat % STATES
        rows = np.arange(len(flat))
        path = np.zeros((len(flat), len(moves) + 1, 3), np.int64)
        for t in range(len(moves), -1, -1):
            path[:, t, 0], path[:, t, 1] = phone, state
            if t == 0:
                break
            moved = moves[t - 1][rows, phone, state]
            entered = moved & (state == 0)
            path[:, t, 2] = entered
            phone = np.where(entered, sources[t - 1], phone)
            state = np.where(entered, STATES - 1, state - (moved & ~entered))
        return path

    def _named(self, path: np.ndarray) -> tuple[Tensor, Tensor]:
        model = self.model
        bases = np.array(self.phones)[path[..., 0]]
        senones = np.zeros(bases.shape, np.int64)
        for row in range(len(path)):
            starts = np.flatnonzero(path[row, :, 2])
            bounds = [0, *starts.tolist(), path.shape[1]]
            said = [int(bases[row, begin]) for begin in bounds[:-1]]
            around = [model.silence, *said, model.silence]
            for place, (begin, end) in enumerate(pairwise(bounds)):
                base = said[place]
                own = (
                    base
                    if base == model.silence
                    else model.phone(base, around[place], around[place + 2], Position.INTERNAL)
                )
                senones[row, begin:end] = model.senones[own][path[row, begin:end, 1]]
        free = model.senones[bases, path[..., 1]]
        return torch.tensor(senones), torch.tensor(free)
