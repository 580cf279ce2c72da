"""Pullovers, bags, beds and hoods against published figures, and what is refused of them."""

import re

import pytest

from engine.base.refusal import Refusal
from engine.craft.sizes import CHILD_SIZES, EVERYONE, MEN_SIZES
from engine.designs.raglan import counts
from engine.plan.planning import gave_way, make_plan, read_gauge, script_for
from models.script import Craft, Hand, Kind

G = read_gauge("20 x 28")


def script(name, gauge=G, **more):
    return script_for(make_plan(name, gauge, **more))


def rows(made, part):
    return [s for s in made.steps if s.part == part and s.counts_row]


def test_yoke_of_a_body_of_200():
    # Country Wool, "Betsi's Raglan Sweater", 1999-2020, after the percentage system: of the body's
    # stitches the cuff is 20 %, the top of a sleeve 33 %, the first round of the yoke 133 %, the
    # neck 40 %.
    made = script("yoke-pullover", given={"bust": 100.0, "ease": 0.0})
    body = rows(made, "body")[0].loops_after
    assert body == 200
    assert rows(made, "left sleeve cuff")[0].loops_after == 40
    assert rows(made, "left sleeve")[-1].loops_after == pytest.approx(66, abs=1)
    assert rows(made, "yoke")[0].loops_after == pytest.approx(266, abs=2)
    assert rows(made, "yoke")[-1].loops_after == pytest.approx(80, abs=1)
    # Half, three quarters and all of the way up: to 3/4, 2/3, 3/5 (from memory).
    yoke = rows(made, "yoke")
    lost = [r.row / len(yoke) for r in yoke if r.loops_after < r.loops_before]
    assert lost == pytest.approx([0.5, 0.75, 1.0], abs=0.02)


@pytest.mark.parametrize("size", ["XS", "M", "5X", "8", "men L"])
def test_raglan_underarm_is_a_sixth_of_the_back(size):
    # carol-myknittingpage, "To convert to raglan", 2005: the underarm is about a sixth of the back.
    n = counts(make_plan("raglan", G, size=size))
    assert n.underarm == pytest.approx((n.back + n.underarm) / 6, abs=1)
    # Textbook quoted at zanotowane.pl/713/7882: the back neck is a third of the back's width.
    assert n.neck[0] == pytest.approx(n.back / 3, abs=1)
    # R2 = (B - neck - U)/2 of the same source: a stitch at each line in every growing round.
    assert n.body_grows == (n.back - n.neck[0]) / 2


def test_mens_chests():
    # Craft Yarn Council, men's sizes (from memory): chest 34-36, 38-40, 42-44, 46-48, 50-52 in.
    assert [round(s.bust / 2.54, 1) for s in MEN_SIZES.values()] == [35, 39, 43, 47, 51]
    assert len(EVERYONE) == 9 + 5 + len(CHILD_SIZES)


@pytest.mark.parametrize("name", ["pullover", "raglan", "yoke-pullover"])
def test_sizes_grow_and_come_out_as_asked(name):
    for sizes in (list(EVERYONE)[:9], list(CHILD_SIZES), list(MEN_SIZES)):
        before = None
        for size in sizes[::2]:
            plan = make_plan(name, G, size=size)
            made = script_for(plan)
            wanted = plan.measures["bust"] + plan.measures["ease"]
            assert made.finished_cm["around"] == pytest.approx(wanted, abs=1)
            assert before is None or made.finished_cm["around"] >= before
            before = made.finished_cm["around"]
            # A sleeve goes over the upper arm it is made for.
            assert made.finished_cm["upper sleeve"] >= EVERYONE[size].upper_arm


