"""Makers who follow the choices until it fits: `python -m tests.advise.fitters [MAKES]`.

Each has a body of her own, takes a size that may be wrong, plans by a swatch that is off, and her
hands drift as she works. She believes the tape, says what does not fit, and takes one of the
choices that are offered. Each time every choice is held to what it says: they differ in what comes
of them, each does what its words say, none rips further than it must, and its cost is what is
ripped. In the end it is told how far the finished thing is from the wish.
"""

import random
import re
import sys
from collections import Counter
from dataclasses import dataclass, field
from statistics import median, quantiles

from engine.advise import choices, pace
from engine.advise.replan import after_ripping, replanned, rows_of
from engine.base.refusal import Refusal
from engine.craft.sizes import table_of
from engine.designs import DESIGNS
from engine.make.making import Making
from engine.make.progress import evolve
from engine.plan.planning import make_plan
from models.command import Action, Command
from models.event import FitVerdict, Replanned
from models.gauge import Gauge
from models.script import Craft, Kind

NAMES = ("cardigan", "vest", "child-cardigan", "pullover", "cap", "cowl", "throw")
AROUND = {"body", "cap", "cowl", "neckband"}
"""Parts at whose fit check she feels how wide it is around the body or the head; a pullover goes
over the head only when its neck is done."""
TRIES = 5
"""Fit checks she says no to, at most, before she goes on as it is."""
_AT_ONCE_S = 5
"""From a row that is done to the tape laid on it, seconds."""
TOLERANCE = 5.1
"""Half a size, cm: around, nearer than that fits."""


