"""The drawing on paper: well-formed, to the scale it states, in ink only, its sizes written."""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest
from shapely import Polygon, box

from engine.draw.paper import LETTER, scale_of
from engine.draw.schematic import layout
from engine.draw.schematic_svg import svg
from models.script import Craft
from models.state import Mark
from tests.draw.scripts import NAMES, needles, script

SVG = "{http://www.w3.org/2000/svg}"


def texts(document: str) -> list[str]:
    return [element.text or "" for element in ET.fromstring(document).iter(f"{SVG}text")]


def polygons(document: str, **wanted: str) -> list[Polygon]:
    return [
        Polygon([tuple(map(float, pair.split(","))) for pair in element.attrib["points"].split()])
        for element in ET.fromstring(document).iter(f"{SVG}polygon")
        if all(element.attrib.get(name) == value for name, value in wanted.items())
    ]


@pytest.mark.parametrize("name", NAMES)
def test_outlines_have_the_size_that_the_scale_says(name: str) -> None:
    drawing = layout(script(name))
    document = svg(drawing, name)
    outlines = polygons(document, fill="none")
    assert len(outlines) == len(drawing.panels)
    by_scale = 10 / scale_of(drawing.width, drawing.height)
    for shape, panel in zip(outlines, drawing.panels, strict=True):
        left, top, right, bottom = shape.bounds
        assert right - left == pytest.approx((panel.right - panel.left) * by_scale, abs=0.03)
        assert bottom - top == pytest.approx(panel.height * by_scale, abs=0.03)
    assert any(
        text.startswith(f"Scale 1:{scale_of(drawing.width, drawing.height):g}")
        for text in texts(document)
    )


@pytest.mark.parametrize("name", NAMES)
def test_it_fits_an_a4_sheet_and_says_so_in_millimetres(name: str) -> None:
    # ISO 216: A4 is 210 by 297 mm.
    root = ET.fromstring(svg(layout(script(name), worded=True), name))
    width, height = (float(root.attrib[side].removesuffix("mm")) for side in ("width", "height"))
    assert width <= 210 - 2 * 14
    assert height <= 297 - 2 * 16
    assert root.attrib["viewBox"] == f"0 0 {width:g} {height:g}"


@pytest.mark.parametrize("name", NAMES)
def test_no_words_lie_over_others(name: str) -> None:
    lettered = ET.fromstring(svg(layout(script(name), worded=True), name)).iter(f"{SVG}text")
    boxes = []
    for one in lettered:
        if one.attrib.get("text-anchor") != "middle" or "transform" in one.attrib:
            continue
        if "aria-hidden" in one.attrib:
            continue
        size, x, y = (float(one.attrib[key]) for key in ("font-size", "x", "y"))
        half = len(one.text or "") * LETTER * size / 2
        boxes.append((box(x - half, y - 0.75 * size, x + half, y + 0.05 * size), one.text))
    for at, (mine, words) in enumerate(boxes):
        over = [other for place, other in boxes[:at] if mine.intersects(place)]
        assert not over, words


def test_a_throw_is_as_wide_and_high_as_its_loops_and_rows_come_to() -> None:
    written = texts(svg(layout(script("throw", width=100, height=128)), "Throw"))
    # 50 loops at 5 in 10 cm; 48 rows at 3.75 in 10 cm.
    assert "100 cm, 50 loops" in written
    assert "128 cm" in written
    assert "48 rows" in written


def test_a_tube_tells_its_full_way_around() -> None:
    made = script("cowl")
    around = f"{round(made.steps[2].loops_after / made.gauge.loops_per_cm, 1):g} cm around"
    assert any(text.startswith(around) for text in texts(svg(layout(made), "Cowl")))


def test_needles_count_stitches() -> None:
    made = needles("throw")
    assert any("stitches" in text for text in texts(svg(layout(made), "Throw", Craft.NEEDLES)))


def test_there_is_ink_and_no_colour() -> None:
    made = script("cardigan")
    document = svg(layout(made), "Cardigan", at=40)
    for red, green, blue in re.findall(r"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})\b", document):
        assert red == green == blue


def test_worked_fabric_is_hatched_and_grows() -> None:
    made = script("cardigan")
    drawing = layout(made)
    areas = [
        sum(shape.area for shape in polygons(svg(drawing, "", at=at), fill="url(#worked)"))
        for at in (0, 5, 40, 80, len(made.steps))
    ]
    assert areas[0] == 0
    assert all(a < b for a, b in pairwise(areas))
    whole = sum(Polygon(panel.outline).area for panel in drawing.panels)
    assert areas[-1] == pytest.approx(
        whole * (10 / scale_of(drawing.width, drawing.height)) ** 2, rel=0.01
    )
    assert "url(#worked)" not in svg(drawing, "").split("</defs>")[1]


def test_the_row_in_work_is_solid_and_an_open_mark_is_on_it() -> None:
    made = script("cardigan")
    drawing = layout(made)
    at = next(s.number for s in made.steps if s.part == "body" and s.row == 7) - 1
    mark = Mark(number=1, step=at + 1, part="body", row=7, loop=5)
    document = svg(drawing, "Cardigan", at=at, marks=[mark])
    solid = [shape for shape in polygons(document, fill="#111") if shape.area > 20]
    assert len(solid) == 1
    circles = list(ET.fromstring(document).iter(f"{SVG}circle"))
    on_it = [
        c
        for c in circles
        if solid[0].bounds[1] < float(c.attrib["cy"]) < solid[0].bounds[3]
        and solid[0].bounds[0] < float(c.attrib["cx"]) < solid[0].bounds[2]
    ]
    assert len(on_it) == 1


def test_a_title_is_text_whatever_it_holds() -> None:
    title = 'Mine & yours <script>alert("1")</script>'
    root = ET.fromstring(svg(layout(script("throw")), title))
    told = root.find(f"{SVG}title")
    assert told is not None
    assert (told.text or "").startswith(title)
    assert not list(root.iter(f"{SVG}script"))
