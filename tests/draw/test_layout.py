"""The drawing is true to the script: widths from loops, heights from rows, places from loops.

Areas and overlaps are computed by shapely, a general-purpose geometry library.
"""

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, box

from engine.base.refusal import Refusal
from engine.craft.sizes import BODY_SIZES
from engine.draw.schematic import layout
from engine.draw.schematic_svg import svg
from models.schematic import Drawing, Panel
from models.script import Craft, Hand, Kind, RowScript
from tests.draw.scripts import COARSE, FINE, NAMES, needles, script
from tests.script.working import Piece, op


def shape(panel: Panel) -> Polygon:
    return Polygon(panel.outline)


def only(drawing: Drawing, part: str) -> Panel:
    (panel,) = [panel for panel in drawing.panels if panel.part == part]
    return panel


def check(made: RowScript) -> Drawing:
    drawing = layout(made)
    across, up = made.gauge.loops_per_cm, made.gauge.rows_per_cm
    steps = {step.number: step for step in made.steps}
    drawn = [band for panel in drawing.panels for band in panel.bands]
    assert sorted(b.step for b in drawn) == [s.number for s in made.steps if s.counts_row]
    for band in drawn:
        step = steps[band.step]
        # Of a row that turns, or comes back from a turn, only what the hand made.
        full = sum(o.leaves for o in step.operations) / across
        assert band.width == pytest.approx(full / 2 if step.kind is Kind.ROUND else full, abs=1e-3)
        assert abs(band.y_top - band.y_base) == pytest.approx(1 / up, abs=1e-3)
    sheet = box(0, 0, drawing.width, drawing.height).buffer(1e-3)
    for panel in drawing.panels:
        assert shape(panel).is_valid
        assert sheet.covers(shape(panel))
        # Every stitch covers 1/L by 1/R; a slanting side takes or gives half a loop a row.
        stitches = sum(b.loops / (2 if b.ring else 1) for b in panel.bands) / across / up
        slant = sum(abs(b.width - (b.base[1] - b.base[0])) for b in panel.bands) / 2 / up
        assert abs(shape(panel).area - stitches) <= slant + 1e-5 * stitches + 1e-2
    for one, other in combinations(drawing.panels, 2):
        assert shape(one).intersection(shape(other)).area < 1e-2, (one.part, other.part)
    for edge in drawing.edges:
        assert -1e-3 <= edge.span[0] < edge.span[1] <= drawing.width + 1e-3
    return drawing


@pytest.mark.parametrize("gauge", [COARSE, FINE])
@pytest.mark.parametrize("name", NAMES)
def test_every_design_is_drawn_to_scale_and_nothing_overlaps(name: str, gauge: str) -> None:
    check(script(name, gauge))


@pytest.mark.parametrize("name", ["throw", "cap", "shawl"])
def test_turned_work_on_needles_is_drawn_too(name: str) -> None:
    made = needles(name)
    assert made.craft is Craft.NEEDLES
    check(made)


@settings(max_examples=8, deadline=None)
@given(
    size=st.sampled_from(list(BODY_SIZES)),
    loops=st.floats(4, 9),
    ratio=st.floats(0.7, 1.5),
    ease=st.floats(0, 20),
)
def test_any_cardigan_is(size: str, loops: float, ratio: float, ease: float) -> None:
    try:
        made = script("cardigan", f"{loops:.2f} x {loops * ratio:.2f}", size=size, ease=ease)
    except Refusal:
        return
    check(made)


def test_panels_stand_on_the_loops_they_come_from() -> None:
    drawing = layout(script("cardigan"))
    body, back = only(drawing, "body"), only(drawing, "back")
    right, left = only(drawing, "right front"), only(drawing, "left front")
    top = body.bottom + body.height
    for panel in (back, right, left):
        assert panel.bottom == pytest.approx(top)
        assert body.left <= panel.left < panel.right <= body.right
    assert right.right == pytest.approx(body.right)
    assert left.left == pytest.approx(body.left)
    # N = F + (K - 1) + B + (K - 1) + F, laid out flat: the gaps are the bound-off underarms.
    gaps = {round(right.left - back.right, 3), round(back.left - left.right, 3)}
    underarms = {
        round(e.span[1] - e.span[0], 3) for e in drawing.edges if e.part.endswith("armhole")
    }
    assert gaps == underarms
    assert (back.left + back.right) / 2 == pytest.approx((body.left + body.right) / 2)


