"""The finished outline is drawn from loops and rows: what it measures is what the design tells."""

import xml.etree.ElementTree as ET

import pytest

from engine.designs import DESIGNS
from engine.draw.outline import letters, outline, outline_svg
from engine.plan.planning import make_plan, read_gauge, script_for, usual_gauge
from models.script import Craft

GARMENTS = ("cardigan", "vest", "child-cardigan")


def made(name, size="", gauge="5 x 3.75", craft=Craft.LOOP, **given):
    return script_for(make_plan(name, read_gauge(gauge), size=size, craft=craft, given=given))


@pytest.mark.parametrize("name", GARMENTS)
@pytest.mark.parametrize(("gauge", "craft"), [("5 x 3.75", Craft.LOOP), ("14 x 20", Craft.NEEDLES)])
def test_a_garment_measures_on_the_drawing_what_its_design_tells(name, gauge, craft):
    for size in DESIGNS[name].info.sizes[::3]:
        script = made(name, size, gauge, craft)
        drawn = outline(script)
        assert set(drawn.lines) == set(script.finished_cm)
        for measure, cm in script.finished_cm.items():
            assert drawn.cm(measure) == pytest.approx(cm, abs=0.11), (size, measure)


def test_the_edging_is_drawn_and_closes_the_fronts():
    # By hand: three rows at 3.75 per 10 cm are 8 cm; fronts of 7 loops at 5 per 10 cm are 14 cm.
    # Edge on edge they meet in the middle, and 22 cm and 22 cm are as wide as the back.
    drawn = outline(made("cardigan", "M"))
    bands = [shape for shape in drawn.shapes if shape.edging]
    assert len(bands) == 3
    inner = [min(abs(x) for x, _ in band.points) for band in bands[:2]]
    assert inner == pytest.approx([0, 0])
    assert max(abs(x) for x, y in bands[0].points if y == 0) == pytest.approx(8)
    assert drawn.cm("fronts") == pytest.approx(44)
    assert drawn.cm("back neck") == pytest.approx(16)


def test_fronts_that_overlap_lie_over_the_middle():
    drawn = outline(made("cardigan", "M", overlap=6.0))
    right = [x for x, _ in next(s for s in drawn.shapes if s.edging).points]
    assert max(right) == pytest.approx(3, abs=0.2)  # beyond the middle, by half the overlap


@pytest.mark.parametrize("name", DESIGNS)
def test_each_drawn_measure_has_one_letter(name):
    script = made(name, gauge=usual_gauge(name), craft=DESIGNS[name].info.crafts[0])
    drawn = outline(script)
    if drawn is None:
        assert outline_svg(script) == ""
        return
    root = ET.fromstring(outline_svg(script))
    told = [e.text for e in root.iter() if e.tag.endswith("text")]
    assert sorted(told) == [letter for letter, measure in letters(script) if measure in drawn.lines]
