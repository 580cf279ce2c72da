"""A maker made of numbers: hidden true gauge, a tape, a memory for what her hands did.

Independent of the engine: she reads the instruction on the screen (its stitches and their
counts), works it on a pile of loops of her own, and never looks at what the engine counts. What
a stitch takes and leaves is written down here once more, on purpose. Her tape reads to half a
centimetre. Some loops she drops; then she asks what to do and does it.
"""

import random
from dataclasses import dataclass, field

from engine.advise import choices
from engine.make.making import Making
from models.command import Action, Command
from models.script import Kind

TAKES_LEAVES = {
    "co": (0, 1),
    "pick up": (0, 1),
    "k": (1, 1),
    "p": (1, 1),
    "dec": (2, 1),
    "k2tog": (2, 1),
    "ssk": (2, 1),
    "inc": (1, 2),
    "bo": (1, 0),
    "seam": (1, 0),
    "fasten": (1, 0),
    "tail": (0, 0),
    "join": (0, 0),
    "pm": (0, 0),
    "rm": (0, 0),
    "colour": (0, 0),
}
"""Loops of the row below, loops of this one. Loop yarn only: a bind-off pulls no yarn in."""
YARN = {"co": 1, "pick up": 1, "k": 1, "p": 1, "dec": 1, "inc": 2, "tail": 2, "join": 2}


@dataclass
class Piece:
    """What has come off the hands so far; ripping back means going back to an older copy."""

    live: int = 0
    resting: dict[str, int] = field(default_factory=dict)
    rows: dict[str, int] = field(default_factory=dict)
    loops: dict[str, int] = field(default_factory=dict)
    """Loops of each part's last row; of the body, its foundation."""
    yarn: int = 0
    scars: int = 0
    holes: int = 0

    def copy(self) -> "Piece":
        return Piece(
            self.live,
            dict(self.resting),
            dict(self.rows),
            dict(self.loops),
            self.yarn,
            self.scars,
            self.holes,
        )