def test_the_neck_slopes_away_from_the_front_edges_and_the_armholes_stay_straight() -> None:
    drawing = layout(script("cardigan"))
    right, left = only(drawing, "right front"), only(drawing, "left front")
    assert {band.top[0] for band in right.bands} == {right.left}
    assert {band.top[1] for band in left.bands} == {left.right}
    assert right.bands[-1].top[1] < right.bands[0].base[1]
    assert left.bands[-1].top[0] > left.bands[0].base[0]


def test_sleeves_hang_beside_the_body_from_the_shoulder_and_the_edging_lies_below() -> None:
    drawing = layout(script("cardigan"))
    body, back = only(drawing, "body"), only(drawing, "back")
    right, left = only(drawing, "right sleeve"), only(drawing, "left sleeve")
    assert right.left > body.right
    assert left.right < body.left
    for sleeve in (right, left):
        assert sleeve.ring
        assert sleeve.bottom + sleeve.height == pytest.approx(back.bottom + back.height)
        assert sleeve.bands[0].y_base > sleeve.bands[-1].y_top
    edging = only(drawing, "edging")
    assert edging.bottom + edging.height < min(body.bottom, right.bottom)


@pytest.mark.parametrize("gauge", ["5 x 3.75", "18 x 24"])
def test_a_pullovers_front_neck_is_as_wide_as_what_is_bound_off(gauge: str) -> None:
    made = script("pullover", gauge)
    drawing = layout(made)
    across, up = made.gauge.loops_per_cm, made.gauge.rows_per_cm
    front, back = only(drawing, "front"), only(drawing, "back")
    last = next(s for s in made.steps if s.number == front.bands[-1].step)
    bound = sum(o.times for o in last.operations if o.stitch == "bo")
    right, left = only(drawing, "right side of the neck"), only(drawing, "left side of the neck")
    starts = sorted((right.bands[0].base, left.bands[0].base))
    assert starts[1][0] - starts[0][1] == pytest.approx(bound / across, abs=1e-3)
    assert (starts[0][0], starts[1][1]) == (front.left, front.right)
    assert front.bands[0].width == pytest.approx(back.bands[0].width, abs=1e-3)
    # Its neck at the shoulders is the back's: what lies between the same shoulders.
    ends = sorted((right.bands[-1].top, left.bands[-1].top))
    shoulders = right.bands[-1].loops + left.bands[-1].loops
    neck = (back.bands[-1].loops - shoulders) / across
    assert ends[1][0] - ends[0][1] == pytest.approx(neck, abs=1e-3)
    area = shape(front).area
    assert area == pytest.approx(sum(b.loops for b in front.bands) / across / up, rel=1e-3)
    band = only(drawing, "neckband")
    assert back.left < band.left < band.right < back.right


def test_shoulders_and_neck_divide_the_back() -> None:
    made = script("cardigan")
    drawing = layout(made)
    back = only(drawing, "back")
    neck, *_ = [e for e in drawing.edges if e.kind is Kind.BIND_OFF and e.part.startswith("should")]
    # The edging narrows what is bound off by its width on either side.
    open_cm = made.finished_cm["back neck"] + 2 * made.finished_cm["edging"]
    assert neck.span[1] - neck.span[0] == pytest.approx(open_cm)
    assert sum(neck.span) / 2 == pytest.approx((back.left + back.right) / 2)


@pytest.mark.parametrize("name", NAMES)
def test_left_handed_work_is_the_mirror_image(name: str) -> None:
    right, left = layout(script(name)), layout(script(name, hand=Hand.LEFT))
    assert right.width == pytest.approx(left.width)
    for ours, theirs in zip(right.panels, left.panels, strict=True):
        for a, b in zip(ours.bands, theirs.bands, strict=True):
            assert a.top == pytest.approx((left.width - b.top[1], left.width - b.top[0]), abs=1e-3)
            assert a.from_right is not b.from_right


@pytest.mark.parametrize("hand", list(Hand))
@pytest.mark.parametrize("name", ["cardigan", "vest", "pullover", "raglan", "yoke-pullover"])
def test_the_right_sleeve_lies_at_the_right_whichever_hand_works_it(name: str, hand: Hand) -> None:
    # As worn and seen from the back, which the drawing shows above the body.
    drawing = layout(script(name, hand=hand))
    limb = "armband" if name == "vest" else "sleeve"
    body = only(drawing, "body")
    assert only(drawing, f"right {limb}").left > body.right
    assert only(drawing, f"left {limb}").right < body.left


