"""Whatever is asked for, a script is sound or refused in a sentence; nothing else happens."""

from itertools import product

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from engine.base.refusal import Refusal
from engine.designs import DESIGNS, design
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import wording
from engine.script.audit import audit
from models.script import Craft, Kind, RowScript
from tests.designs.strategies import plans
from tests.times import times

COMMON_GAUGES = {
    Craft.LOOP: ("5 x 3.75", "8 x 7"),
    Craft.NEEDLES: ("14 x 20",),
}


def _some(sizes):
    """Every third where there are women's, children's and men's sizes; `sweep` tries all."""
    return sizes[::3] if len(sizes) > 10 else sizes


ALL = [
    pytest.param(name, craft, gauge, size, id=f"{name}-{craft.value}-{gauge}-{size}")
    for name, chosen in DESIGNS.items()
    for craft in chosen.info.crafts
    for gauge, size in product(COMMON_GAUGES[craft], _some(chosen.info.sizes) or ("",))
]


def build(plan):
    """The design's own script, before the planning that would refuse an unsound one."""
    return design(plan.design).build(plan)


@pytest.mark.parametrize(("name", "craft", "gauge", "size"), ALL)
def test_every_size_at_common_gauges_is_sound(name, craft, gauge, size):
    script = build(make_plan(name, read_gauge(gauge), size=size, craft=craft))
    assert audit(script) == []
    last = script.steps[-1]
    assert last.kind is Kind.FINISH
    # Once each, where it first can hurt: the yarn is laid out, and it is cut.
    said = {word: [s for s in script.steps if word in s.note] for word in ("infants", "scissors")}
    assert said["infants"] == [script.steps[0]]
    cut = next(s for s in script.steps[1:] if any(o.stitch == "tail" for o in s.operations))
    assert said["scissors"] == [cut]


SHAPED = ("cardigan", "vest", "child-cardigan", "pullover", "raglan", "yoke-pullover", "cap")
"""Where a few loops are shared out over several stretches."""


@settings(max_examples=times(12), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(names=SHAPED, coarse=True))
def test_few_loops_are_sound_or_refused(plan):
    try:
        script = build(plan)
    except Refusal:
        return
    assert audit(script) == []


