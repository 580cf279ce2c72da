"""Counts along one row as it is worked: loops taken and left, markers passed, misfits found."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from engine.pattern.count.worked import LOOPS_AT_MOST, OPERATIONS_AT_MOST, Misfit, TooMuch, Worked
from engine.pattern.text.tree import AsRow, Item, Parts, Spot
from models.script import Operation
from models.stitch import STITCHES


def _nowhere(_: AsRow) -> tuple[Item, ...] | None:
    return None


@dataclass(frozen=True)
class RowSetting:
    """What a row finds when it is begun, besides its loops and the size it is worked in."""

    word: str = "loop"
    marks: tuple[int, ...] = ()
    """Where the markers stand, in loops from the row's beginning as worked."""
    as_row: Callable[[AsRow], tuple[Item, ...] | None] = _nowhere
    """Finds the row another is as."""
    strict: bool = True
    """Whether the row must take all loops that are there."""
    in_round: bool = False
    rests: Mapping[str, int] = field(default_factory=dict)
    """Loops that rest, by their places."""
    place: Callable[[str], str] = str
    """A place's name, for the size."""


class Tally:
    """Counts along a row; `size` picks from numbers by size."""

    def __init__(
        self, live: int, size: int, setting: RowSetting, *, repeats_in_all: bool = False
    ) -> None:
        self.setting, self.size, self.live = setting, size, live
        self.words = "loops" if setting.word == "loop" else "stitches"
        self.repeats_in_all = repeats_in_all
        self.loose = False
        """Whether a repeat did not say if its times count the first."""
        self.rests = dict(setting.rests)
        self.done = Worked()
        self.ahead = sorted(setting.marks)
        self.stalled = False
        """Whether the counting no longer knows how many loops are left."""
        self.depth = self.as_depth = 0

    def n(self, count: int) -> str:
        """Loop or stitch, in the number that goes with the count."""
        return self.setting.word if count == 1 else self.words

    def misfit(
        self, spot: Spot, what: str, repair: str, *, fixes: tuple[tuple[Spot, int], ...] = ()
    ) -> None:
        """Write down what does not come out."""
        self.done.misfits.append(Misfit(spot, what, repair, fixes=fixes))

    def stop(
        self, spot: Spot, what: str, repair: str, *, fixes: tuple[tuple[Spot, int], ...] = ()
    ) -> None:
        """Write down the first thing after which the loops left are not known."""
        if not self.stalled:
            self.misfit(spot, what, repair, fixes=fixes)
        self.stalled = True

    def take(self, stitch: str, times: int, at: str = "") -> None:
        """Work one stitch of the table `times` times, and see the markers pass. Raises TooMuch."""
        if times <= 0:
            return
        done, entry = self.done, STITCHES[stitch]
        if stitch in {"sm", "rm"}:
            for _ in range(times):
                if self.ahead and self.ahead[0] <= done.takes:
                    self.ahead.pop(0)
                    if stitch == "sm":
                        done.marks.append(done.leaves)
        else:
            taken = entry.takes * times
            while self.ahead and self.ahead[0] < done.takes + taken:
                mark = self.ahead.pop(0)
                along = max(0, mark - done.takes)
                done.marks.append(done.leaves + along * max(0, entry.leaves) // max(1, entry.takes))
            done.takes += taken
            done.leaves += entry.leaves * times
        done.stitches += times
        if max(done.takes, done.leaves) > 4 * LOOPS_AT_MOST:
            raise TooMuch
        done.operations.append(Operation(stitch=stitch, times=times, at=at))
        if len(done.operations) > OPERATIONS_AT_MOST:
            raise TooMuch

    def work(self, parts: Parts, times: int, at: str = "") -> None:
        """Work an abbreviation `times` times. Raises TooMuch beyond all bounds."""
        if len(parts) == 1:
            self.take(parts[0][0], parts[0][1] * times, at)
            return
        if times > LOOPS_AT_MOST:
            raise TooMuch
        for _ in range(times):
            for stitch, each in parts:
                self.take(stitch, each, at)

    def place_marker(self, at: str) -> None:
        """Put a marker between two loops."""
        self.done.operations.append(Operation(stitch="pm", times=1, at=at))
        if len(self.done.operations) > OPERATIONS_AT_MOST:
            raise TooMuch
