"""Which loops of a row stand over which, as arrays of their numbers."""

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from engine.script.fabric import Pulls

Loops = NDArray[np.intp]


def loops_in(ranges: Iterable[range]) -> Loops:
    """All their numbers, in order."""
    parts = [np.arange(r.start, r.stop, r.step) for r in ranges]
    if len(parts) == 1:
        return parts[0]
    return np.concatenate(parts) if parts else np.empty(0, dtype=np.intp)


def links(row: Sequence[Pulls]) -> tuple[Loops, Loops]:
    """Pairs of a loop and one below it; of a crossing, those that stand over each other."""
    children: list[Loops] = []
    parents: list[Loops] = []
    for one in row:
        entry = one.operation.entry
        if not one.used or not one.made:
            continue
        used, made = loops_in(one.used), loops_in(one.made)
        if not (entry.plain or entry.through):
            made = np.repeat(made.reshape(-1, entry.leaves), entry.takes, axis=1).ravel()
            used = np.tile(used.reshape(-1, entry.takes), (1, entry.leaves)).ravel()
        children.append(made)
        parents.append(used)
    if not children:
        return np.empty(0, dtype=np.intp), np.empty(0, dtype=np.intp)
    return np.concatenate(children), np.concatenate(parents)
