"""From moves to figures."""

from dataclasses import dataclass, field

import numpy as np

from engine.words.phrases import phrase_book

_GRACE_S = 3.0
"""A slow recogniser may answer this long after the word, or until the next word begins."""


@dataclass
class Score:
    """What a subject did under one condition, over all its streams."""

    said: int = 0
    right: int = 0
    wrong: int = 0
    asked: int = 0
    """Of those not taken: asked back as they were meant, so that a yes counts them."""
    false: int = 0
    withdrawn: int = 0
    seconds: float = 0.0
    busy_s: float = 0.0
    waits: list = field(default_factory=list)
    misses: list = field(default_factory=list)

    @property
    def refused(self):
        return self.said - self.right - self.wrong

    @property
    def per_hour(self):
        return self.false / self.seconds * 3600 if self.seconds else 0.0

    def wait(self, percent):
        return float(np.percentile(self.waits, percent)) if self.waits else float("nan")

    def add(self, other):
        for name in ("said", "right", "wrong", "asked", "false", "withdrawn", "seconds", "busy_s"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.waits += other.waits
        self.misses += other.misses


def score(stream, moves, busy_s, refusals=()):
    """One stream's score. A move that was withdrawn is not a move, but it is counted."""
    kept = []
    for move in moves:
        if not move.withdrawn:
            kept.append(move)
        elif kept:
            kept.pop()
    result = Score(seconds=stream.seconds, busy_s=busy_s)
    result.withdrawn = sum(m.withdrawn for m in moves)
    result.said = len(stream.said)
    for place, said in enumerate(stream.said):
        later = stream.said[place + 1].start_s if place + 1 < len(stream.said) else np.inf
        mine = [m for m in kept if said.start_s <= m.decided_s <= min(said.end_s + _GRACE_S, later)]
        kept = [m for m in kept if m not in mine]
        meant = phrase_book().read(said.text, said.context).command
        if len(mine) == 1 and mine[0].command == meant:
            result.right += 1
            result.waits.append(mine[0].decided_s - said.end_s)
        elif mine:
            result.wrong += 1
            result.misses.append((stream.voice, said.text, [_plain(m.command) for m in mine]))
        else:
            answers = [
                h
                for h in refusals
                if said.start_s <= h.decided_s <= min(said.end_s + _GRACE_S, later)
            ]
            result.asked += any(h.asks and h.command == meant for h in answers)
            why = [f"{h.heard!r} {h.confidence:.2f}: {h.reason}" for h in answers]
            result.misses.append((stream.voice, said.text, why))
    result.false = len(kept)
    result.misses += [(stream.voice, f"at {m.decided_s:.1f} s", _plain(m.command)) for m in kept]
    return result


def _plain(command):
    return command.action.value + ("" if command.value is None else f" {command.value:g}")