def test_a_shawl_widens_alike_on_both_sides() -> None:
    shawl = only(layout(script("shawl")), "shawl")
    middles = {round(sum(band.top) / 2, 3) for band in shawl.bands}
    assert len(middles) == 1
    assert shawl.bands[-1].width > shawl.bands[0].width


def test_loops_are_counted_from_where_the_hand_begins() -> None:
    drawing = layout(script("cardigan"))
    body = only(drawing, "body")
    loop_cm = body.bands[0].width / body.bands[0].loops
    out, home = body.bands[0], body.bands[1]
    assert out.loop_at(1)[0] == pytest.approx(body.right - loop_cm / 2)
    assert home.loop_at(1)[0] == pytest.approx(body.left + loop_cm / 2)
    assert out.loop_at(out.loops)[0] == pytest.approx(home.loop_at(1)[0])
    assert out.loop_at(None)[0] == pytest.approx((body.left + body.right) / 2)
    sleeve = only(drawing, "right sleeve").bands[0]
    assert sleeve.loop_at(1)[0] == pytest.approx(sleeve.loop_at(sleeve.loops)[0])


def test_markers_hang_where_the_armholes_begin() -> None:
    drawing = layout(script("cardigan"))
    spots = [spot.x for spot in drawing.spots if "loops" in spot.name]
    assert spots == pytest.approx(
        [only(drawing, "right front").left, only(drawing, "left front").right]
    )


def test_short_rows_leave_a_wedge_and_the_next_whole_row_lies_over_it() -> None:
    """By hand: 10 loops of 2 cm, rows of 2 cm; two rows over the 6 at the right, then all."""
    piece = Piece(10).row(op("k", 10)).row(op("k", 10))
    piece.row(op("k", 6), op("turn")).row(op("k", 6)).row(op("k", 10)).row(op("k", 10)).off()
    (panel,) = layout(piece.script()).panels
    assert [(b.width, b.loops) for b in panel.bands] == [
        (20, 10), (20, 10), (12, 6), (12, 6), (20, 10), (20, 10),
    ]  # fmt: skip
    assert [b.y_top for b in panel.bands] == [2, 4, 6, 8, 10, 12]
    right = max(b.top[1] for b in panel.bands)
    assert all(b.top[1] == pytest.approx(right) for b in panel.bands)
    # Height by column: twelve cm of fabric at the right, eight at the left of the wedge.
    assert panel.wedged
    assert (panel.height_at(right - 1), panel.height_at(right - 19)) == (12, 8)
    assert not only(layout(script("cardigan")), "right front").wedged
    told = svg(layout(piece.script()), "X")
    assert "20 cm wide, 12 cm high, 8 cm at its left edge, 12 cm at its right" in told


def test_a_shoulder_turned_in_steps_is_closed_in_steps() -> None:
    piece = Piece(12).row(op("k", 12)).row(op("k", 12))
    piece.row(op("k", 8), op("turn")).row(op("k", 8)).row(op("k", 4), op("turn")).row(op("k", 4))
    piece.off()
    drawing = layout(piece.script())
    ends = [(e.span, e.y) for e in drawing.edges if e.kind is Kind.BIND_OFF]
    assert sorted((round(s[1] - s[0], 3), y) for s, y in ends) == [(8, 4), (8, 8), (8, 12)]


def test_a_tubes_short_rows_are_drawn() -> None:
    piece = Piece(20).round(op("k", 20)).round(op("k", 15), op("turn"))
    piece.row(op("k", 10), op("turn"), leftward=False).round(op("k", 15)).round(op("k", 20)).off()
    (panel,) = layout(piece.script()).panels
    assert len(panel.bands) == 5


def test_the_last_row_over_a_shoulders_steps_ends_on_each() -> None:
    piece = Piece(12).row(op("k", 12)).row(op("k", 12))
    piece.row(op("k", 8), op("turn")).row(op("k", 8)).row(op("k", 4), op("turn")).row(op("k", 4))
    piece.row(op("k", 12)).off()
    drawing = layout(piece.script())
    ends = [(e.span, e.y) for e in drawing.edges if e.kind is Kind.BIND_OFF]
    assert sorted((round(s[1] - s[0], 3), y) for s, y in ends) == [(8, 6), (8, 10), (8, 14)]
