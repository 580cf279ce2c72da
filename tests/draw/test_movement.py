"""The drawings of the hands' movements: strands over and under as the stitch must have them."""

import xml.etree.ElementTree as ET

import pytest

from engine.designs import DESIGNS
from engine.draw.movement.cells import cells
from engine.draw.movement.curves import curve, meetings, word
from engine.draw.movement.movements import MOVEMENTS
from engine.draw.movement.on_needles import ON_NEEDLES
from engine.draw.movement.shown import movement_of, shown
from engine.draw.movement.svg import box, svg
from engine.plan.planning import make_plan, read_gauge, script_for
from models.movement import Yarn
from models.script import Craft
from models.stitch import STITCHES, Role

STAGES = [(key, n) for key, one in MOVEMENTS.items() for n in range(len(one.stages))]


def last(key: str):
    return MOVEMENTS[key].stages[-1]


@pytest.mark.parametrize(
    ("key", "strand", "other", "crossed"),
    # A stitch drawn through from behind: its feet lie behind the legs of the loop below, its legs
    # before that loop's head; a purl is the same from the other side (plane geometry of a plain
    # weft-knitted fabric; the face shows legs, the back shows heads: common practice, no source).
    [
        ("foundation", "working", "below", "uoou"),
        ("knit", "working", "below", "uoou"),
        ("purl", "working", "below", "ouuo"),
        ("decrease", "working", "below", "uoou"),
        ("decrease", "working", "second", "uoou"),
        ("increase", "working", "below", "uoooou"),
        ("pick up", "working", "edge", "uoou"),
        ("pick up", "working", "second strand", ""),
        ("bind off", "second", "below", "uoou"),
        ("shoulder", "back", "front", "uoou"),
        ("shoulder", "next front", "back", "uoou"),
        # A grafted row is a row like any other: through the loops of both edges as knit goes.
        ("graft", "working", "below", "uoou"),
        ("graft", "working", "above", "ou"),
        ("graft", "working", "next above", "uo"),
        ("join", "working", "below", "uoou"),
        ("tail", "end", "below", "uo"),
    ],
)
def test_a_loop_is_drawn_through_what_it_must_go_through(key, strand, other, crossed):
    assert word(last(key), strand, other) in {crossed, crossed[::-1]}


@pytest.mark.parametrize(("key", "how"), [("knit", "uuuu"), ("purl", "oooo")])
def test_before_it_is_drawn_through_it_lies_all_on_one_side(key, how):
    first, *_ = MOVEMENTS[key].stages
    assert word(first, "working", "below") == how


@pytest.mark.parametrize(("key", "n"), STAGES)
def test_no_strand_runs_through_another(key, n):
    stage = MOVEMENTS[key].stages[n]
    named = {strand.name: curve(strand) for strand in stage.strands}
    for met in meetings(stage):
        over, under = named[met.over][int(met.over_at)], named[met.under][int(met.under_at)]
        assert over[2] - under[2] > 0.3, (met.over, met.under, met.x, met.y)


@pytest.mark.parametrize(("key", "n"), STAGES)
def test_what_one_strand_is_over_the_other_is_under(key, n):
    stage = MOVEMENTS[key].stages[n]
    swap = str.maketrans("ou", "uo")
    for a in stage.strands:
        for b in stage.strands:
            if a.name != b.name:
                mine, theirs = word(stage, a.name, b.name), word(stage, b.name, a.name)
                assert sorted(mine.translate(swap)) == sorted(theirs)


def test_a_fault_in_the_drawing_would_be_seen():
    stage = last("knit")
    flat = stage.model_copy(
        update={
            "strands": tuple(
                s.model_copy(update={"points": tuple((x, y, abs(z)) for x, y, z in s.points)})
                for s in stage.strands
            )
        }
    )
    assert word(flat, "working", "below") != "uoou"


def test_ends_hang_behind_the_work():
    for key, one in MOVEMENTS.items():
        for stage in one.stages:
            for strand in stage.strands:
                if strand.yarn is Yarn.END and key == "join":
                    for other in stage.strands:
                        assert set(word(stage, strand.name, other.name)) <= {"u"}


