"""Faults that sums and written patterns once had, put back into the code on purpose: each is found.

What finds them knows nothing of how the sums are made: loops are counted on the graph, ends by the
strands that a maker holds, rows in the text by reading its labels.
"""

import re

import pytest

from engine.advise.yarn import grams_per_loop
from engine.base.refusal import Refusal
from engine.craft.swatch import read_swatch
from engine.designs import design, fabric
from engine.pattern import resize
from engine.pattern.write import write
from engine.pattern.writing import size_lines
from engine.plan import resized
from engine.plan.planning import make_plan, read_gauge
from engine.script.builder import ScriptBuilder
from models.script import Craft, Kind
from models.swatch import Swatch
from tests.simulation.graph import Reading


def made(name, craft=Craft.LOOP, gauge="5 x 3.75", **more):
    return design(name).build(make_plan(name, read_gauge(gauge), craft=craft, **more))


# --- what is wrong, in a sentence; nothing where all is well --------------------------------------


def weight():
    """Eight loops and seven rows are knitted on the graph; each of its knots weighs the same."""
    script = made("scarf", given={"width": 16})
    loops = script.steps[0].loops_after
    rows = [step for step in script.steps if step.counts_row][:7]
    knots = Reading(script.model_copy(update={"steps": (script.steps[0], *rows)})).knots.beside
    swatch = read_swatch(f"{loops} x 7 over 16 x 18 cm, {2 * len(knots)} g")
    return "" if grams_per_loop(swatch) == 2 else "not two grams a loop"


def ends(name="cap", balls=1):
    """Every strand that a maker takes in hand has two ends, a new ball's too."""
    script = made(name)
    strands = 1 + sum(o.stitch == "join" for s in script.steps for o in s.operations)
    found = re.search(r"weave them in: (\d+) ends(?:, and (\d+) more for each)?", told_last(script))
    told = int(found[1]) + int(found[2] or 0) * (balls - 1)
    return "" if told == 2 * (strands + balls - 1) else f"{told} ends of {strands} strands"


def told_last(script):
    return next(step.note for step in reversed(script.steps) if step.kind is Kind.FINISH)


def rows_together(name="cardigan"):
    """Rows under one label go the way that the label says; those of loop yarn go to and fro."""
    lines = write([made(name)]).splitlines()
    both = re.compile(r"Rows \d+[–,].*\((?:left to right|right to left)\)")
    return next(filter(both.match, lines), "")


def resizing():
    """What a design wrote can be written at another gauge."""
    try:
        resized.resized(write([made("cardigan")]), read_gauge("6 x 5"))
    except Refusal as refusal:
        return str(refusal)
    return ""


# --- the faults -----------------------------------------------------------------------------------


def no_foundation_row(monkeypatch):
    monkeypatch.setattr(Swatch, "worked_loops", property(lambda self: self.loops * self.rows))


def always_twelve(monkeypatch):
    monkeypatch.setattr(fabric, "ends_of", lambda _steps: 12)


def whatever_the_balls(monkeypatch):
    right = ScriptBuilder.step

    def wrong(self, *operations, note="", **more):
        right(self, *operations, note=note.replace(", and 2 more for each new ball", ""), **more)

    monkeypatch.setattr(ScriptBuilder, "step", wrong)


def one_way_for_all(monkeypatch):
    """The way of the first is told of all that repeat it."""
    right = size_lines._repeat_at

    def wrong(rows, at):
        plain = size_lines._Row(rows[at].words, "", rows[at].note, rows[at].kind)
        return right([*rows[:at], plain, *rows[at + 1 :]], at)

    monkeypatch.setattr(size_lines, "_two_kinds", lambda rows, _at: len(rows))
    monkeypatch.setattr(size_lines, "_repeat_at", wrong)


def numbers_scaled(monkeypatch):
    """A design's text is taken for any other."""
    monkeypatch.setattr(resized, "_same", lambda _text, _usual: False)
    monkeypatch.setattr(resized, "_scaled", lambda text, gauge, _name: resize.resize(text, gauge))


@pytest.mark.parametrize(
    ("wrong", "fault"),
    [
        (weight, no_foundation_row),
        (ends, always_twelve),
        (lambda: ends(balls=3), whatever_the_balls),
        (rows_together, one_way_for_all),
        (resizing, numbers_scaled),
    ],
)
def test_a_fault_is_found(wrong, fault, monkeypatch):
    assert wrong() == ""
    fault(monkeypatch)
    assert wrong() != ""


@pytest.mark.parametrize("name", ["cardigan", "scarf", "pillow"])
def test_the_ends_of_other_designs(name):
    assert ends(name) == ends(name, 4) == ""
