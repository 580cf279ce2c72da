"""Scarves, throws, blankets and pillows: stitch patterns and stripes over them, and refusals."""

import pytest

from engine.base.refusal import Refusal
from engine.craft.stripes import colour_of, read_stripes
from engine.plan.planning import make_plan, read_gauge, script_for
from engine.script import wording
from engine.script.audit import audit
from engine.script.yarns import by_colour
from models.script import Craft, Kind

LOOPS, NEEDLES = read_gauge("5 x 3.75"), read_gauge("14 x 20")


def script(name, craft=Craft.LOOP, **more):
    return script_for(
        make_plan(name, LOOPS if craft is Craft.LOOP else NEEDLES, craft=craft, **more)
    )


@pytest.mark.parametrize(
    ("name", "craft", "stitch"),
    [
        ("scarf", Craft.LOOP, "basket"),
        ("scarf", Craft.NEEDLES, "old-shale"),
        ("throw", Craft.LOOP, "chevron"),
        ("blanket", Craft.NEEDLES, "cable-6"),
        ("pillow", Craft.LOOP, "moss"),
        ("pillow", Craft.NEEDLES, "eyelets"),
    ],
)
def test_a_stitch_pattern_lies_over_it_and_every_loop_is_accounted_for(name, craft, stitch):
    made = script(name, craft, stitch=stitch)
    assert audit(made) == []
    plain = script(name, craft)
    assert made.steps[0].loops_after == plain.steps[0].loops_after
    assert {o.stitch for s in made.steps if s.counts_row for o in s.operations} > {"k"}


def test_stripes_change_at_row_ends_and_the_yarn_of_each_is_counted():
    made = script("throw", stripes="cream 8, sand 4")
    width = made.steps[0].loops_after
    rows = [s for s in made.steps if s.counts_row]
    assert [r.row for r in rows if r.colour == "sand"][:5] == [9, 10, 11, 12, 21]
    changes = [r for r in rows if any(o.stitch == "join" for o in r.operations)]
    assert all(r.operations[0].stitch == "tail" and "Change to" in r.note for r in changes)
    # By hand: every row takes its width; the foundation its width and 2; each change 2 and 2.
    told = by_colour(made)
    sand = sum(r.colour == "sand" for r in rows)
    to_sand = sum(r.colour == "sand" for r in changes)
    to_cream = len(changes) - to_sand
    assert told["sand"] == sand * width + 2 * to_sand + 2 * to_cream
    assert sum(told.values()) == made.yarn_loops
    assert by_colour(script("throw")) == {}


def test_stripes_are_read_as_they_are_written():
    stripes = read_stripes("deep sea blue 2 rows, cream 1")
    assert [colour_of(stripes, row) for row in range(1, 5)] == [
        "deep sea blue", "deep sea blue", "cream", "deep sea blue",
    ]  # fmt: skip
    for said in ("cream", "cream 0, sand 2", "cream 4", "sand 2, sand 3", "8, 4"):
        with pytest.raises(Refusal):
            read_stripes(said)


def test_a_nursery_is_told_of_the_cot():
    # American Academy of Pediatrics, 2022 (from memory): nothing soft or loose in the cot of a
    # child under twelve months.
    for name in ("blanket", "pillow"):
        made = script(name)
        said = wording.text(made.steps[-1], made.craft)
        assert "under twelve months" in said
        assert "American Academy of Pediatrics" in said
        assert "ask your midwife or doctor" in said


def test_a_pillow_is_closed_by_as_many_loops_as_it_was_begun_with():
    for craft in Craft:
        made = script("pillow", craft)
        closed = [s for s in made.steps if s.kind is Kind.SEAM]
        assert [s.loops_before for s in closed] == [made.steps[0].loops_after] * 2


@pytest.mark.parametrize(
    ("name", "more", "said"),
    [
        ("pillow", {"given": {"width": 15.0}, "gauge": "3 x 3", "scale": 0.4}, "wider"),
        ("scarf", {"stitch": "basket", "given": {"width": 10.0}}, "wider"),
        ("scarf", {"stitch": "lace"}, "they are"),
        ("hooded-scarf", {"gauge": "3 x 4.5", "scale": 0.3}, "make the hood deeper"),
        ("practice", {"stitch": "moss"}, "no stitch pattern"),
        ("throw", {"stripes": "cream"}, "as in 'cream 8, sand 4'"),
    ],
)
def test_what_does_not_go_is_refused_with_what_to_change(name, more, said):
    gauge = read_gauge(more.pop("gauge", "5 x 3.75"))
    with pytest.raises(Refusal, match=said):
        script_for(make_plan(name, gauge, **more))


def test_a_scarf_that_the_tape_ended_early_has_no_room_for_its_hood():
    plan = make_plan("hooded-scarf", LOOPS).model_copy(update={"rows": {"scarf": 12}})
    with pytest.raises(Refusal, match="make the scarf longer, or the hood less deep"):
        script_for(plan)