@dataclass
class Maker:
    """Someone who works a plan to its end."""

    making: Making
    loops_per_cm: float
    rows_per_cm: float
    luck: random.Random
    drops: float = 0.05
    """Chance of a dropped loop in a row."""
    now: float = 1000.0
    piece: Piece = field(default_factory=Piece)
    past: dict[int, Piece] = field(default_factory=dict)
    """The piece before each step, by its number."""
    dropped: int = 0
    ripped: int = 0
    refitted: int = 0
    slips: int = 0

    def tape(self, cm: float) -> float:
        return max(0.5, round(cm * 2) / 2)

    def say(self, action, value=None):
        self.now += self.luck.uniform(2, 4)
        return self.making.do(Command(action=action, value=value), self.now)

    # --- the hands ---

    def work(self, step) -> None:
        """Do what the instruction says, to the pile of loops."""
        self.past[step.number] = self.piece.copy()
        piece = self.piece
        for operation in step.operations:
            n = operation.times
            if operation.stitch == "rest":
                piece.live -= n
                piece.resting[operation.at] = piece.resting.get(operation.at, 0) + n
            elif operation.stitch in {"resume", "pair"}:
                for place in operation.at.split("|"):
                    assert piece.resting[place] >= n, f"only {piece.resting[place]} rest at {place}"
                    piece.resting[place] -= n
                    piece.live += n
        made = 0
        for operation in step.operations:
            if operation.stitch in {"rest", "resume", "pair"}:
                continue
            takes, leaves = TAKES_LEAVES[operation.stitch]
            assert piece.live >= takes * operation.times, f"no loops left for {operation}"
            piece.live -= takes * operation.times
            made += leaves * operation.times
            piece.yarn += YARN.get(operation.stitch, 0) * operation.times
        if step.kind in {Kind.ROW, Kind.ROUND}:
            assert piece.live == 0, f"{piece.live} loops of the row were not worked"
            piece.rows[step.part] = piece.rows.get(step.part, 0) + 1
        piece.live += made
        if step.kind in {Kind.ROW, Kind.ROUND, Kind.FOUNDATION, Kind.PICK_UP}:
            piece.loops[step.part] = piece.live

    def rip_to(self, number: int) -> None:
        """Pull the work back to the beginning of a step."""
        scars = self.piece.scars
        self.piece = self.past[number].copy()
        self.piece.scars = min(scars, self.piece.scars)
        self.ripped += 1

    # --- the evening ---

    def make(self) -> None:
        """Work on until the make is done."""
        for _ in range(20_000):
            step = self.making.state.step
            if step is None:
                return
            if step.kind is Kind.MEASURE:
                self.measure(step)
            elif step.kind is Kind.FIT_CHECK:
                self.try_on(step)
            elif step.kind in {Kind.ROW, Kind.ROUND} and self.luck.random() < self.drops:
                self.drop(step)
            else:
                self.go_on(step)
        raise AssertionError("it never ends")

    def go_on(self, step) -> None:
        self.work(step)
        outcome = self.say(Action.ADVANCE)
        assert outcome.taken, outcome.say
        planned = step.rows_planned or 0
        half = step.row and step.row * 2 in {planned, planned + 1}
        if step.kind is Kind.ROW and half and step.rows is None:
            # A look at the tape half way, so that a wrong gauge is found before it is too long.
            now = self.making.state.step
            if now is not None and now.part == step.part:
                self.say(Action.MEASURED, self.tape(self.piece.rows[step.part] / self.rows_per_cm))
        if self.luck.random() < 0.03:
            # She says it twice, and takes the second one back.
            before = self.making.state
            row = before.step is not None and before.step.kind in {Kind.ROW, Kind.ROUND}
            if row and self.say(Action.ADVANCE).taken:
                self.slips += 1
                assert self.say(Action.TAKE_BACK).taken
                assert self.making.state == before

    def measure(self, step) -> None:
        """Believe the tape; rip back where the work is too long."""
        cm = self.tape(self.piece.rows[step.part] / self.rows_per_cm)
        at = step.number
        outcome = self.say(Action.MEASURED, cm)
        assert outcome.taken, outcome.say
        now = self.making.state.step
        if now is not None and now.number == at and now.kind is Kind.MEASURE:
            # Too long by more than a row: she rips back to the rows that come nearest.
            first = next(one for one in self.choices() if one.confirm)
            outcome = self.say(Action.CHOOSE, first.number)
            if outcome.asks:
                assert self.say(Action.YES).taken
                self.rip_to(self.making.state.step.number)

    def drop(self, step) -> None:
        """Find a loop missing in the row below or this one, ask, and do one of the things said."""
        self.dropped += 1
        loop = self.luck.randint(1, max(1, min(step.loops_before, step.loops_after)))
        outcome = self.say(Action.DROPPED, loop)
        assert outcome.taken, outcome.say
        self.piece.holes += 1
        for _ in range(self.luck.randint(0, 2)):
            after = self.making.state.step
            if after is None or after.kind not in {Kind.ROW, Kind.ROUND}:
                break
            if self.ends_part():
                break
            self.go_on(after)
        there = list(self.choices())
        choice = self.luck.choice(there)
        outcome = self.say(Action.CHOOSE, choice.number)
        assert outcome.taken, outcome.say
        if outcome.asks:
            outcome = self.say(Action.YES)
            assert outcome.taken, outcome.say
            self.rip_to(self.making.state.step.number)
            self.piece.holes = 0
        elif self.making.state.open_marks:
            assert self.say(Action.REPAIRED).taken  # hooked up, or the row taken out to the loop
            self.piece.holes -= 1
        else:
            self.piece.holes -= 1
            self.piece.scars += 1

    def choices(self):
        return choices.of(self.making.state, self.now)

    def ends_part(self) -> bool:
        state = self.making.state
        after = state.script.steps[state.at + 1 : state.at + 2]
        return not after or after[0].part != state.step.part

    def try_on(self, step) -> None:
        """Lay the tape across, once; begin again where it is off by more than a loop."""
        wanted = self.wanted_around()
        if step.part in {"body", "cowl", "cap"} and wanted is not None:
            across = self.tape(self.piece.live / self.loops_per_cm)
            self.say(Action.MEASURED, across)
            off = self.around() - wanted
            if abs(off) > 1 / self.loops_per_cm and self.refitted < 3:
                self.refitted += 1
                assert self.say(Action.TOO_LOOSE if off > 0 else Action.TOO_TIGHT).taken
                again = next((one for one in self.choices() if "foundation" in one.does), None)
                if again is not None:
                    assert self.say(Action.CHOOSE, again.number).asks
                    assert self.say(Action.YES).taken
                    self.rip_to(self.making.state.step.number)
                    return
        self.work(step)
        outcome = self.say(Action.FITS)
        assert outcome.taken, outcome.say

    # --- what the tape finds on the finished thing ---

    def wanted_around(self) -> float | None:
        cm = self.making.state.plan.measures
        body = cm.get("bust", cm.get("head"))
        return cm.get("around") if body is None else body + cm["ease"]

    def around(self) -> float:
        """Around the garment, its edging as planned, as the tape would find it."""
        first = next(iter(self.piece.loops.values()))
        steps = self.making.state.script.steps
        edging = sum(s.part == "edging" and s.kind is Kind.ROW for s in steps)
        return first / self.loops_per_cm + 2 * edging / self.rows_per_cm

    def height(self, part: str) -> float:
        return self.piece.rows.get(part, 0) / self.rows_per_cm
