"""Counts along one row as it is worked: loops taken and left, markers passed, misfits found."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from engine.base.plural import noun
from engine.pattern.count.worked import (
    LOOPS_AT_MOST,
    OPERATIONS_AT_MOST,
    Mend,
    Misfit,
    TooMuch,
    Worked,
)
from engine.pattern.text.numbers import Spot
from engine.pattern.text.row_items import AsRow, Item, Stitch
from models.script import Operation
from models.stitch import STITCHES, Role

PASSED_OVER_AT_MOST = 6
"""Loops that one is passed over; more, and it was slipped for something else."""


def _nowhere(_: AsRow) -> tuple[Item, ...] | None:
    return None


def _beginning(_: str) -> str:
    return "beginning"


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
    gaps: tuple[int, ...] = ()
    """Where the work was turned within the row, as for `marks`."""
    holes: tuple[int, ...] = ()
    """Where loops were bound off within the row before, as for `marks`."""
    beyond: int = 0
    """Loops that a turned round finds beyond its beginning."""
    elsewhere: int = 0
    """Loops that lie behind the hand where it begins."""
    rests: Mapping[str, int] = field(default_factory=dict)
    """Loops that rest, by their places."""
    place: Callable[[str], str] = str
    """A place's name, for the size."""
    instep: int | None = None
    """Loops on the middle one of a sock's three needles, where that is known."""
    edge: Callable[[str], str] = _beginning
    """Whether the neck edge, say, is at the row's beginning or its end."""


class Tally:
    """Counts along a row; `size` picks from numbers by size."""

    def __init__(self, live: int, size: int, setting: RowSetting) -> None:
        self.setting, self.size, self.live = setting, size, live
        self.words = "loops" if setting.word == "loop" else "stitches"
        self.rests = dict(setting.rests)
        self.held: dict[int, Operation] = {}
        """Moves of a step that is no row, by their items, until the step comes to them."""
        self.done = Worked()
        self.ahead = sorted(setting.marks)
        self.gaps = sorted(setting.gaps)
        self.holes = sorted(setting.holes)
        self.stalled = False
        """Whether the counting no longer knows how many loops are left."""
        self.depth = 0
        self._slipped: list[int] = []
        """Loops made when each was slipped that may still be passed over."""

    def n(self, count: int) -> str:
        """Loop or stitch, in the number that goes with the count."""
        return noun(count, self.setting.word, self.words)

    def misfit(
        self,
        spot: Spot,
        what: str,
        repair: str,
        *,
        warning: bool = False,
        fixes: tuple[tuple[Spot, int], ...] = (),
        ways: tuple[Mend, ...] = (),
    ) -> None:
        """Write down what does not come out."""
        self.done.misfits.append(Misfit(spot, what, repair, warning, fixes, ways))

    def stop(
        self,
        spot: Spot,
        what: str,
        repair: str,
        *,
        fixes: tuple[tuple[Spot, int], ...] = (),
        ways: tuple[Mend, ...] = (),
    ) -> None:
        """Write down the first thing after which the loops left are not known."""
        if not self.stalled:
            self.misfit(spot, what, repair, fixes=fixes, ways=ways)
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
            if stitch == "fasten" and self.live < done.takes + taken and taken <= done.leaves:
                done.leaves -= taken  # what was made last, as nothing else is left: "k2tog, fasten"
                taken = 0
            while self.ahead and self.ahead[0] < done.takes + taken:
                mark = self.ahead.pop(0)
                along = max(0, mark - done.takes)
                done.marks.append(done.leaves + along * max(0, entry.leaves) // max(1, entry.takes))
            if done.takes <= self.live < done.takes + taken and entry.plain:
                done.leaves_at_end = done.leaves + self.live - done.takes
            done.takes += taken
            while self.gaps and self.gaps[0] < done.takes:
                self.gaps.pop(0)
            if stitch == "bo" and self.setting.strict:
                done.holes.append(done.leaves)
            if entry.role is Role.SLIP:
                self._slipped += range(done.leaves, done.leaves + times)
            done.leaves += entry.leaves * times
        done.stitches += times
        if max(done.takes, done.leaves) > 4 * LOOPS_AT_MOST:
            raise TooMuch
        done.operations.append(operation_of(stitch, times, at))
        if len(done.operations) > OPERATIONS_AT_MOST:
            raise TooMuch

    def work(self, item: Stitch, times: int) -> None:
        """Work an abbreviation `times` times. Raises TooMuch beyond all bounds."""
        at = self.setting.place(item.at)
        if len(item.parts) == 1:
            stitch, each = item.parts[0]
            if stitch == "psso" and not self._pass_over(each * times):
                self.stop(
                    item.spot,
                    "passes a slipped loop over, and none was slipped just before",
                    "write 'sl 1' before what it is passed over",
                )
            self.take(stitch, each * times, at)
            return
        if times > LOOPS_AT_MOST:
            raise TooMuch
        for _ in range(times):
            for stitch, each in item.parts:
                self.take(stitch, each, at)

    def _pass_over(self, times: int) -> bool:
        """Whether so many loops were slipped, each with something made after it, and near."""
        for _ in range(times):
            if not self._slipped:
                return False
            made = self.done.leaves - self._slipped.pop() - 1
            if not 0 < made <= PASSED_OVER_AT_MOST:
                return False
        return True

    def markers_off(self) -> None:
        """All markers go, those that were passed as well."""
        off = len(self.ahead) + len(self.done.marks)
        self.ahead, self.done.marks = [], []
        if off:
            self.done.operations.append(Operation(stitch="rm", times=off))

    def end(self) -> None:
        """The row is worked: what markers lie beyond what it took stay where they are."""
        done = self.done
        for mark in self.ahead:
            done.marks.append(done.leaves + max(0, mark - done.takes))
        done.gaps = [done.leaves + max(0, gap - done.takes) for gap in self.gaps]
        if done.turned:
            done.gaps.append(done.leaves)

    def left_after(self) -> int:
        """Loops there are after it, those counted in that it did not reach."""
        reached = self.setting.strict and not self.done.turned
        unreached = 0 if reached else self.live - self.done.takes
        return self.done.leaves + max(0, unreached) + self.setting.elsewhere

    def place_marker(self, at: str) -> None:
        """Put a marker between two loops."""
        self.done.operations.append(Operation(stitch="pm", times=1, at=at))
        if len(self.done.operations) > OPERATIONS_AT_MOST:
            raise TooMuch


@lru_cache(maxsize=4096)
def operation_of(stitch: str, times: int, at: str) -> Operation:
    """The same one for the same words: a pattern has few that differ, and thousands in all."""
    return Operation(stitch=stitch, times=times, at=at)
