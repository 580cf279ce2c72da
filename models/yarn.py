"""What a make takes in yarn, and where its balls run out."""

from models.frozen import Frozen


class RunOut(Frozen):
    """Where a ball ends."""

    ball: int
    """The ball that ends, counted from 1."""
    step: int
    part: str
    row: int | None
    loop: int
    """Loops of that step that the ball still gives, its end kept."""
    of: int
    """Loops of yarn that the step takes in all."""
    join_at_start: bool
    """Join the next ball where the row begins; otherwise carry on into the row and join there."""

    @property
    def wasted(self) -> int:
        """Loops left over on the ball when the next one is joined at the row's start."""
        return self.loop if self.join_at_start else 0


class YarnForecast(Frozen):
    """The yarn from here to the end."""

    to_come: int
    """Loops still to be worked, ends of new balls not counted."""
    ball: int
    ball_left: int | None
    """Loops left on the ball in work, where its size is known."""
    run_outs: tuple[RunOut, ...] = ()
    left_over: int | None = None
    """Loops left on the last ball."""

    @property
    def more_balls(self) -> int:
        """Balls still to be joined."""
        return len(self.run_outs)


class Joining(Frozen):
    """A new ball, as it is joined."""

    loops: int | None
    """Loops to reckon with in it; None where no ball was ever counted."""
    pulled: int
    """Loops of the step in work that the old ball still gave."""
    held: int | None
    """What the old ball turned out to hold, where that is not what was reckoned with."""


class Purchase(Frozen):
    """How much to buy."""

    loops: int
    """Loops of the make, its own ends counted."""
    balls: int
    reserve: float
    """Share of the make bought on top of it."""
    left_over: int
    """Loops left when all is made, ends of every ball counted."""
    grams: float | None = None
    """What the make itself weighs, where known."""