@pytest.mark.parametrize("key", MOVEMENTS)
def test_a_movement_is_two_or_three_stages_with_a_short_sentence_each(key):
    one = MOVEMENTS[key]
    assert 2 <= len(one.stages) <= 3
    for stage in one.stages:
        assert stage.sentence.endswith(".")
        assert len(stage.sentence.split()) <= 20
        assert len({strand.name for strand in stage.strands}) == len(stage.strands)


@pytest.mark.parametrize("key", MOVEMENTS)
@pytest.mark.parametrize("mirrored", [False, True])
def test_the_svg_is_well_formed_and_keeps_within_its_frame(key, mirrored):
    root = ET.fromstring(svg(MOVEMENTS[key], mirrored=mirrored))
    wide, high = map(float, root.attrib["viewBox"].split()[2:])
    place = "{http://www.w3.org/2000/svg}"
    for group in root.iter(f"{place}g"):
        shift = float(group.attrib["transform"][10:].split()[0])
        for path in group.iter(f"{place}path"):
            numbers = [float(n) for n in path.attrib["d"][1:].replace("L", " ").split()]
            assert min(numbers) >= 0
            assert shift + max(numbers[::2]) <= wide
            assert max(numbers[1::2]) <= high


@pytest.mark.parametrize("size", [(24, 9), (40, 12), (70, 24)])
def test_cells_show_each_strand_and_the_rim_between_them(size):
    for one in MOVEMENTS.values():
        for stage in one.stages:
            rows = cells(stage, box(one.stages), *size)
            assert [len(row) for row in rows] == [size[0]] * size[1]
            seen = {yarn for row in rows for _, yarn in row if yarn}
            assert seen == {strand.yarn for strand in stage.strands}
    assert cells(last("knit"), box(MOVEMENTS["knit"].stages), 0, 5) == []


def test_every_stitch_that_is_worked_has_a_movement():
    roles = {Role.WORKED, Role.DECREASE, Role.BEGIN, Role.END}
    missing = {
        key
        for key, entry in STITCHES.items()
        if entry.role in roles and movement_of(entry) is None and entry.takes + entry.leaves > 0
    }
    assert missing <= {"drop", "psso"}


@pytest.mark.parametrize("key", ON_NEEDLES)
def test_on_needles_a_movement_is_a_few_short_sentences(key):
    one = ON_NEEDLES[key]
    assert one.key == key
    assert 2 <= len(one.stages) <= 3
    assert not one.drawn
    for stage in one.stages:
        assert stage.sentence.endswith(".")
        assert len(stage.sentence.split()) <= 20
        assert not any(one in stage.sentence for one in ("right needle", "left needle"))  # hands


@pytest.mark.parametrize("name", [n for n, d in DESIGNS.items() if Craft.NEEDLES in d.info.crafts])
def test_no_step_on_needles_shows_loop_yarn_and_each_stitch_has_its_words(name):
    plan = make_plan(name, read_gauge("10 x 14"), size=DESIGNS[name].usual, craft=Craft.NEEDLES)
    for step in script_for(plan).steps:
        found = shown(step, Craft.NEEDLES)
        assert found
        assert not any(one.drawn for one in found)
        for operation in step.operations:
            alone = step.model_copy(update={"operations": (operation,)})
            quiet = operation.entry.role in {Role.REGROUP, Role.MARKER, Role.TURN, Role.COLOUR}
            assert quiet or len(shown(alone, Craft.NEEDLES)) == 1, operation.stitch


@pytest.mark.parametrize("name", ["cardigan", "shawl", "cap"])
def test_every_step_of_a_design_shows_what_its_hands_do(name):
    script = script_for(make_plan(name, read_gauge("5 x 3.75"), size=""))
    seen = set()
    for step in script.steps:
        found = shown(step)
        assert found
        if step.operations:
            seen |= {one.key for one in found}
    assert {"foundation", "knit"} <= seen
    assert name in DESIGNS
    if name == "cardigan":
        assert {"pick up", "bind off", "shoulder", "decrease"} <= seen
