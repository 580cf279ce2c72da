"""One thing put wrong at a time is found, but for what makes as good a fabric.

Most of it the audit finds; what it passes must be irregular on the graph, or as good. A share of
what `python -m tests.simulation.mutants` tries, which tells every one that passes.
"""

import pytest

from engine.designs import design
from engine.plan.planning import make_plan, read_gauge, script_for
from models.script import Craft, Hand
from tests.simulation.graph import Reading
from tests.simulation.mutants import GAUGES, found_on_the_graph, mutants, passed
from tests.simulation.regularity import irregular
from tests.times import TIMES

SOUND = (
    # The loop that rested at the shoulder goes with its other neighbour.
    "(left sleeve): moved dec 1 at left shoulder loop by",
    "(right sleeve): moved dec 1 at right shoulder loop by",
    "(left armband): moved dec 1 at left shoulder loop by",
    "(right armband): moved dec 1 at right shoulder loop by",
    # Of two halves that are closed loop by loop the one is called as the other.
    "at back and rest",
    "lower back and rest",
    "at the other half and rest",
    # The tube of a thumb is the same; its rounds begin on the other side of the loop over the gap.
    "(thumb): exchanged k 7 and pick up 1",
    # A round that is spread by itself, in a yoke and before or between the lines of a crown: it may
    # begin at either of two loops, and be spread as evenly.
    "yoke-pullover, step 168 (yoke): turned",
    "yoke-pullover, step 182 (yoke): exchanged",
    "cap, step 13 (crown): turned",
    "cap, step 14 (crown): turned",
    "cap, step 24 (crown): turned",
)


@pytest.mark.parametrize(
    ("name", "hand", "share"),
    [
        ("cardigan", Hand.RIGHT, 12),
        ("vest", Hand.LEFT, 12),
        ("shawl", Hand.RIGHT, 9),
        ("cap", Hand.LEFT, 9),
        ("tote", Hand.RIGHT, 4),
        ("pullover", Hand.RIGHT, 20),
        ("raglan", Hand.LEFT, 60),
        ("yoke-pullover", Hand.RIGHT, 80),
        ("socks", Hand.RIGHT, 20),
        ("mittens", Hand.LEFT, 12),
    ],
)
def test_one_thing_put_wrong_is_found(name, hand, share):
    craft = design(name).info.crafts[0]
    tried, through = passed(name, craft, hand=hand, share=min(1.0, TIMES / share))
    assert tried > 20
    missed = [f"{name}, {what}" for what, graph in through if not graph]
    assert [what for what in missed if not any(sound in what for sound in SOUND)] == []


def one(name, craft, told):
    """A script with one thing put wrong, by what is told of it."""
    script = script_for(make_plan(name, read_gauge(GAUGES[craft]), craft=craft))
    return script, next(broken for what, broken in mutants(script) if told in what)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("raglan", "step 13 (yoke): turned by a loop"),
        ("raglan", "step 31 (body): turned by a loop"),
        ("socks", "step 43 (gusset): moved ssk 1 by 1"),
        ("socks", "step 43 (gusset): turned by a loop"),
        ("socks", "(heel flap): exchanged sl 1 and p 9"),
        ("socks", "(heel flap): exchanged sl 1 and k 9"),
        ("socks", "(heel turn): exchanged sl 1 and k"),
        ("mittens", "(gusset): exchanged m1l 1"),
    ],
)
def test_what_no_count_gives_away_is_seen_on_the_graph(name, told):
    whole, broken = one(name, Craft.NEEDLES, told)
    assert not found_on_the_graph(whole)
    assert Reading(broken).faults == []
    assert any(irregular(Reading(broken)))


@pytest.mark.parametrize("told", ["exchanged 3nbo 10 and k2tog 1"])
def test_a_chain_leaves_its_loop_where_the_yarn_is(told):
    _, broken = one("cardigan", Craft.NEEDLES, told)
    assert any("not at the loop that is left" in fault for fault in Reading(broken).faults)


def test_no_edge_is_taken_for_another_on_the_graph():
    script = script_for(make_plan("child-cardigan", read_gauge("5 x 3.75")))
    named = [one for one in mutants(script) if "named" in one[0] and "in pick up" in one[0]]
    assert len(named) > 50
    assert [what for what, broken in named if not found_on_the_graph(broken)] == []
