"""What a step says beside its loops, in the order in which the hands do it."""

import re

import pytest

from engine.designs import DESIGNS, design
from engine.pattern.make import plan_from_text, script_of
from engine.pattern.write import write
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import wording
from models.script import Craft, Direction, Hand, Kind

GAUGES = {Craft.LOOP: "5 x 3.75", Craft.NEEDLES: "10 x 14"}
ONES = [(name, craft) for name in DESIGNS for craft in design(name).info.crafts]


def steps_of(name, craft):
    return script_for(make_plan(name, read_gauge(GAUGES[craft]), craft=craft)).steps


@pytest.mark.parametrize(("name", "craft"), ONES)
def test_what_is_turned_folded_or_closed_is_said_before_the_loops(name, craft):
    """Who only listens would else chain forty loops and then hear that it is inside out first."""
    for step in steps_of(name, craft):
        for said in (wording.text(step, craft), wording.spoken(step, craft)):
            assert "  " not in said
            assert ".." not in said
            assert not re.search(r"marker,? \(?the", said), said
            assert not re.search(r"\b1 (\w+ )?(loops|rows|rounds|stitches)\b", said), said
            if step.operations and (
                late := re.search(r"\. (Turn it|Fold|Put the|Close the ring)\b", said)
            ):
                loops = re.search(r"\b(leave|lay|chain|pick up|place)\b", said, re.IGNORECASE)
                assert loops is None or late.start() < loops.start(), said


@pytest.mark.parametrize(("name", "craft"), ONES)
def test_nothing_of_a_note_is_lost_where_it_is_parted(name, craft):
    for step in steps_of(name, craft):
        said = set(re.findall(r"[\w']+", wording.text(step, craft).casefold()))
        assert set(re.findall(r"[\w']+", step.note.casefold())) <= said


@pytest.mark.parametrize("name", ["throw", "cap", "cowl", "hooded-scarf", "tote", "petbed"])
def test_a_written_pattern_is_told_as_the_hand_that_reads_it_goes(name):
    """These have no parts at the right or left of a body, so what each hand is told is the same
    whether the design tells it or a pattern that was written for either of them."""
    gauge = read_gauge(GAUGES[Craft.LOOP])
    own = {hand: script_for(make_plan(name, gauge, hand=hand)) for hand in Hand}
    texts = {write([script]) for script in own.values()}
    assert len(texts) == 1
    for hand, script in own.items():
        read = script_of(plan_from_text(*texts, hand=hand))
        assert [step.note for step in read.steps] == [step.note for step in script.steps]
    assert own[Hand.LEFT].steps[0].note != own[Hand.RIGHT].steps[0].note


@pytest.mark.parametrize("name", [name for name, craft in ONES if craft is Craft.LOOP])
def test_a_flat_piece_is_bound_off_towards_its_yarn(name):
    """The last row leaves the yarn where it ends; a chain that goes the same way ends there."""
    row, hows = None, 0
    for step in steps_of(name, Craft.LOOP):
        hows += "through the first" in step.note
        if step.counts_row:
            row = step
        last = step.kind is Kind.BIND_OFF and {"bo", "fasten"} <= {
            o.stitch for o in step.operations
        }
        if not last or step.direction is Direction.AROUND:
            continue
        flat = row.direction is not Direction.AROUND
        assert ("where the yarn hangs" in step.note) == flat
        if flat:
            here, there = row.direction.value.split(" to ")
            assert f"Go from {here} to {there}, so that the last loop lies" in step.note
    assert hows >= any(o.stitch == "bo" for s in steps_of(name, Craft.LOOP) for o in s.operations)
