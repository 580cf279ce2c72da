"""The audit finds what is wrong: each of its five claims, broken on purpose."""

import pytest

from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script.audit import audit
from models.script import Craft, Kind


@pytest.fixture(scope="module", params=[Craft.LOOP, Craft.NEEDLES], ids=["loop", "needles"])
def script(request):
    gauge = "5 x 3.75" if request.param is Craft.LOOP else "12 x 16"
    return script_for(make_plan("cardigan", read_gauge(gauge), size="M", craft=request.param))


def replaced(script, index, **changes):
    steps = list(script.steps)
    steps[index] = steps[index].model_copy(update=changes)
    return script.model_copy(update={"steps": tuple(steps)})


def without(script, index):
    """A step left out, the rest numbered anew."""
    steps = script.steps[:index] + script.steps[index + 1 :]
    steps = tuple(s.model_copy(update={"number": i}) for i, s in enumerate(steps, 1))
    return script.model_copy(update={"steps": steps})


def index_of(script, part, kind=Kind.ROW, row=None):
    return next(
        i
        for i, s in enumerate(script.steps)
        if s.part == part and s.kind is kind and (row is None or s.row == row)
    )


def test_the_unbroken_script_is_sound(script):
    assert audit(script) == []


@pytest.mark.parametrize("more", [1, -1])
def test_claim_1_a_row_takes_what_is_there(script, more):
    at = index_of(script, "back", row=3)
    (knit,) = script.steps[at].operations
    broken = replaced(
        script, at, operations=(knit.model_copy(update={"times": knit.times + more}),)
    )
    faults = audit(broken)
    assert any("back, row 3" in fault for fault in faults)


def test_claim_1_no_loop_of_a_row_is_passed_by(script):
    """The counts are right, one loop is simply not worked."""
    at = index_of(script, "back", row=3)
    (knit,) = script.steps[at].operations
    broken = replaced(
        script,
        at,
        operations=(knit.model_copy(update={"times": knit.times - 1}),),
        yarn_loops=script.steps[at].yarn_loops - 1,
    )
    assert any("unworked" in fault for fault in audit(broken))


@pytest.mark.parametrize("field", ["loops_before", "loops_after", "held", "yarn_loops"])
@pytest.mark.parametrize("part", ["body", "back", "left sleeve"])
def test_claim_2_a_step_says_what_is_there(script, field, part):
    kind = Kind.ROUND if "sleeve" in part else Kind.ROW
    at = index_of(script, part, kind, row=2)
    broken = replaced(script, at, **{field: getattr(script.steps[at], field) + 1})
    faults = audit(broken)
    assert len(faults) == 1
    assert f"{part}, row 2" in faults[0]


def test_claim_2_steps_and_rows_are_counted(script):
    at = index_of(script, "body", row=4)
    assert audit(replaced(script, at, number=99))
    assert audit(replaced(script, at, row=5))


def test_claim_3_loops_chained_together_are_level(script):
    """A front one row short is found when it is chained to the back."""
    broken = without(script, index_of(script, "right front", row=2))
    fixed = [
        s.model_copy(update={"row": s.row - 1})
        if s.part == "right front" and (s.row or 0) > 2
        else s
        for s in broken.steps
    ]
    broken = broken.model_copy(update={"steps": tuple(fixed), "level": (), "mirrored": ()})
    faults = audit(broken)
    assert any("rows high" in fault for fault in faults)


def test_claim_4_level_parts(script):
    extra = script.model_copy(update={"level": (*script.level, ("body", "back"))})
    assert any("same number of rows" in fault for fault in audit(extra))


def test_claim_4_mirrored_parts(script):
    """A decrease at the wrong end of the left front is counted right and mirrors wrong."""
    at = index_of(script, "left front", row=3)
    step = script.steps[at]
    assert len(step.operations) == 2
    broken = replaced(script, at, operations=step.operations[::-1])
    assert [f for f in audit(broken) if "mirror" in f]
    assert not [f for f in audit(broken) if "mirror" not in f]


def test_claim_5_nothing_is_left(script):
    at = next(i for i, s in enumerate(script.steps) if s.kind is Kind.BIND_OFF and s.part == "ring")
    step = script.steps[at]
    kept = tuple(o for o in step.operations if o.stitch != "fasten")
    broken = replaced(script, at, operations=kept, loops_after=1)
    broken = broken.model_copy(
        update={
            "steps": tuple(
                s.model_copy(update={"loops_before": 1, "loops_after": 1})
                if s.number > at + 1
                else s
                for s in broken.steps
            )
        }
    )
    assert any("nothing may be left" in fault for fault in audit(broken))


def test_claim_5_it_ends_with_a_finish(script):
    broken = script.model_copy(update={"steps": script.steps[:-1]})
    assert any("finish" in fault for fault in audit(broken))


@pytest.fixture(scope="module")
def loop_cardigan():
    return script_for(make_plan("cardigan", read_gauge("5 x 3.75"), size="M"))


def test_claim_4_the_spare_loop_of_the_shoulder_is_not_worked_at_the_underarm(loop_cardigan):
    """`Knit 24, decrease 1` has the right count and takes the wrong loops."""
    at = index_of(loop_cardigan, "left sleeve", Kind.ROUND, row=1)
    *_, decrease, _ = loop_cardigan.steps[at].operations
    plain = loop_cardigan.steps[at].operations[0]
    around = loop_cardigan.steps[at].loops_before
    wrong = (plain.model_copy(update={"times": around - 2}), decrease)
    faults = audit(replaced(loop_cardigan, at, operations=wrong))
    assert any("left sleeve, row 1" in f and "does not lie there" in f for f in faults)


def test_claim_4_the_spare_loop_is_taken_up_where_it_lies(loop_cardigan):
    """Picked up all around first, and the spare loop last: it would lie at the underarm."""
    at = index_of(loop_cardigan, "left sleeve", Kind.PICK_UP)
    operations = loop_cardigan.steps[at].operations
    spare = [o for o in operations if o.stitch == "resume"]
    others = [o for o in operations if o.stitch != "resume"]
    faults = audit(replaced(loop_cardigan, at, operations=(*others, *spare)))
    assert any(("left sleeve" in f and "beside" in f) or "passed by" in f for f in faults)


def test_claim_4_a_pick_up_without_a_word_of_where_is_refused_where_a_loop_waits(loop_cardigan):
    at = index_of(loop_cardigan, "left sleeve", Kind.PICK_UP)
    operations = loop_cardigan.steps[at].operations
    count = sum(o.times for o in operations if o.stitch == "pick up")
    spare = next(o for o in operations if o.stitch == "resume")
    one = next(o for o in operations if o.stitch == "pick up").model_copy(
        update={"times": count, "at": "the left armhole"}
    )
    for order in ((one, spare), (spare, one)):
        join = next(o for o in operations if o.stitch == "join")
        faults = audit(replaced(loop_cardigan, at, operations=(join, *order)))
        assert any("left sleeve" in f for f in faults)
