"""The sums that a maker asks for beside her work: tapers, even spreads, crowns, yokes."""

from models.frozen import Frozen
from models.spacing import Spread


class Taper(Frozen):
    """Changes spread over the rows of a slope."""

    loops: int
    """Loops gained or lost in all."""
    each: int
    """Loops by which one shaped row changes: 2 where both ends are shaped."""
    rows: int
    gaps: tuple[int, ...]
    """Rows from one shaped row to the next, the first counted from the beginning."""

    @property
    def at(self) -> tuple[int, ...]:
        """The shaped rows, counted from 1."""
        return tuple(sum(self.gaps[: i + 1]) for i in range(len(self.gaps)))

    @property
    def after(self) -> int:
        """Plain rows after the last shaped one."""
        return self.rows - sum(self.gaps)


class Evenly(Frozen):
    """Loops made or taken evenly along one row or round."""

    increase: Spread | None
    decrease: Spread | None
    closed: bool
    """In the round: as many loops lie before the first change as between the others."""


class Crown(Frozen):
    """The top of a hat, narrowed in wedges to a few loops that are drawn together."""

    loops: int
    wedges: int
    rounds: tuple[int, ...]
    """Loops after each round, the plain ones included."""

    @property
    def wedge(self) -> int:
        """Loops of a wedge at the beginning."""
        return self.loops // self.wedges

    @property
    def left(self) -> int:
        """Loops that are drawn together."""
        return self.rounds[-1] if self.rounds else self.loops


class YokeRound(Frozen):
    """A round of a yoke that narrows it."""

    round: int
    """Counted from the joining of body and sleeves."""
    before: int
    after: int


class Yoke(Frozen):
    """A seamless round yoke by the percentage system."""

    body: int
    cuff: int
    sleeve: int
    underarm: int
    """Loops that rest at each underarm, once on the body and once on the sleeve."""
    joined: int
    """Loops of the first round of the yoke."""
    narrowing: tuple[YokeRound, ...]
    rounds: int
    """Rounds of the yoke in all."""
    depth_cm: float | None
    """None where no gauge was given."""

    @property
    def neck(self) -> int:
        """Loops at the neck."""
        return self.narrowing[-1].after