def test_a_pullovers_neck_and_shoulders_are_the_back():
    made = script("pullover", read_gauge("5 x 3.75"), size="M")
    back = rows(made, "back")[0].loops_after
    shoulders = [s for s in made.steps if s.kind is Kind.SEAM]
    chained = sum(o.times for s in shoulders for o in s.operations if o.stitch == "pair")
    band = next(s for s in made.steps if s.part == "neckband" and s.kind is Kind.PICK_UP)
    neck = next(o.times for o in band.operations if o.stitch == "resume")
    assert chained + neck == back
    front, side = rows(made, "front"), rows(made, "left side of the neck")
    assert len(front) + len(side) == len(rows(made, "back"))


def test_a_bed_is_picked_up_all_around():
    made = script("petbed", read_gauge("5 x 3.75"))
    base, wall = rows(made, "base"), rows(made, "wall")
    around = [s for s in made.steps if s.kind is Kind.PICK_UP]
    # Common practice, no source: 4 loops from 3 rows at L/R = 4/3, one for one along the loops.
    up = round(len(base) * 4 / 3)
    assert [o.times for o in around[0].operations] == [up, base[0].loops_after, up]
    assert wall[0].loops_after == 2 * (up + base[0].loops_after)


def test_a_handle_is_laid_on_over_its_opening():
    made = script("tote", read_gauge("5 x 3.75"))
    first, second = rows(made, "handles")[:2]
    taken = sum(o.times for o in first.operations if o.stitch == "bo")
    given = sum(o.times for o in second.operations if o.stitch == "co")
    assert (taken, given) == (2 * 8, 2 * 22)  # 16 and 45 cm at 5 loops in 10 cm


@pytest.mark.parametrize(
    ("name", "given", "said"),
    [
        ("tote", {"opening": 40.0, "width": 30.0}, "opening narrower"),
        ("tote", {"handle": 20.0, "opening": 24.0}, "make the handle longer"),
        ("pullover", {"neck_width": 35.0, "bust": 60.0, "ease": 0.0}, "make the neck narrower"),
        ("pullover", {"neck_depth": 20.0, "armhole_depth": 10.0}, "armhole deeper"),
        ("pullover", {"sleeve": 5.0}, "sleeve longer"),
        ("raglan", {"depth": 8.0}, "make the depth larger"),
        ("raglan", {"sleeve": 5.0}, "make the sleeve longer"),
        ("yoke-pullover", {"sleeve": 8.0}, "sleeve longer"),
    ],
)
def test_refusals_name_the_measurement_to_change(name, given, said):
    with pytest.raises(Refusal, match=said):
        script(name, given=given, craft=Craft.NEEDLES, gauge=read_gauge("14 x 20"))


@pytest.mark.parametrize("gauge", ["14 x 18", "32 x 44"])
@pytest.mark.parametrize("size", ["14", "3X", "men XXL"])
def test_a_ribbed_cuff_over_half_a_stitch_off_is_told(size, gauge):
    plan = make_plan("raglan", read_gauge(gauge), size=size, craft=Craft.NEEDLES)
    made = script_for(plan)
    off = abs(made.finished_cm["cuff"] - plan.measures["cuff"]) * plan.gauge.loops_per_cm
    told = any(said.startswith("Cuff comes to") for said in gave_way(plan, made))
    assert told is (off > 0.5 + 1e-6)


@pytest.mark.parametrize("hand", Hand)
def test_a_raglans_first_round_tells_its_four_parts_in_the_order_of_the_round(hand):
    gauge = read_gauge("18 x 24")
    made = script_for(make_plan("raglan", gauge, size="M", craft=Craft.NEEDLES, hand=hand))
    first = next(step for step in made.steps if step.part == "yoke" and step.counts_row)
    told = re.findall(r"the (?:right |left )?(\w+) with (\d+)", first.note)
    assert [part for part, _ in told] == ["front", "sleeve", "back", "sleeve"]
    assert sum(int(count) for _, count in told) == first.loops_after
    parted = next(step for step in made.steps if step.part == "body")
    rests = [o.at for o in parted.operations if o.stitch == "rest next"]
    assert re.findall(r"(?:right|left) sleeve", first.note) == rests