@dataclass
class Fitter:
    """One maker and her make."""

    seed: int
    luck: random.Random = field(init=False)
    worked: list[tuple[str, float, float]] = field(default_factory=list)
    """Part, row height and loop width of each step that is done."""
    tries: Counter = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    asked: int = 0
    now: float = 1000.0

    def __post_init__(self):
        self.luck = luck = random.Random(self.seed)
        while True:
            name = luck.choice(NAMES)
            info = DESIGNS[name].info
            swatch = Gauge(
                loops_per_10cm=round(luck.uniform(4, 7), 1),
                rows_per_10cm=round(luck.uniform(3, 6), 1),
            )
            at = luck.choice(info.sizes or ("",))
            # She may take a wrong size, but of her own table: no woman takes a child's.
            sizes = [one for one in info.sizes if one in (table_of(at) or {at})] or [""]
            at = sizes.index(at)
            taken = min(max(at + luck.choice((-2, -1, -1, 0, 0, 0, 1, 1, 2)), 0), len(sizes) - 1)
            self.body = DESIGNS[name].measures(sizes[at], Craft.LOOP)
            try:
                plan = make_plan(name, swatch, size=sizes[taken], craft=Craft.LOOP, ball_loops=200)
                self.making = Making(plan)
                break
            except Refusal:
                continue
        self.across = swatch.loops_per_cm * luck.uniform(0.92, 1.08)
        self.up = swatch.rows_per_cm * luck.uniform(0.92, 1.08)
        self.drift = luck.uniform(-0.04, 0.04), luck.uniform(-0.04, 0.04)

    @property
    def state(self):
        return self.making.state

    def say(self, action, value=None, after_s=60):
        self.now += after_s
        before = self.state
        outcome = self.making.do(Command(action=action, value=value), self.now)
        if outcome.asks:
            self.making.do(Command(action=Action.YES), self.now)
        if self.state.at < before.at:
            del self.worked[self.state.at :]
        while len(self.worked) < self.state.at:
            step = self.state.script.steps[len(self.worked)]
            done = len(self.worked) / len(self.state.script.steps)
            up, across = (1 + done * d for d in self.drift)
            height = 1 / (self.up * up) if step.counts_row else 0.0
            self.worked.append((step.part, height, 1 / (self.across * across)))
        return outcome

    def height(self, *parts):
        return sum(height for part, height, _ in self.worked if part in parts)

    def width(self, *parts):
        """A loop's width in these parts, the mean over their rows."""
        wide = [w for part, height, w in self.worked if part in parts and height]
        return sum(wide) / len(wide)

    @staticmethod
    def tape(cm):
        return max(0.5, round(cm * 2) / 2)

    # --- the evening ---

    def make(self):
        """Work to the end; gives how far each measure is from the wish, in cm."""
        for _ in range(4000):
            step = self.state.step
            if step is None:
                return self.off()
            if step.kind is Kind.MEASURE:
                self.measure(step)
            elif step.kind is Kind.FIT_CHECK:
                self.try_on(step)
            else:
                self.say(Action.ADVANCE)
                if step.counts_row and step.row == 6 and self.luck.random() < 0.3:
                    self.measure_on_the_way(step)
        raise AssertionError(f"maker {self.seed} never ends")

    def measure_on_the_way(self, step):
        now = self.state.step
        if now is not None and now.part == step.part and now.counts_row:
            # The tape is laid at once: no loop of the next row is worked.
            self.say(Action.MEASURED, self.tape(self.height(step.part)), after_s=_AT_ONCE_S)

    def measure(self, step):
        outcome = self.say(Action.MEASURED, self.tape(self.height(step.part)))
        now = self.state.step
        if not outcome.taken or (now is not None and now.number == step.number):
            there = choices.of(self.state, self.now)
            self.check(there, "too long")
            if not there:
                self.say(Action.ADVANCE)
            else:
                self.say(Action.CHOOSE, self.luck.choice(there).number)

    def try_on(self, step):
        verdict = self.verdict(step)
        if verdict is None or self.tries[step.part] >= TRIES:
            assert self.say(Action.FITS).taken
            return
        self.tries[step.part] += 1
        said = self.say(verdict)
        assert said.taken, said.say
        there = choices.of(self.state, self.now)
        self.check(there, verdict.value)
        real = [c for c in there if not isinstance(c.event, FitVerdict)]
        if not real:
            self.say(Action.FITS)
            return
        near = [c for c in real if self.misses(c) <= TOLERANCE]
        again = [c for c in real if "begin again" in c.does]
        wise = min(near, key=lambda c: c.cost.loops) if near else (again or real)[0]
        taken = wise if self.luck.random() < 0.95 else self.luck.choice(real)
        self.say(Action.CHOOSE, taken.number)

    def misses(self, choice):
        """How far a choice would leave her from the wish, by what it says it comes to, cm."""
        step, before = self.state.step, self.state.script
        after = evolve(self.state, choice.event).script
        if step.part in AROUND:
            comes = after.finished_cm["around"] - before.finished_cm["around"]
            return abs(self.around_off() + comes)
        return 0.0

    def verdict(self, step):
        """What she feels: around the body, the armholes' depth, now and then the edging."""
        if step.part in AROUND:
            if step.part != "neckband" and self.luck.random() < 0.8:
                loops = step.loops_before * self.width(step.part)
                self.say(Action.MEASURED, self.tape(loops))
            off = self.around_off()
            if abs(off) <= TOLERANCE:
                return None
            return Action.TOO_LOOSE if off > 0 else Action.TOO_TIGHT
        if step.part == "shoulders and neck":
            off = self.height("back") - self.body["armhole_depth"]
            row = 1 / self.up
            if abs(off) <= 1.5 * row:
                return None
            return Action.TOO_LOOSE if off > 0 else Action.TOO_TIGHT
        once = (
            step.part in {"edging", "left sleeve", "right sleeve", "right armband"}
            and not self.tries[step.part]
        )
        if once and self.luck.random() < 0.3:
            return self.luck.choice((Action.TOO_LOOSE, Action.TOO_TIGHT, Action.TOO_SHORT))
        return None

    # --- the wish ---

    def wish(self):
        if "around" in self.body:
            return self.body["around"]
        return self.body.get("bust", self.body.get("head", 0.0)) + self.body["ease"]

    def around_off(self):
        """Around as the tape would find it with the edging as now planned, less the wish."""
        script = self.state.script
        loops = next(s.loops_after for s in script.steps if s.kind is Kind.FOUNDATION)
        first = script.steps[0].part
        width = self.width(*{first, "body", "cap", "cowl"} & {part for part, _, _ in self.worked})
        edging = 2 * rows_of(script, "edging") / self.up
        return loops * width + edging - self.state.plan.measures.get("overlap", 0.0) - self.wish()

    def off(self):
        found = {}
        if self.making.state.plan.design != "throw":
            found["around"] = self.around_off()
        if "armhole_depth" in self.body:
            found["armhole"] = self.height("back") - self.body["armhole_depth"]
            found["body"] = self.height("body") - self.body["body_height"]
        if self.making.state.plan.design == "throw":
            found["height"] = self.height("throw") - self.body["height"]
        return found

    # --- what every choice is held to ---

    def check(self, there, verdict):
        state = self.state
        self.asked += 1
        after = [
            evolve(state, c.event) for c in there if c.event and not isinstance(c.event, FitVerdict)
        ]
        for i, one in enumerate(after):
            for other in after[i + 1 :]:
                if one.script == other.script and one.at == other.at:
                    self.fault(f"two choices come to the same ({verdict})")
        for choice in there:
            if isinstance(choice.event, Replanned):
                self.check_one(choice, evolve(state, choice.event), verdict)

    def check_one(self, choice, after, verdict):
        state, event = self.state, choice.event
        before, then = state.script, after.script
        ripped = before.steps[(event.rip_to_step or state.at + 1) - 1 : state.at]
        if choice.cost.loops != sum(map(pace.handled, ripped)):
            self.fault(f"{choice.does}: another cost than what is ripped")
        if choice.cost.yarn != then.yarn_loops - before.yarn_loops:
            self.fault(f"{choice.does}: another yarn than it takes")
        if (before.steps, before.finished_cm) == (then.steps, then.finished_cm):
            self.fault(f"{choice.does}: nothing changes")
        if found := re.search(
            r"work (\d+) rows? (more|fewer) in the ([a-z ]+?)(?:,| and| alike|$)", choice.does
        ):
            more = int(found[1]) * (1 if found[2] == "more" else -1)
            if rows_of(then, found[3]) - rows_of(before, found[3]) != more:
                self.fault(f"{choice.does}: it is not so many rows")
        if found := re.search(r"(\d+) instead of (\d+)", choice.does):
            now = {rows_of(then, "edging"), then.steps[0].loops_after}
            was = {rows_of(before, "edging"), before.steps[0].loops_after}
            if int(found[1]) not in now or int(found[2]) not in was:
                self.fault(f"{choice.does}: not these counts")
        around = before.finished_cm.get("around"), then.finished_cm.get("around")
        if None not in around and state.step.part in AROUND:
            grows = around[1] > around[0]
            if verdict in {"too tight", "too loose"} and around[1] == around[0]:
                self.fault(f"{choice.does}: around stays as it is")
            if verdict in {"too tight", "too loose"} and grows is not (verdict == "too tight"):
                self.fault(f"{choice.does}: around goes the wrong way after {verdict}")
        self.check_least(choice, then)

    def check_least(self, choice, then):
        """From no later step could the same be had."""
        state, event = self.state, choice.event
        number = event.rip_to_step
        if number is None:
            return
        later = [s.number + 1 for s in state.script.steps[number - 1 : state.at] if pace.handled(s)]
        for at in later[:1]:
            base = state if at > state.at else after_ripping(state, at)
            try:
                _, script = replanned(
                    base,
                    rows=event.rows,
                    measures=event.measures,
                    counts=event.counts,
                    size=event.size,
                )
            except Refusal:
                continue
            if script.steps == then.steps:
                self.fault(f"{choice.does}: it rips further than it must")

    def fault(self, what):
        self.faults.append(f"maker {self.seed}, {self.state.plan.design}: {what}")


def told(found):
    """How far makers end from the wish: median, 95th of a hundred, and the most, in cm."""
    for name in sorted({name for off in found for name in off}):
        all_of = sorted(abs(off[name]) for off in found if name in off)
        most = quantiles(all_of, n=20)[-1] if len(all_of) > 1 else all_of[0]
        yield f"{name}: {median(all_of):.1f}, {most:.1f}, {all_of[-1]:.1f} cm off ({len(all_of)})"


def main(makes=2000):
    """So many makes; tells what is wrong and how far they end from the wish."""
    found, faults, asked = [], [], 0
    for seed in range(makes):
        fitter = Fitter(seed)
        found.append(fitter.make())
        faults += fitter.faults
        asked += fitter.asked
    for line in dict.fromkeys(faults):
        print(line)
    print(f"{makes} makes, {asked} fit checks and tapes that opened choices, {len(faults)} faults")
    for line in told(found):
        print(line)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