@settings(max_examples=times(24), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_what_is_accepted_is_sound(plan):
    try:
        script = build(plan)
    except Refusal:
        return
    assert audit(script) == []
    told = [f(step, script.craft) for step in script.steps for f in (wording.text, wording.spoken)]
    assert all(told)
    assert "{" not in "".join(told)
    assert RowScript.model_validate_json(script.model_dump_json()) == script


def test_a_small_armhole_leaves_out_no_stretch_of_its_front():
    """At three loops to 10 cm a half-size sleeve picks up two loops a side: one of each stretch."""
    given_ = {
        "bust": 85.0,
        "ease": 15.2,
        "body_height": 18.0,
        "armhole_depth": 15.1,
        "underarm": 5.0,
        "neck_width": 11.8,
        "neck_depth": 4.8,
        "sleeve": 35.5,
        "cuff": 15.1,
    }
    plan = make_plan(
        "pullover", read_gauge("3 x 6"), size="4", given=given_, craft=Craft.LOOP, scale=0.5
    )
    script = build(plan)
    assert audit(script) == []
    for part in ("left sleeve", "right sleeve"):
        step = next(s for s in script.steps if s.part == part)
        assert [o.times for o in step.operations if o.stitch == "pick up"] == (
            [1, 1, 2] if part == "left sleeve" else [2, 1, 1]
        )


WIDTHS = {
    "cardigan": ("around", 2),
    "vest": ("around", 2),
    "child-cardigan": ("around", 2),
    "cap": ("around", 2),
    "cowl": ("around", 1),
    "shawl": ("width", 3),
    "throw": ("width", 1),
}
"""What must come out as asked, and within how many loops."""


@settings(max_examples=times(14), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(names=tuple(WIDTHS)))
def test_the_finished_width_is_the_one_asked_for(plan):
    try:
        script = build(plan)
    except Refusal:
        return
    name, loops = WIDTHS[plan.design]
    cm = {k: v * plan.scale for k, v in plan.measures.items()}
    asked = {
        "cap": lambda: cm["head"] + cm["ease"],
        "cowl": lambda: cm["around"],
        "shawl": lambda: cm["width"],
        "throw": lambda: cm["width"],
    }.get(plan.design, lambda: cm["bust"] + cm["ease"])()
    assert abs(script.finished_cm[name] - asked) <= loops / plan.gauge.loops_per_cm + 0.1


@settings(max_examples=times(14), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans(), st.data())
def test_more_rows_change_nothing_that_is_worked(plan, data):
    """`plan.rows` decides a part's rows; what is worked by then, and pinned, stays as it is."""
    try:
        before = build(plan)
    except Refusal:
        return
    grouped = {part: group[0] for group in before.level for part in group}
    open_parts = {s.part for s in before.steps if s.counts_row and s.rows is None}
    leads = sorted({grouped.get(p, p) for p in open_parts} | {g[0] for g in before.level})
    assume(leads)
    lead = data.draw(st.sampled_from(leads))
    steps = [s for s in before.steps if s.part == lead and s.counts_row]
    rows = data.draw(st.integers(max(1, len(steps) - 3), len(steps) + 9))
    worked = steps[data.draw(st.integers(0, min(len(steps), rows) - 1))].number
    begun = {s.part for s in before.steps[:worked] if s.counts_row}
    pinned = {
        "rows": {lead: rows},
        "worked": design(plan.design).pins(before, worked),
        "worked_rows": {
            grouped.get(part, part): sum(s.counts_row for s in before.steps if s.part == part)
            for part in begun
        },
    }
    try:
        after = build(plan.model_copy(update=pinned))
    except Refusal:
        return
    assert audit(after) == []
    got = sum(s.counts_row for s in after.steps if s.part == lead)
    assert got in {rows, rows + 1}  # a body ends on an even row
    assert all(
        sum(s.counts_row for s in after.steps if s.part == part) == got
        for group in after.level
        if group[0] == lead
        for part in group
    )
    for one, other in zip(before.steps[:worked], after.steps, strict=False):
        assert (one.part, one.kind, one.row) == (other.part, other.kind, other.row)
        assert one.operations == other.operations
        assert one.loops_after == other.loops_after


@pytest.mark.parametrize("size", ["XS", "M", "5X"])
@pytest.mark.parametrize("name", ["pullover", "cardigan", "child-cardigan"])
def test_a_cuff_that_is_decided_later_moves_no_sleeve(name, size):
    """The edge comes last: how high it becomes is decided when the sleeve is long worked."""
    sizes = design(name).info.sizes
    size = size if size in sizes else sizes[0]
    gauge = read_gauge("14 x 18")
    plan = make_plan(name, gauge, size=size, craft=Craft.NEEDLES, given={"ribbed_hem": 5.0})
    before = build(plan)
    cuffs = {s.part: 0 for s in before.steps if s.part.endswith("cuff")}
    assert cuffs
    worked = max(
        s.number for s in before.steps if s.part.startswith("right sleeve") and s.part not in cuffs
    )
    for more in (1, 2, 5):
        rows = {
            part: sum(s.counts_row for s in before.steps if s.part == part) + more for part in cuffs
        }
        pins = design(name).pins(before, worked)
        done = {
            part: sum(s.counts_row for s in before.steps if s.part == part)
            for part in {s.part for s in before.steps[:worked] if s.counts_row}
        }
        pinned = {"rows": rows, "worked": pins, "worked_rows": done}
        after = build(plan.model_copy(update=pinned))
        sleeves = [
            [s.operations for s in script.steps if s.part in {"left sleeve", "right sleeve"}]
            for script in (before, after)
        ]
        assert sleeves[0] == sleeves[1]


REFUSALS = [
    ("cardigan", {"neck_width": 40.0}, "neck"),
    ("cardigan", {"armhole_depth": 6.0}, "armhole"),
    ("cardigan", {"back_neck_to_cuff": 15.0}, "centre back to cuff"),
    ("cardigan", {"bust": 40.0, "ease": -10.0}, "bust"),
    ("cardigan", {"upper_arm": 70.0}, "armhole"),
    ("vest", {"upper_arm": 70.0}, "armhole"),
    ("cap", {"head": 30.0, "ease": -12.0}, "head"),
    ("cap", {"height": 10.0}, "height"),
    ("cowl", {"height": 6.0}, "height"),
    ("shawl", {"width": 300.0, "height": 20.0}, "higher or narrower"),
]


@pytest.mark.parametrize(("name", "given_", "word"), REFUSALS)
def test_refusals_name_what_to_change(name, given_, word):
    with pytest.raises(Refusal) as refused:
        script_for(make_plan(name, read_gauge("5 x 3.75"), given=given_))
    assert word in str(refused.value)
    assert str(refused.value).endswith(".")


def test_a_childs_garment_warns_of_loose_ends():
    script = script_for(make_plan("child-cardigan", read_gauge("5 x 3.75"), size="4"))
    assert "Small fingers" in wording.text(script.steps[-1], script.craft)


def test_practice_teaches_the_words_of_the_table():
    script = script_for(make_plan("practice", read_gauge("5 x 3.75")))
    told = " ".join(wording.text(step, script.craft) for step in script.steps)
    for phrase in ("row done", "take back", "where am i", "dropped loop at three", "it fits"):
        assert f"'{phrase}'" in told
    rows = [s for s in script.steps if s.counts_row]
    assert [(s.loops_before, s.loops_after) for s in rows] == [(8, 8)] * 4
