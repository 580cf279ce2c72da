"""What is worked in the round on needles, against published figures, source by source."""

import pytest

from engine.base.refusal import Refusal
from engine.craft.sizes import FOOT_CM
from engine.plan.planning import make_plan, read_gauge, script_for
from models.script import Craft, Kind

FINE = read_gauge("32 x 44")


def script(name, gauge="22 x 30", **more):
    return script_for(make_plan(name, read_gauge(gauge), **more))


def rows(made, part):
    return [s for s in made.steps if s.part == part and s.counts_row]


# --- the sock --------------------------------------------------------------------------------


@pytest.mark.parametrize("size", FOOT_CM)
@pytest.mark.parametrize("gauge", ["22 x 30", "28 x 38", "32 x 44"])
def test_sock_stitches_are_foot_times_gauge_less_ten_in_a_hundred(size, gauge):
    # stitchwhisperdesigns.com, "Sock Math", 2022: foot around x gauge, less 10 %, to a multiple
    # of 4.
    made = script("socks", gauge, size=size)
    around, wanted = FOOT_CM[size][0], made.gauge.loops_per_cm
    first = made.steps[0].loops_after
    assert first % 4 == 0
    assert first == pytest.approx(around * wanted * 0.9, abs=2)


def test_sock_of_64_stitches():
    # The usual sock of 64 stitches (digipicsphotography, "My Sock Formula", 2012; the turned heel
    # common practice, no source): flap over 32, 32 rows; 16 picked up on either side; k18, ssk,
    # k1, turn; sl 1, p5, p2tog, p1, turn; 18 stitches are left of the heel.
    made = script("socks", "32 x 44", given={"foot_around": 22.2, "foot_length": 25.4})
    assert made.steps[0].loops_after == 64
    flap, turn, gusset = (rows(made, part) for part in ("heel flap", "heel turn", "gusset"))
    assert len(flap) == flap[0].loops_after == 32
    assert all(r.operations[0].stitch == "sl" or r.row == 1 for r in flap)
    told = [[(o.stitch, o.times) for o in r.operations] for r in turn]
    assert told[0] == [("sl", 1), ("k", 16), ("ssk", 1), ("k", 1), ("turn", 1)]
    assert told[1] == [("sl", 1), ("p", 3), ("p2tog", 1), ("p", 1), ("turn", 1)]
    assert turn[-1].loops_after == 18
    picked = [o.times for o in gusset[0].operations if o.stitch == "pick up"]
    assert picked == [16, 16]
    # Toe Up Socks II (southerncrossfibre.com): a quarter of all on either side; all are lost again.
    assert gusset[0].loops_after == 18 + 32 + 2 * 16
    assert gusset[-1].loops_after == 64


def test_toe_is_narrowed_by_four_and_grafted():
    # Common practice, no source: four in every other round down to half, then in every round.
    made = script("socks", "32 x 44", given={"foot_around": 22.2, "foot_length": 25.4})
    toe = rows(made, "toe")
    lost = [r.loops_before - r.loops_after for r in toe]
    assert set(lost) == {0, 4}
    assert lost[:4] == [4, 0, 4, 0]
    assert lost[-2:] == [4, 4]
    assert toe[-1].loops_after == 16
    closed = next(s for s in made.steps if s.kind is Kind.SEAM)
    assert [(o.stitch, o.times) for o in closed.operations][-1] == ("graft", 8)


# --- the mitten ------------------------------------------------------------------------------


@pytest.mark.parametrize("size", ["child", "S", "M", "L", "XL"])
def test_thumb_of_a_mitten_is_a_third(size):
    # Common practice, no source: the thumb's gusset grows to a third of the hand's stitches.
    made = script("mittens", size=size)
    gusset = rows(made, "gusset")
    hand = gusset[0].loops_before
    thumb = gusset[-1].loops_after - hand + 1
    assert thumb == pytest.approx(hand / 3, abs=1)
    assert rows(made, "hand")[0].loops_after == hand
    grown = [r.loops_after - r.loops_before for r in gusset]
    assert set(grown) == {0, 2}


# --- the hat ---------------------------------------------------------------------------------


@pytest.mark.parametrize("size", ["child", "S", "M", "L"])
@pytest.mark.parametrize("gauge", ["14 x 20", "20 x 28", "26 x 34"])
def test_crown_has_seven_to_ten_wedges(size, gauge):
    # Common practice, no source: 7 to 10 wedges, one stitch of each lost in a shaped round.
    made = script("hat", gauge, size=size)
    crown = rows(made, "crown")
    lost = {r.loops_before - r.loops_after for r in crown} - {0}
    assert len(lost) == 1
    (wedges,) = lost
    assert 7 <= wedges <= 10
    assert crown[0].loops_before % wedges == 0
    assert crown[-1].loops_after == wedges
    assert crown[0].loops_before % 4 == 0  # whole ribs of two and two


def test_a_hat_may_be_worked_in_a_stitch_pattern():
    plain, cabled = script("hat"), script("hat", stitch="cable-4")
    assert plain.steps[0].loops_after == cabled.steps[0].loops_after
    assert any(o.stitch == "2/2 rc" for s in rows(cabled, "hat") for o in s.operations)


# --- what does not go ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "given", "gauge", "said"),
    [
        ("socks", {}, "5 x 6", "wider foot around or work a finer gauge"),
        ("socks", {"foot_length": 10.0}, "22 x 30", "make the foot longer"),
        ("socks", {"leg": 5.0, "cuff": 12.0}, "22 x 30", "make the leg longer"),
        ("mittens", {}, "5 x 6", "wider hand around or work a finer gauge"),
        ("mittens", {"hand_length": 9.0, "hand_around": 28.0}, "22 x 30", "make the hand longer"),
        ("mittens", {"thumb": 2.0}, "8 x 9", "make it longer"),
        ("hat", {"height": 12.0, "brim": 9.0}, "20 x 28", "make the hat higher"),
        ("hat", {"head": 30.0, "ease": -12.0}, "5 x 6", "larger head or ease"),
    ],
)
def test_refusals_name_the_measurement_to_change(name, given, gauge, said):
    with pytest.raises(Refusal, match=said):
        script_for(make_plan(name, read_gauge(gauge), given=given, craft=Craft.NEEDLES))
