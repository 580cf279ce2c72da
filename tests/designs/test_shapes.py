"""Finished measures are those that were asked for, or told, and fit the body; none goes back.

A share of the sweep: `python -m tests.designs.sweep` tries every design at every gauge.
"""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine import designs
from engine.base.refusal import Refusal
from engine.designs import DESIGNS
from engine.plan.planning import gave_way, make_plan, read_gauge, script_for
from models.gauge import Gauge
from models.script import Craft
from tests.designs.shapes import ASKED, FOLLOWS, SWINGS, backward, faults
from tests.designs.strategies import EACH
from tests.designs.sweep import swept
from tests.times import times

GAUGES = st.builds(
    lambda loops, ratio: Gauge(loops_per_10cm=loops, rows_per_10cm=round(loops * ratio, 2)),
    st.floats(4, 32).map(lambda x: round(x, 1)),
    st.floats(0.75, 1.375),
)
"""From 4 x 3, jumbo loop yarn, to 32 x 44, lace."""


@pytest.mark.parametrize("name", ["cardigan", "cap"])
def test_all_sizes_at_the_gauge_of_loop_yarn(name):
    scripts, wrong = swept(name, Craft.LOOP, read_gauge("5 x 3.75"))
    assert wrong == []
    assert len(scripts) >= 4


@settings(max_examples=times(24), deadline=None)
@given(st.sampled_from(EACH), GAUGES, st.data())
def test_finished_measures_are_those_asked_or_told_and_never_go_back(each, gauge, data):
    """Of any design in either craft, in two sizes that follow each other."""
    name, craft = each
    sizes = DESIGNS[name].info.sizes or ("",)
    at = data.draw(st.integers(0, max(0, len(sizes) - 2)))
    scripts = []
    for size in sizes[at : at + 2]:
        plan = make_plan(name, gauge, size=size, craft=craft)
        try:
            scripts.append(script_for(plan))
        except Refusal:
            continue  # `sweep` asks that it says what to change
        assert [*faults(plan, scripts[-1])] == []
    assert [*backward(scripts)] == []


@pytest.mark.parametrize("name", DESIGNS)
def test_every_finished_measure_is_asked_for_or_follows(name):
    craft = DESIGNS[name].info.crafts[0]
    gauge = read_gauge("5 x 3.75" if craft is Craft.LOOP else "12 x 16")
    done = script_for(make_plan(name, gauge, craft=craft)).finished_cm.keys()
    assert done == ASKED[name].keys() | FOLLOWS.get(name, set())
    assert not ASKED[name].keys() & FOLLOWS.get(name, set())


UPPER = ("cardigan", "vest", "child-cardigan", "pullover", "raglan", "yoke-pullover")


@pytest.mark.parametrize(
    ("measure", "cm", "told"),
    [
        ("around", 60.0, "around is"),
        ("body height", 20.0, "body height is"),
        ("back width", 24.0, "narrower than the body's"),
        ("back", 34.0, "narrower than the body's"),
        ("fronts", 20.0, "fronts are not as wide"),
        ("back neck", 50.0, "neck is wider"),
        ("neck width", 60.0, "neck is wider"),
        ("neck", 120.0, "neck is wider"),
        ("armhole depth", 9.0, "is none for a body's"),
        ("depth", 14.0, "is none for a body's"),
        ("yoke depth", 14.0, "is none for a body's"),
        ("cuff", 12.0, "lets no hand through"),
        ("wrist", 12.0, "lets no hand through"),
        ("upper sleeve", 20.0, "no arm goes"),
    ],
)
def test_each_clause_bites_wherever_it_applies(measure, cm, told):
    bitten = 0
    for name in UPPER:
        craft = DESIGNS[name].info.crafts[0]
        gauge = read_gauge("5 x 3.75" if craft is Craft.LOOP else "12 x 16")
        plan = make_plan(name, gauge, size="8" if name == "child-cardigan" else "L", craft=craft)
        script = script_for(plan)
        if measure in script.finished_cm:
            wrong = script.model_copy(update={"finished_cm": {**script.finished_cm, measure: cm}})
            said = gave_way(plan, script)
            assert any(told in fault for fault in faults(plan, wrong, said)), name
            if measure not in SWINGS:
                smaller = script.finished_cm | {measure: script.finished_cm[measure] - 1}
                back = script.model_copy(update={"finished_cm": smaller})
                assert any(f"{measure} goes back" in fault for fault in backward([script, back]))
            bitten += 1
    assert bitten


def test_each_design_is_one_small_module():
    # "A design is data as far as it can be: one small module each, at most 120 lines."
    for module in Path(designs.__file__).parent.glob("*.py"):
        text = module.read_text(encoding="utf-8")
        if "\nDESIGN = " in text:
            assert text.count("\n") <= 120, module.name
