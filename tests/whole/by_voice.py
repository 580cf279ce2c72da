"""One whole make of every design by words: `python -m tests.whole.by_voice [NAME…]`.

A maker says each step done as the screen asks for it, measures, tries on, looks at the back, asks
where she is, drops a loop and mends it, and takes a word back. Her words are text: they go through
the phrase book, the guard that judges what was heard, the conversation and the journal on disk, the
way a word from the ears goes behind the recogniser. (`tests.whole.spoken` makes one with sound.)

Printed is a line a make: words, events, steps; ends with 1 where one did not come to its end.
"""

import sys
import tempfile
from pathlib import Path

from engine.advise.pace import least_step
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.ears.evidence import Evidence
from engine.ears.guard import Outcome, judge
from engine.keep.store import Store
from engine.make import progress
from engine.make.making import Making
from engine.plan.planning import make_plan, read_gauge
from engine.script.audit import audit
from engine.words.grammar import numbers
from engine.words.phrases import phrase_book
from models.command import Heard
from models.script import Craft, Kind
from models.state import Tone

GAUGES = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: "12 x 16"}
EACH = [(name, craft) for name, chosen in DESIGNS.items() for craft in chosen.info.crafts]
NUMBERS = {value: " ".join(said) for said, value in numbers().items()}
_ASKS, _DROPS, _TAKES_BACK = 19, 43, 67
"""After so many steps she asks where she is, drops a loop, takes a word back."""


class Maker:
    """Says words to a make, and keeps the time of her hands."""

    def __init__(self, making):
        self.making, self.now, self.words = making, 1_000_000.0, 0
        self.up = making.state.plan.gauge.rows_per_cm
        self.first = {}
        """Rows of a part when the tape was first laid on it."""

    def say(self, text):
        """Say it once; the answer. Raises AssertionError where the guard does not take it."""
        self.words += 1
        situation = self.making.situation(self.now)
        reading = phrase_book().read(text, situation.context)
        verdict = judge(_clearly(text, reading), situation)
        assert verdict.outcome is not Outcome.REFUSED, f"{text!r}: {verdict.reason}"
        heard = Heard(
            start_s=0.0,
            end_s=0.9,
            decided_s=1.1,
            heard=text,
            confidence=1.0,
            command=reading.command,
            taken=verdict.outcome is Outcome.TAKEN,
            reason=verdict.reason,
            asks=verdict.outcome is Outcome.ASK,
        )
        answer = self.making.heard(heard, self.now)
        self.now += 2
        if answer.tone is Tone.ASK:
            answer = self.say("yes")
        assert answer.tone is not Tone.REFUSED, f"{text!r}: {answer.say}"
        return answer

    def work(self):
        """To the end; each step by the word that it wants."""
        turn = 0
        while (step := self.making.state.step) is not None:
            turn += 1
            self.now += 6 * max(step.loops_before, step.loops_after, 5)
            if turn % _ASKS == 0:
                self.say("where am i")
            if turn % _DROPS == 0 and step.counts_row and step.loops_before > 3:
                self.say("dropped loop at three")
                self.say("repaired")
            before = self.making.state.at
            self.say("choice one" if self.making.state.open_verdict else self.word(step))
            if turn % _TAKES_BACK == 0 and step.counts_row:
                assert self.making.state.at == before + 1
                self.say("take back")
                assert self.making.state.at == before
            assert turn < 30_000, f"step {step.number} ({step.part}) never ends"

    def word(self, step):
        """What a step wants to hear. Her tape is true, in whole centimetres: a row that she works
        more makes the piece longer."""
        match step.kind:
            case Kind.FIT_CHECK:
                return "it fits"
            case Kind.BACK_CHECK:
                return "yes"
            case Kind.MEASURE:
                steps = self.making.state.script.steps[: self.making.state.at]
                rows = sum(s.counts_row for s in steps if s.part == step.part)
                more = rows - self.first.setdefault(step.part, rows)
                cm = round(step.target_cm + more / self.up)
                return f"measured {NUMBERS[cm]}" if cm in NUMBERS else "row done"
            case _:
                return "row done"


def _clearly(text, reading):
    """The evidence of a word said clearly in a quiet room."""
    return Evidence(
        text=text,
        confidence=1.0,
        reading=reading,
        agreed=True,
        quiet_before_s=3.0,
        phones=phrase_book().phones(text),
        voiced_s=0.09 * phrase_book().phones(text),
        level_db=-25.0,
        room_db=-55.0,
        room_spread_db=0.5,
    )


def made_by_voice(name, craft, folder, **wishes):
    """A whole make; the maker and her make. Raises AssertionError where it does not come out."""
    plan = make_plan(name, read_gauge(GAUGES[craft]), craft=craft, **wishes)
    store = Store(Path(folder) / "makes.db")
    called = store.free_name(plan.title)
    store.create(called, plan)
    store.open_for_writing(called)
    begun, events = store.load(called)
    making = Making(begun, events, lambda more: store.append(called, more), pace=least_step)
    maker = Maker(making)
    maker.work()
    begun, events = store.load(called)
    store.close()
    assert making.state.done
    assert audit(making.state.script) == []
    assert progress.fold(begun, events) == making.state
    return maker, making


def main(*only):
    """Make them all, and tell of each."""
    wrong = 0
    with tempfile.TemporaryDirectory() as folder:
        for name, craft in EACH:
            if only and name not in only:
                continue
            try:
                maker, making = made_by_voice(name, craft, folder)
            except (AssertionError, Refusal) as problem:
                wrong += 1
                print(f"{name}, {craft.value}: {problem}", flush=True)
                continue
            steps = len(making.state.script.steps)
            told = f"{maker.words} words, {len(making.events)} events, {steps} steps"
            print(f"{name}, {craft.value}: {told}", flush=True)
    print(f"{wrong} did not come to their end")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
