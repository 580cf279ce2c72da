"""How somebody sounds, as far as it is known: numbers, from which no sound can be made again."""

from __future__ import annotations

from models.frozen import Frozen

ENOUGH = 6
"""Utterances from which a voice is known."""


class Timbre(Frozen):
    """A Gaussian for the numbers of a speaker (`likeness`), as what it adds to that of anybody."""

    words: int = 0
    """How many utterances it was learnt from."""
    linear: tuple[float, ...] = ()
    """Precision times mean."""
    precision: tuple[float, ...] = ()
    """Its upper triangle, row by row."""

    @property
    def known(self) -> bool:
        """Whether it was learnt from enough to tell others by it."""
        return self.words >= ENOUGH

    def and_also(self, other: Timbre) -> Timbre:
        """What is known from both, of one person; of an older kind the newer is kept alone."""
        if not other.words:
            return self
        if len(self.linear) != len(other.linear) or len(self.precision) != len(other.precision):
            return other
        return Timbre(
            words=self.words + other.words,
            linear=_added(self.linear, other.linear),
            precision=_added(self.precision, other.precision),
        )


def _added(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    return tuple(round(a + b, 4) for a, b in zip(one, other, strict=True))
