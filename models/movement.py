"""What the hands do with loops, as strands in space: the data of the small drawings."""

from enum import StrEnum

from models.frozen import Frozen

Point = tuple[float, float, float]
"""x to the right, y up, z towards the maker. A loop is about 7 wide and 11 high."""


class Yarn(StrEnum):
    """What a strand is to the stitch that is shown."""

    BELOW = "below"
    """A loop of the row below, or the edge: what is drawn through."""
    OTHER = "other"
    """A second loop of it, where two are told apart."""
    WORKING = "working"
    """The working yarn and the loop that is made of it."""
    END = "end"
    """A cut end."""


class Strand(Frozen):
    """A strand's way through space; a smooth curve goes through its points."""

    name: str
    yarn: Yarn
    points: tuple[Point, ...]


class Stage(Frozen):
    """One picture: the strands as they lie then, if drawn, and what was done, in a sentence."""

    sentence: str
    strands: tuple[Strand, ...]


class Movement(Frozen):
    """One thing that the hands do."""

    key: str
    title: str
    stages: tuple[Stage, ...]

    @property
    def drawn(self) -> bool:
        """Whether there are strands to draw: of loop yarn; needles have words alone."""
        return any(stage.strands for stage in self.stages)


class Meeting(Frozen):
    """Where two strands cross as seen by the maker."""

    x: float
    y: float
    over: str
    """The strand that lies towards her."""
    under: str
    over_at: float
    """Where along the strand, in samples from its beginning."""
    under_at: float
