"""Faults of shape, put back in and found on the graph; the names are those of what went wrong once.

What is measured here is counted on the fabric (`finished`), and must be what a script says itself.
"""

import re

import pytest

from engine.designs import design
from engine.designs.cardigan import STYLE
from engine.designs.openfront.counts import counts
from engine.plan.planning import gave_way, make_plan, read_gauge, script_for
from engine.script.builder import op
from models.script import Craft, Kind
from tests.designs.shapes import backward
from tests.designs.test_told_rhythms import check
from tests.simulation.finished import SLEEVE, ends, finished, judged
from tests.simulation.graph import Reading

JUMBO, FINE = read_gauge("5 x 3.75"), read_gauge("10 x 14")
SIZES = ("XS", "S", "M", "L", "1X", "2X", "3X", "4X", "5X")


def planned(size="M", gauge=JUMBO, name="cardigan", craft=Craft.LOOP, **given):
    return make_plan(name, gauge, size=size, craft=craft, given=given)


def wrong(script, asked):
    """What is wrong with a script's fabric, for which that plan asked."""
    reading = Reading(script)
    assert reading.faults == []
    return [*judged(finished(reading), asked.measures, asked.gauge)]


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("cardigan", "XS"),
        ("cardigan", "5X"),
        ("vest", "L"),
        ("child-cardigan", "8"),
        ("pullover", "2X"),
    ],
)  # fmt: skip
@pytest.mark.parametrize(("craft", "gauge"), [(Craft.LOOP, "5 x 3.75"), (Craft.NEEDLES, "12 x 16")])
def test_the_fabric_measures_what_its_script_says(name, size, craft, gauge):
    plan = planned(size, read_gauge(gauge), name, craft)
    script = script_for(plan)
    found = finished(Reading(script))
    for measure, cm in script.finished_cm.items():
        if measure in found:
            assert found[measure] == pytest.approx(cm, abs=0.06), measure
    told = " ".join(gave_way(plan, script))
    assert [*judged(found, plan.measures, plan.gauge, told)] == []


def by_counts(plan, **loops):
    return script_for(plan.model_copy(update={"counts": loops}))


def test_a_back_of_what_the_fronts_leave_and_a_neck_without_its_edging():
    """A quarter of the panels to each front: the back of a medium is 36 cm wide, not 40, and the
    edging closes its neck."""
    plan = planned()
    old = by_counts(plan, foundation=42, front=9, back=18, underarm=3, neck=8)
    assert wrong(old, plan) == [
        "the back is narrower than the body's",
        "the fronts are not as wide as the back",
        "the neck between its edgings is not as asked",
    ]
    assert wrong(script_for(plan), plan) == []


def test_a_cuff_that_is_another_than_was_asked():
    plan = planned(gauge=FINE, cuff=18.0)
    assert wrong(script_for(planned(gauge=FINE, cuff=30.0)), plan) == ["the cuff is not as asked"]
    assert wrong(script_for(plan), plan) == []


def hurried(script):
    """Every decrease of the right sleeve in every second round from the first on, as once was."""
    rounds = [s for s in script.steps if s.part == SLEEVE and s.kind is Kind.ROUND]
    live, left = rounds[0].loops_before, rounds[0].loops_before - rounds[-1].loops_after
    steps = {}
    for step in rounds:
        lost = min(2, left) if step.row % 2 == 0 else 0
        worked = [op("dec", lost > 0), op("k", live - 2 * lost), op("dec", lost > 1)]
        steps[step.number] = tuple(o for o in worked if o.times)
        live, left = live - lost, left - lost
    return script.model_copy(
        update={
            "steps": tuple(
                s.model_copy(update={"operations": steps[s.number]}) if s.number in steps else s
                for s in script.steps
            )
        }
    )


def test_a_taper_that_ends_at_the_elbow():
    plan = planned(gauge=FINE)
    assert wrong(hurried(script_for(plan)), plan) == ["the taper ends before the wrist"]
    assert wrong(script_for(plan), plan) == []


def test_a_neck_that_goes_back_from_size_to_size():
    """The next larger size with a smaller neck: each by itself as near as whole loops allow."""
    plans = planned("L"), planned("1X")
    now = [script_for(plan) for plan in plans]
    across = counts(STYLE, plans[1]).body.across
    larger = by_counts(
        plans[1],
        foundation=across.foundation,
        front=across.front,
        back=across.back,
        underarm=across.strip,
        neck=across.neck - 2,
    )
    for scripts, goes_back in (([now[0], larger], True), (now, False)):
        counted = [
            script.model_copy(update={"finished_cm": finished(Reading(script))})
            for script in scripts
        ]
        assert any("back neck goes back" in told for told in backward(counted)) is goes_back


@pytest.mark.parametrize(
    "told",
    ["47 over 64 rows: 3 from every 4 rows, 16 times", "1 over 1 rows: 4 from every row, once"],
)
def test_a_rhythm_that_does_not_give_its_own_sum(told):
    script = script_for(planned())
    at = next(i for i, s in enumerate(script.steps) if re.search(r"\d over \d", s.note))
    loops = int(told.split()[0])
    steps = list(script.steps)
    note = re.sub(r"\d+ over \d+ rows: [^;]*", told, steps[at].note, count=1)
    ups = tuple(
        o.model_copy(update={"times": loops}) if o.stitch == "pick up" else o
        for o in steps[at].operations
    )
    steps[at] = steps[at].model_copy(update={"note": note, "operations": ups})
    with pytest.raises(AssertionError):
        check(script.model_copy(update={"steps": tuple(steps)}))


def test_ends_that_were_always_twelve():
    told = set()
    for name in ("cardigan", "vest", "petbed", "cap"):
        script = script_for(planned("", name=name, craft=design(name).info.crafts[0]))
        hang = ends(Reading(script))
        assert f" {hang} ends" in script.steps[-1].note
        told.add(hang)
    assert len(told) > 1
