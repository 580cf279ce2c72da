"""Positions, by another method: the fabric as a graph finds what the audit must find.

Small here; `SPOKENROW_TIMES=20 python -m pytest tests/simulation/test_graph.py` tries more.
"""

import os
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.designs import design
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script.audit import audit
from models.script import Craft, Hand, Kind
from tests.designs.strategies import EACH, plans
from tests.script.working import Piece, op
from tests.simulation.graph import Reading
from tests.simulation.regularity import irregular

TIMES = int(os.environ.get("SPOKENROW_TIMES", "1"))


@pytest.mark.parametrize(("name", "craft"), EACH)
def test_every_design_is_sound_on_the_graph(name, craft):
    gauge = "5 x 3.75" if craft is Craft.LOOP else "12 x 16"
    reading = Reading(script_for(make_plan(name, read_gauge(gauge), craft=craft)))
    assert reading.faults == []
    assert list(irregular(reading)) == []


@settings(max_examples=12 * TIMES, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_what_the_audit_proves_is_sound_on_the_graph(plan):
    try:
        script = design(plan.design).build(plan)
    except Refusal:
        return
    assert audit(script) == []
    reading = Reading(script)
    assert reading.faults == []
    assert list(irregular(reading, patterned=bool(plan.stitch))) == []


# --- each fault, put back in -----------------------------------------------------------------


@cache
def cardigan(hand=Hand.RIGHT, size="M"):
    return script_for(make_plan("cardigan", read_gauge("5 x 3.75"), size=size, hand=hand))


def changed(script, kind, change, row=None):
    """The step of the sleeve that takes up the spare loop, or one after it, worked otherwise."""
    at = next(
        i
        for i, s in enumerate(script.steps)
        if s.kind is Kind.PICK_UP and any(o.stitch == "resume" for o in s.operations)
    )
    at = next(i for i, s in enumerate(script.steps) if i >= at and s.kind is kind and s.row == row)
    steps = list(script.steps)
    steps[at] = steps[at].model_copy(update={"operations": tuple(change(steps[at].operations))})
    return script.model_copy(update={"steps": tuple(steps)})


def spare_last(operations):
    return sorted(operations, key=lambda o: o.stitch == "resume")


def swapped(operations):
    """The front of the armhole where its back is picked up, and the other way round."""
    out = list(operations)
    ups = [i for i, o in enumerate(out) if o.stitch == "pick up"]
    one, other = ups[1], ups[2]
    out[one], out[other] = out[other], out[one]
    return out


def at_the_underarm(operations):
    """`Knit 24, decrease 1`: the count is right, the loop is not the shoulder's."""
    plain, decrease, rest = operations
    return [plain.model_copy(update={"times": plain.times + rest.times}), decrease]


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("size", ["XS", "M", "5X"])
@pytest.mark.parametrize(
    ("kind", "row", "change"),
    [
        (Kind.PICK_UP, None, spare_last),
        (Kind.PICK_UP, None, swapped),
        (Kind.ROUND, 1, at_the_underarm),
    ],
)
def test_a_position_fault_is_found_by_both(hand, size, kind, row, change):
    broken = changed(cardigan(hand, size), kind, change, row)
    assert audit(broken)
    assert Reading(broken).faults


def exchanged(script):
    """The script with two unlike stretches of a pick-up exchanged, once for each pair."""
    for at, step in enumerate(script.steps):
        ups = [i for i, o in enumerate(step.operations) if o.stitch == "pick up"]
        for one, other in pairwise(ups):
            out = list(step.operations)
            if out[one].at == out[other].at:
                continue
            out[one], out[other] = out[other], out[one]
            steps = list(script.steps)
            steps[at] = step.model_copy(update={"operations": tuple(out)})
            yield script.model_copy(update={"steps": tuple(steps)})


@pytest.mark.parametrize("hand", Hand)
@pytest.mark.parametrize("name", ["pullover", "petbed", "socks", "cardigan", "vest"])
def test_edges_taken_up_in_another_order_are_found_by_both(name, hand):
    craft = design(name).info.crafts[0]
    gauge = read_gauge("5 x 3.75" if craft is Craft.LOOP else "12 x 16")
    script = script_for(make_plan(name, gauge, craft=craft, hand=hand))
    found = list(exchanged(script))
    assert found
    for broken in found:
        assert audit(broken)
        assert Reading(broken).faults


# --- made-up pieces --------------------------------------------------------------------------


@st.composite
def pieces(draw):
    """A flat piece of a few rows with steps, gaps, slips and turns, and a decrease somewhere."""
    piece = Piece(draw(st.integers(16, 30)))
    for _ in range(draw(st.integers(0, 3))):
        live = piece.b.live
        kind = draw(st.sampled_from(["plain", "slip", "shape", "start", "turn"]))
        if kind == "start" and live > 10:
            piece.row(op("bo", 4), op("k", live - 4))
        elif kind == "turn":
            short = draw(st.integers(3, live - 2))
            piece.row(op("k", short), op("turn")).row(op("k", short))
        elif kind == "slip":
            piece.row(op("sl"), op("k", live - 1))
        elif kind == "shape":
            piece.row(op("k", 2), op("dec"), op("k", live - 5), op("inc"))
        else:
            piece.row(op("k", live))
    live = piece.b.live
    gap = draw(st.booleans())
    if gap:
        before = draw(st.integers(2, live - 6))
        piece.row(op("k", before), op("bo", 4), op("k", live - 4 - before))
        live -= 4
    at = draw(st.integers(0, live - 2))
    return piece.row(op("k", at), op("dec"), op("k", live - 2 - at))


@settings(max_examples=60 * TIMES, deadline=None)
@given(pieces())
def test_both_agree_on_which_loops_lie_side_by_side(piece):
    script = piece.off().script()
    apart = [f for f in audit(script) if "side by side" in f]
    assert bool(apart) is bool(Reading(script).faults), (apart, Reading(script).faults)
