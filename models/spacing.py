"""How changes lie along a row."""

from models.frozen import Frozen


class Spread(Frozen):
    """Changes spread along a row: plain loops, a change, plain loops, a change, …"""

    loops: int
    """Loops of the row before."""
    changes: int
    takes: int
    """Loops that one change uses up: 2 for a decrease, 0 for an increase between loops."""
    plain: tuple[int, ...]
    """Plain loops before each change; one longer than `changes` where some follow the last."""

    @property
    def places(self) -> tuple[int, ...]:
        """Loops of the row below that lie before each change."""
        found, before = [], 0
        for plain in self.plain[: self.changes]:
            before += plain
            found.append(before)
            before += self.takes
        return tuple(found)

    @property
    def loops_after(self) -> int:
        """Loops of the row afterwards."""
        return self.loops + self.changes * (1 if self.takes == 0 else 1 - self.takes)
